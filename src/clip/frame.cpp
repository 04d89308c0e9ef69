#include "clip/frame.h"

#include <algorithm>
#include <cstring>

namespace risetrace::clip {
namespace {

// Where an upright pixel lies in the stored picture: origin + x * per_column + y * per_row, in whole stored pixels.
struct UprightWalk {
  int origin_x = 0, origin_y = 0;
  int column_x = 1, column_y = 0;
  int row_x = 0, row_y = 1;
};

UprightWalk walk_of(const Frame& frame) {
  const int last_x = frame.luma.width - 1;
  const int last_y = frame.luma.height - 1;
  UprightWalk walk;
  switch (frame.orientation.quarter_turns_cw & 3) {
    case 0:
      walk = {0, 0, 1, 0, 0, 1};
      break;
    case 1:
      walk = {0, last_y, 0, -1, 1, 0};
      break;
    case 2:
      walk = {last_x, last_y, -1, 0, 0, -1};
      break;
    default:
      walk = {last_x, 0, 0, 1, -1, 0};
      break;
  }
  if (frame.orientation.mirrored) {  // the mirror came first, so it is undone last: stored x counts from the right
    walk.origin_x = last_x - walk.origin_x;
    walk.column_x = -walk.column_x;
    walk.row_x = -walk.row_x;
  }
  return walk;
}

struct ByteWalk {
  const std::uint8_t* origin = nullptr;  // the sample of upright (box.x0, box.y0)
  std::ptrdiff_t column = 0;             // bytes to the sample right of it
  std::ptrdiff_t row = 0;                // bytes to the sample below it
};

ByteWalk byte_walk_of(const Frame& frame, const Box& box) {
  const UprightWalk walk = walk_of(frame);
  const std::ptrdiff_t sample = frame.bits > 8 ? 2 : 1;
  const std::ptrdiff_t stride = frame.luma.stride_bytes;
  const std::ptrdiff_t x = walk.origin_x + box.x0 * walk.column_x + box.y0 * walk.row_x;
  const std::ptrdiff_t y = walk.origin_y + box.x0 * walk.column_y + box.y0 * walk.row_y;
  return {frame.luma.data + y * stride + x * sample, walk.column_x * sample + walk.column_y * stride,
          walk.row_x * sample + walk.row_y * stride};
}

int deep_sample(const std::uint8_t* at) { return at[0] | (at[1] << 8); }

std::uint8_t shallow(int value, int bits) {
  const int rounded = (value + (1 << (bits - 9))) >> (bits - 8);
  return static_cast<std::uint8_t>(std::min(rounded, 255));
}

void copy_grey_row(const std::uint8_t* from, std::ptrdiff_t step, int count, float* to) {
  if (step == 1) {  // the hot path: neighbouring bytes, which the compiler turns into vector code
    for (int i = 0; i < count; ++i) to[i] = static_cast<float>(from[i]);
    return;
  }
  for (int i = 0; i < count; ++i) to[i] = static_cast<float>(from[i * step]);
}

// Tiles keep both the rows read and the rows written in the cache while a picture is turned.
constexpr int tile = 32;

template <typename Sample>
void copy_tiled(const ByteWalk& walk, GreyPicture& picture, Sample sample) {
  for (int top = 0; top < picture.height; top += tile) {
    const int bottom = std::min(top + tile, picture.height);
    for (int left = 0; left < picture.width; left += tile) {
      const int right = std::min(left + tile, picture.width);
      for (int y = top; y < bottom; ++y) {
        const std::uint8_t* from = walk.origin + y * walk.row;
        std::uint8_t* to = picture.grey.data() + static_cast<std::ptrdiff_t>(y) * picture.width;
        for (int x = left; x < right; ++x) to[x] = sample(from + x * walk.column);
      }
    }
  }
}

}  // namespace

Box clipped(const Frame& frame, Box box) {
  const auto span = [](int from, int length, int limit, int& out_from, int& out_length) {
    const std::int64_t first = std::clamp<std::int64_t>(from, 0, limit);
    const std::int64_t end = std::clamp<std::int64_t>(static_cast<std::int64_t>(from) + length, first, limit);
    out_from = static_cast<int>(first);
    out_length = static_cast<int>(end - first);
  };
  Box inside;
  span(box.x0, box.width, frame.width_px, inside.x0, inside.width);
  span(box.y0, box.height, frame.height_px, inside.y0, inside.height);
  return inside;
}

Patch upright_patch(const Frame& frame, Box box) {
  Patch patch;
  patch.box = clipped(frame, box);
  const int width = patch.box.width;
  const int height = patch.box.height;
  if (width == 0 || height == 0) return patch;
  patch.grey.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
  const ByteWalk walk = byte_walk_of(frame, patch.box);
  const float scale = 1.0F / static_cast<float>(1 << (frame.bits - 8));
  for (int y = 0; y < height; ++y) {
    const std::uint8_t* from = walk.origin + y * walk.row;
    float* to = patch.grey.data() + static_cast<std::ptrdiff_t>(y) * width;
    if (frame.bits == 8) {
      copy_grey_row(from, walk.column, width, to);
    } else {
      for (int x = 0; x < width; ++x) to[x] = scale * static_cast<float>(deep_sample(from + x * walk.column));
    }
  }
  return patch;
}

GreyPicture upright_grey(const Frame& frame, Box box) {
  box = clipped(frame, box);
  GreyPicture picture{box.width, box.height, {}};
  if (picture.width <= 0 || picture.height <= 0) return picture;
  picture.grey.resize(static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height));
  const ByteWalk walk = byte_walk_of(frame, box);
  const int bits = frame.bits;
  if (bits > 8) {
    copy_tiled(walk, picture, [bits](const std::uint8_t* at) { return shallow(deep_sample(at), bits); });
  } else if (walk.column == 1) {
    for (int y = 0; y < picture.height; ++y) {
      std::memcpy(picture.grey.data() + static_cast<std::ptrdiff_t>(y) * picture.width, walk.origin + y * walk.row,
                  static_cast<std::size_t>(picture.width));
    }
  } else {
    copy_tiled(walk, picture, [](const std::uint8_t* at) { return *at; });
  }
  return picture;
}

GreyPicture upright_picture(const Frame& frame) { return upright_grey(frame, {0, 0, frame.width_px, frame.height_px}); }

Point stored_from_upright(const Frame& frame, Point upright_px) {
  const UprightWalk walk = walk_of(frame);
  return {walk.origin_x + upright_px.x * walk.column_x + upright_px.y * walk.row_x,
          walk.origin_y + upright_px.x * walk.column_y + upright_px.y * walk.row_y};
}

Point upright_from_stored(const Frame& frame, Point stored_px) {
  // The walk is a turn, perhaps with a mirror, so its inverse is its transpose.
  const UprightWalk walk = walk_of(frame);
  const double x = stored_px.x - walk.origin_x;
  const double y = stored_px.y - walk.origin_y;
  return {x * walk.column_x + y * walk.column_y, x * walk.row_x + y * walk.row_y};
}

GreyPicture picture_of(const Patch& patch) {
  GreyPicture picture{patch.box.width, patch.box.height, {}};
  picture.grey.reserve(patch.grey.size());
  for (const float grey : patch.grey) {
    picture.grey.push_back(static_cast<std::uint8_t>(std::clamp(grey + 0.5F, 0.0F, 255.0F)));
  }
  return picture;
}

Patch patch_of(const GreyPicture& picture, Box box) {
  const int x0 = std::clamp(box.x0, 0, picture.width);
  const int y0 = std::clamp(box.y0, 0, picture.height);
  const int x1 = std::clamp(box.x0 + box.width, x0, picture.width);
  const int y1 = std::clamp(box.y0 + box.height, y0, picture.height);
  Patch patch;
  patch.box = {x0, y0, x1 - x0, y1 - y0};
  for (int y = y0; y < y1; ++y) {
    const auto row = picture.grey.begin() + static_cast<std::ptrdiff_t>(y) * picture.width;
    patch.grey.insert(patch.grey.end(), row + x0, row + x1);
  }
  return patch;
}

}  // namespace risetrace::clip
