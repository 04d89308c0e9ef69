#include "sole/floor_view.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "math/statistics.h"

namespace risetrace::sole {
namespace {

constexpr double step_cm = 0.25;
constexpr double band_cm = 0.4;  // above and below the edge: thinner than a shoe's sole
constexpr double search_cm =
    0.6;  // the card's foot and the shoe's need not stand on quite the same level; the sole ends above

std::optional<double> grey_at(const clip::GreyPicture& picture, double x_px, double y_px) {
  const int x = static_cast<int>(std::lround(x_px));
  const int y = static_cast<int>(std::lround(y_px));
  if (x < 0 || y < 0 || x >= picture.width || y >= picture.height) return std::nullopt;
  return picture
      .grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(x)];
}

}  // namespace

std::optional<double> floor_contrast(const clip::GreyPicture& picture, const FloorPlace& place, int side) {
  std::vector<double> contrasts;
  const double px_per_cm = std::hypot(place.up.x, place.up.y);
  const int fine = std::max(1, static_cast<int>(std::lround(band_cm * px_per_cm)));  // pixels of a band
  const int rows = 2 * static_cast<int>(std::ceil((search_cm + band_cm) * px_per_cm)) + 1;
  const int middle_row = (rows - 1) / 2;
  const int columns = static_cast<int>((place.to_cm - place.from_cm) / step_cm) + 1;
  for (int column = 0; column < columns; ++column) {
    const double ahead = place.from_cm + column * step_cm;
    std::vector<double> sums(1, 0.0);  // from the lowest row upwards
    for (int row = 0; row < rows; ++row) {
      const double up_cm = (row - middle_row) / px_per_cm;
      const auto grey = grey_at(picture, place.below_heel_px.x + side * ahead * place.along.x + up_cm * place.up.x,
                                place.below_heel_px.y + side * ahead * place.along.y + up_cm * place.up.y);
      if (!grey) return std::nullopt;
      sums.push_back(sums.back() + *grey);
    }
    double greatest = 0;
    for (int edge = fine; edge + fine <= rows; ++edge) {
      const auto at = [&](int row) { return sums[static_cast<std::size_t>(row)]; };
      greatest = std::max(greatest, std::abs(at(edge + fine) - 2 * at(edge) + at(edge - fine)) / fine);
    }
    contrasts.push_back(greatest);
  }
  if (contrasts.empty()) return std::nullopt;
  return math::median(contrasts);
}

}  // namespace risetrace::sole
