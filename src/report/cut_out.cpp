#include "report/cut_out.h"

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

}  // namespace

void CutOut::copy(const clip::Plane& plane, const clip::Frame& frame, int x0, int y0, int size,
                  std::vector<std::uint8_t>& to) const {
  to.resize(static_cast<std::size_t>(size) * static_cast<std::size_t>(size));
  const bool deep = frame.bits > 8;
  const std::ptrdiff_t bytes = deep ? 2 : 1;
  const Stored first = stored_of(plane, frame.orientation, x0, y0);
  const Stored beside = stored_of(plane, frame.orientation, x0 + 1, y0);
  const Stored below = stored_of(plane, frame.orientation, x0, y0 + 1);
  const auto step_of = [&](const Stored& at) {
    return (at.y - first.y) * plane.stride_bytes + (at.x - first.x) * bytes;
  };
  const std::ptrdiff_t right = step_of(beside);
  const std::ptrdiff_t down = step_of(below);
  const std::uint8_t* row = plane.data + first.y * plane.stride_bytes + first.x * bytes;
  std::uint8_t* out = to.data();
  for (int y = 0; y < size; ++y, row += down) {
    const std::uint8_t* from = row;
    for (int x = 0; x < size; ++x, from += right) {
      *out++ = deep ? static_cast<std::uint8_t>((from[0] | (from[1] << 8)) >> (frame.bits - 8)) : *from;
    }
  }
}

PictureView CutOut::of(const clip::Frame& frame, int x0, int y0) {
  PictureView view;
  copy(frame.luma, frame, x0, y0, size_px_, luma_);
  view.luma = {luma_.data(), size_px_, size_px_, size_px_};
  const int half = size_px_ / 2;
  for (int i = 0; i < 2; ++i) {
    if (frame.chroma[i].data == nullptr) continue;
    copy(frame.chroma[i], frame, x0 / 2, y0 / 2, half, chroma_[i]);
    view.chroma.at(static_cast<std::size_t>(i)) = {chroma_[i].data(), half, half, half};
  }
  return view;
}

}  // namespace risetrace::report
