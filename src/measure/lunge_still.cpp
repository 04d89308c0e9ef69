#include "measure/lunge_still.h"

#include <algorithm>

namespace risetrace::measure {
namespace {

constexpr int longest_px = 900;  // 7 cm high on the page: 300 to the inch

// The mean of `by` x `by` pixels each; what is left over at the right and below is left out.
clip::GreyPicture shrunk(const clip::GreyPicture& picture, int by) {
  if (by <= 1) return picture;
  clip::GreyPicture out;
  out.width = picture.width / by;
  out.height = picture.height / by;
  out.grey.reserve(static_cast<std::size_t>(out.width) * static_cast<std::size_t>(out.height));
  for (int y = 0; y < out.height; ++y) {
    for (int x = 0; x < out.width; ++x) {
      int sum = 0;
      for (int down = y * by; down < (y + 1) * by; ++down) {
        const auto row = static_cast<std::size_t>(down) * static_cast<std::size_t>(picture.width);
        for (int across = x * by; across < (x + 1) * by; ++across)
          sum += picture.grey[row + static_cast<std::size_t>(across)];
      }
      out.grey.push_back(static_cast<std::uint8_t>(sum / (by * by)));
    }
  }
  return out;
}

}  // namespace

Outcome add_lunge_still(Measurement& m, const std::string& path, const clip::ReadOptions& read) {
  if (!m.lunge) return Done{};
  const double wanted_s = (m.lunge->hold_from_s + m.lunge->hold_to_s) / 2;
  Result<clip::ClipReader> reader = clip::ClipReader::open(path, read);
  if (!reader) return reader.error();
  while (true) {
    Result<std::optional<clip::Frame>> next = reader->next();
    if (!next) return next.error();
    if (!*next) return Done{};
    const clip::Frame& frame = **next;
    if (frame.time_s < wanted_s) continue;
    const int longest = std::max(frame.width_px, frame.height_px);
    const int by = (longest + longest_px - 1) / longest_px;
    m.lunge_still = {frame.number, frame.time_s, shrunk(clip::upright_picture(frame), by)};
    return Done{};
  }
}

}  // namespace risetrace::measure
