#include "clip/picture_change.h"

#include <algorithm>
#include <cstdlib>

namespace risetrace::clip {
namespace {

// Ours. A second coding of the same picture changes less; noise and movement change more.
constexpr int changed_grey = 8;
constexpr double far_fewer = 0.1;
constexpr double something_moved = 0.002;  // of the pixels looked at
constexpr std::size_t remembered = 15;
constexpr std::size_t least_remembered = 5;
constexpr int rows = 48;
constexpr int column_step = 6;

// Some of the stored picture's pixels, in 8 bits.
std::vector<std::uint8_t> some_of(const Frame& frame) {
  std::vector<std::uint8_t> grey;
  const Plane& luma = frame.luma;
  const int row_step = std::max(1, luma.height / rows);
  for (int y = row_step / 2; y < luma.height; y += row_step) {
    const std::uint8_t* row = luma.data + y * luma.stride_bytes;
    for (int x = 0; x < luma.width; x += column_step) {
      if (frame.bits == 8) {
        grey.push_back(row[x]);
      } else {
        const std::uint8_t* at = row + 2 * static_cast<std::ptrdiff_t>(x);
        const int sample = at[0] | at[1] << 8;
        grey.push_back(static_cast<std::uint8_t>(sample >> (frame.bits - 8)));
      }
    }
  }
  return grey;
}

double median_of(std::deque<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

bool PictureChange::like_last(const Frame& frame) {
  std::vector<std::uint8_t> now = some_of(frame);
  std::swap(now, last_);
  if (now.size() != last_.size() || now.empty()) return false;
  std::size_t changed = 0;
  for (std::size_t i = 0; i < now.size(); ++i) changed += std::abs(now[i] - last_[i]) > changed_grey ? 1 : 0;
  const double share = static_cast<double>(changed) / static_cast<double>(now.size());
  const double usual = changes_.size() < least_remembered ? 0.0 : median_of(changes_);
  if (usual >= something_moved && share < far_fewer * usual) return true;
  changes_.push_back(share);
  if (changes_.size() > remembered) changes_.pop_front();
  return false;
}

}  // namespace risetrace::clip
