#include "synth/photo.h"

#include <array>
#include <cmath>
#include <fstream>
#include <limits>

namespace risetrace::synth {
namespace {

constexpr int largest_side = 20000;

Error no_photo(const std::string& path, const std::string& why) {
  return {Fault::option_wrong, "background.file " + path + " " + why, "give a binary PGM or PPM picture of 8 bits"};
}

// The next number of the head, after white space and comments; negative where there is none.
int head_number(std::istream& in) {
  while (in) {
    const int next = in.peek();
    if (next == '#') {
      in.ignore(std::numeric_limits<std::streamsize>::max(), '\n');
    } else if (next == ' ' || next == '\t' || next == '\n' || next == '\r') {
      in.get();
    } else {
      break;
    }
  }
  int number = -1;
  in >> number;
  return in ? number : -1;
}

int mirrored(double at, int count) {
  if (at >= 0 && at < count) return static_cast<int>(at);  // as nearly everywhere: the remainder is slow
  const int period = 2 * count;
  const int i = static_cast<int>(std::fmod(at, period) + period) % period;
  return i < count ? i : period - 1 - i;
}

}  // namespace

Colour Photo::at(double column, double row) const {
  const double left = std::floor(column);
  const double top = std::floor(row);
  Colour out;
  for (int dy = 0; dy < 2; ++dy) {
    for (int dx = 0; dx < 2; ++dx) {
      const double share = (dx == 0 ? 1 - (column - left) : column - left) * (dy == 0 ? 1 - (row - top) : row - top);
      const auto at = static_cast<std::size_t>(mirrored(top + dy, height)) * static_cast<std::size_t>(width) +
                      static_cast<std::size_t>(mirrored(left + dx, width));
      const std::uint8_t* value = values.data() + at * static_cast<std::size_t>(channels);
      out.r += share * value[0] / 255.0;
      out.g += share * value[channels == 1 ? 0 : 1] / 255.0;
      out.b += share * value[channels == 1 ? 0 : 2] / 255.0;
    }
  }
  return out;
}

Result<Photo> read_photo(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) return no_photo(path, "cannot be read");
  std::array<char, 2> kind{};
  in.read(kind.data(), kind.size());
  if (!in || kind[0] != 'P' || (kind[1] != '5' && kind[1] != '6')) return no_photo(path, "is neither PGM nor PPM");
  Photo photo;
  photo.channels = kind[1] == '5' ? 1 : 3;
  photo.width = head_number(in);
  photo.height = head_number(in);
  const int greatest = head_number(in);
  in.get();  // one white space before the samples
  if (photo.width < 1 || photo.height < 1 || photo.width > largest_side || photo.height > largest_side) {
    return no_photo(path, "has no usable size");
  }
  if (greatest != 255) return no_photo(path, "is not of 8 bits");
  photo.values.resize(static_cast<std::size_t>(photo.width) * static_cast<std::size_t>(photo.height) *
                      static_cast<std::size_t>(photo.channels));
  in.read(reinterpret_cast<char*>(photo.values.data()), static_cast<std::streamsize>(photo.values.size()));
  if (static_cast<std::size_t>(in.gcount()) != photo.values.size()) return no_photo(path, "ends too soon");
  return photo;
}

}  // namespace risetrace::synth
