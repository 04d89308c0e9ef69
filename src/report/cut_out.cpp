#include "report/cut_out.h"

#include <algorithm>

namespace risetrace::report {
namespace {

// Where the upright sample (x, y) of a plane is stored: turned back, then mirrored back (clip::Orientation).
struct Stored {
  int x = 0;
  int y = 0;
};

Stored stored_of(const clip::Plane& plane, const clip::Orientation& orientation, int x, int y) {
  Stored at{x, y};
  switch (orientation.quarter_turns_cw & 3) {
    case 1:
      at = {y, plane.height - 1 - x};
      break;
    case 2:
      at = {plane.width - 1 - x, plane.height - 1 - y};
      break;
    case 3:
      at = {plane.width - 1 - y, x};
      break;
    default:
      break;
  }
  if (orientation.mirrored) at.x = plane.width - 1 - at.x;
  return at;
}

void copy(const clip::Plane& plane, const clip::Frame& frame, const Box& box, std::vector<std::uint8_t>& to) {
  to.resize(static_cast<std::size_t>(box.width) * static_cast<std::size_t>(box.height));
  const bool deep = frame.bits > 8;
  const std::ptrdiff_t bytes = deep ? 2 : 1;
  const Stored first = stored_of(plane, frame.orientation, box.x0, box.y0);
  const auto step_to = [&](int x, int y) {
    const Stored at = stored_of(plane, frame.orientation, x, y);
    return (at.y - first.y) * plane.stride_bytes + (at.x - first.x) * bytes;
  };
  const std::ptrdiff_t right = step_to(box.x0 + 1, box.y0);
  const std::ptrdiff_t down = step_to(box.x0, box.y0 + 1);
  const std::uint8_t* row = plane.data + first.y * plane.stride_bytes + first.x * bytes;
  std::uint8_t* out = to.data();
  for (int y = 0; y < box.height; ++y, row += down) {
    if (!deep && right == 1) {
      out = std::copy(row, row + box.width, out);
      continue;
    }
    const std::uint8_t* from = row;
    for (int x = 0; x < box.width; ++x, from += right) {
      *out++ = deep ? static_cast<std::uint8_t>((from[0] | (from[1] << 8)) >> (frame.bits - 8)) : *from;
    }
  }
}

}  // namespace

PictureView CutOut::of(const clip::Frame& frame, int x0, int y0) {
  PictureView view;
  copy(frame.luma, frame, {x0, y0, width_px_, height_px_}, luma_);
  view.luma = {luma_.data(), width_px_, width_px_, height_px_};
  const Box half{x0 / 2, y0 / 2, width_px_ / 2, height_px_ / 2};
  for (std::size_t i = 0; i < chroma_.size(); ++i) {
    const clip::Plane& plane = frame.chroma[i];
    if (plane.data == nullptr) continue;
    copy(plane, frame, half, chroma_.at(i));
    view.chroma.at(i) = {chroma_.at(i).data(), half.width, half.width, half.height};
  }
  return view;
}

}  // namespace risetrace::report
