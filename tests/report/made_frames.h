// Frames made by hand: a sticker that follows the sample's track over a plain ground with colour, stored in any
// orientation and depth.
#pragma once

#include <cmath>
#include <memory>
#include <vector>

#include "clip/frame.h"
#include "measure/measurement.h"

namespace risetrace::test {

struct FrameShape {
  int width_px = 1080;  // upright
  int height_px = 1920;
  clip::Orientation orientation;
  int bits = 8;
  bool colour = true;
};

struct FramePlanes {
  std::vector<std::uint8_t> luma;
  std::vector<std::uint8_t> chroma[2];
};

// Where the upright sample (x, y) of a plane of upright size w x h is stored.
inline std::size_t stored_index(const clip::Orientation& o, int w, int h, int x, int y, int& stored_width) {
  // Turned clockwise by k from what is stored: undo it.
  int sx = x;
  int sy = y;
  stored_width = o.quarter_turns_cw % 2 == 1 ? h : w;
  const int stored_height = o.quarter_turns_cw % 2 == 1 ? w : h;
  if (o.quarter_turns_cw == 1) sx = y, sy = stored_height - 1 - x;
  if (o.quarter_turns_cw == 2) sx = w - 1 - x, sy = h - 1 - y;
  if (o.quarter_turns_cw == 3) sx = stored_width - 1 - y, sy = x;
  if (o.mirrored) sx = stored_width - 1 - sx;
  return static_cast<std::size_t>(sy) * static_cast<std::size_t>(stored_width) + static_cast<std::size_t>(sx);
}

template <typename Value>
clip::Plane fill_plane(std::vector<std::uint8_t>& bytes, const FrameShape& shape, int shrink, Value value) {
  const int w = shape.width_px / shrink;
  const int h = shape.height_px / shrink;
  const std::size_t sample_bytes = shape.bits > 8 ? 2 : 1;
  bytes.assign(static_cast<std::size_t>(w) * static_cast<std::size_t>(h) * sample_bytes, 0);
  int stored_width = 0;
  for (int y = 0; y < h; ++y) {
    for (int x = 0; x < w; ++x) {
      const std::size_t at = stored_index(shape.orientation, w, h, x, y, stored_width) * sample_bytes;
      const unsigned level = static_cast<unsigned>(value(x, y)) << (shape.bits - 8);
      bytes[at] = static_cast<std::uint8_t>(level & 0xffU);
      if (sample_bytes == 2) bytes[at + 1] = static_cast<std::uint8_t>(level >> 8U);
    }
  }
  return {bytes.data(), static_cast<std::ptrdiff_t>(static_cast<std::size_t>(stored_width) * sample_bytes),
          stored_width, w * h / std::max(stored_width, 1)};
}

// A grey wall above a brown floor, a white disc with a black ring where the heel is. The lower half is orange-ish
// (Cr high), so that colour planes turned the wrong way show.
inline clip::Frame made_frame(const FrameShape& shape, std::int64_t number, double time_s, Point heel_px) {
  auto planes = std::make_shared<FramePlanes>();
  clip::Frame frame;
  frame.number = number;
  frame.time_s = time_s;
  frame.width_px = shape.width_px;
  frame.height_px = shape.height_px;
  frame.orientation = shape.orientation;
  frame.bits = shape.bits;
  const int floor_y = shape.height_px * 3 / 5;
  frame.luma = fill_plane(planes->luma, shape, 1, [&](int x, int y) {
    const double away = std::hypot(x - heel_px.x, y - heel_px.y);
    if (away < 14) return 230;
    if (away < 22) return 20;
    return y < floor_y ? 150 : 90;
  });
  if (shape.colour) {
    frame.chroma[0] = fill_plane(planes->chroma[0], shape, 2, [&](int, int y) { return y < floor_y / 2 ? 128 : 100; });
    frame.chroma[1] = fill_plane(planes->chroma[1], shape, 2, [&](int, int y) { return y < floor_y / 2 ? 128 : 170; });
  }
  frame.owner = planes;
  return frame;
}

}  // namespace risetrace::test
