#include "clip/picture_light.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace risetrace::clip {
namespace {

constexpr int side = 16;       // of a square
constexpr int least_grey = 4;  // a square as dark or as bright as can be shown hides its noise
constexpr int greatest_grey = 251;

// Of the square whose top left pixel is (x0, y0), one pixel of picture all round it; negative where it is clipped.
double mean_square(const GreyPicture& picture, int x0, int y0) {
  const auto at = [&](int x, int y) {
    return static_cast<int>(picture.grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                                         static_cast<std::size_t>(x)]);
  };
  double sum = 0;
  for (int y = y0; y < y0 + side; ++y) {
    for (int x = x0; x < x0 + side; ++x) {
      const int grey = at(x, y);
      if (grey < least_grey || grey > greatest_grey) return -1;
      const int corners = at(x - 1, y - 1) + at(x + 1, y - 1) + at(x - 1, y + 1) + at(x + 1, y + 1);
      const int beside = at(x, y - 1) + at(x, y + 1) + at(x - 1, y) + at(x + 1, y);
      const double masked = corners - 2 * beside + 4 * grey;
      sum += masked * masked;
    }
  }
  return sum / (side * side);
}

double noise_of(const GreyPicture& picture) {
  std::vector<double> squares;
  for (int y = 1; y + side < picture.height; y += side) {
    for (int x = 1; x + side < picture.width; x += side) {
      if (const double s = mean_square(picture, x, y); s >= 0) squares.push_back(s);
    }
  }
  if (squares.empty()) return 0;
  const auto plain = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 4);
  std::nth_element(squares.begin(), plain, squares.end());
  constexpr double mask_gain = 36.0;  // 4 x 1 + 4 x 4 + 16, the sum of the mask's squares
  return std::sqrt(*plain / mask_gain);
}

}  // namespace

PictureLight light_of(const GreyPicture& picture, double clipped_grey) {
  PictureLight light;
  if (picture.grey.empty()) return light;
  std::array<std::size_t, 256> count{};
  for (const std::uint8_t grey : picture.grey) ++count.at(grey);
  std::size_t below = 0;
  std::size_t clipped = 0;
  bool bright_found = false;
  for (std::size_t grey = 0; grey < count.size(); ++grey) {
    below += count.at(grey);
    if (!bright_found && 20 * below >= 19 * picture.grey.size()) {
      light.bright_grey = static_cast<double>(grey);
      bright_found = true;
    }
    if (static_cast<double>(grey) >= clipped_grey) clipped += count.at(grey);
  }
  light.clipped_share = static_cast<double>(clipped) / static_cast<double>(picture.grey.size());
  light.noise_grey = noise_of(picture);
  return light;
}

}  // namespace risetrace::clip
