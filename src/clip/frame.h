// One decoded picture, not copied and not turned: readers ask for upright pieces of its luma.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "base/geometry.h"

namespace risetrace::clip {

// How the stored picture must be moved to stand as a person sees it: mirrored left-right first (if it is), then turned
// clockwise by quarter turns.
struct Orientation {
  int quarter_turns_cw = 0;  // 0 .. 3
  bool mirrored = false;
};

// Stored (not upright) samples of one colour plane. Not owned.
struct Plane {
  const std::uint8_t* data = nullptr;
  std::ptrdiff_t stride_bytes = 0;  // may be negative
  int width = 0;
  int height = 0;
};

// A copied piece of luma, upright, row by row, in grey levels of an 8-bit picture (0 .. 255; a 10-bit picture keeps its
// fractions). Pixel (x, y) of the whole upright picture is at(x - box.x0, y - box.y0).
struct Patch {
  Box box;
  std::vector<float> grey;

  [[nodiscard]] float at(int column, int row) const {
    return grey[static_cast<std::size_t>(row) * static_cast<std::size_t>(box.width) + static_cast<std::size_t>(column)];
  }
};

// A whole upright picture in 8 bits, for searches that need one.
struct GreyPicture {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> grey;  // row by row, no padding
};

struct Frame {
  std::int64_t number = 0;  // 0 for the first frame shown
  double time_s = 0.0;      // since the first frame shown, as time passed while filming
  int width_px = 0;         // of the upright picture
  int height_px = 0;
  Orientation orientation;
  int bits = 8;  // of a sample; above 8, two bytes little-endian hold one
  Plane luma;
  Plane chroma[2];                    // Cb, Cr where the reader kept them (4:2:0), else null
  bool like_last = false;             // perhaps the picture before shown again: see picture_change.h
  bool full_range = false;            // luma runs 0..255 (of 8 bits), not 16..235
  std::shared_ptr<const void> owner;  // keeps the planes alive; holding a Frame holds its memory
};

// The part of `box` that lies inside the upright picture; width or height 0 where nothing does.
Box clipped(const Frame& frame, Box box);
// `box` is clipped first. Works for every orientation and depth.
Patch upright_patch(const Frame& frame, Box box);
// The same in 8 bits, with no turn through floats.
GreyPicture upright_grey(const Frame& frame, Box box);
// Whole picture, upright, 8 bits.
GreyPicture upright_picture(const Frame& frame);
// A patch as an 8-bit picture of its own.
GreyPicture picture_of(const Patch& patch);
// The part of `box` that lies inside the picture.
Patch patch_of(const GreyPicture& picture, Box box);

// Stored pixel coordinates to upright ones and back (centre of the top left pixel is (0, 0) in both).
Point upright_from_stored(const Frame& frame, Point stored_px);
Point stored_from_upright(const Frame& frame, Point upright_px);

}  // namespace risetrace::clip
