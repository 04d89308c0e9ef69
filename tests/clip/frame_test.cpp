#include "clip/frame.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <vector>

#include "drawn.h"

namespace risetrace::clip {
namespace {

// A stored picture of known samples, with no decoder in between.
struct Made {
  std::vector<std::uint8_t> bytes;
  Frame frame;

  [[nodiscard]] int stored(int x, int y) const { return 7 * x + 13 * y + x * y; }
  [[nodiscard]] int stored_sample(int x, int y) const { return stored(x, y) & ((1 << frame.bits) - 1); }
};

Made make(int width, int height, Orientation orientation, int bits, bool negative_stride) {
  Made made;
  made.frame.bits = bits;
  const std::ptrdiff_t sample = bits > 8 ? 2 : 1;
  const std::ptrdiff_t stride = width * sample + 6;  // padding, as decoders have it
  made.bytes.assign(static_cast<std::size_t>(stride * height), 0xEE);
  std::uint8_t* top = made.bytes.data() + (negative_stride ? stride * (height - 1) : 0);
  const std::ptrdiff_t down = negative_stride ? -stride : stride;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const int value = made.stored_sample(x, y);
      std::uint8_t* at = top + y * down + x * sample;
      at[0] = static_cast<std::uint8_t>(value & 255);
      if (bits > 8) at[1] = static_cast<std::uint8_t>(value >> 8);
    }
  }
  made.frame.luma = {top, down, width, height};
  made.frame.orientation = orientation;
  const bool turned = orientation.quarter_turns_cw % 2 == 1;
  made.frame.width_px = turned ? height : width;
  made.frame.height_px = turned ? width : height;
  return made;
}

// The definition, carried out step by step: mirror left-right, then so many clockwise quarter turns.
test::Grid upright_by_definition(const Made& made) {
  test::Grid grid(made.frame.luma.width, made.frame.luma.height);
  for (int y = 0; y < grid.height; ++y) {
    for (int x = 0; x < grid.width; ++x) grid.at(x, y) = made.stored_sample(x, y);
  }
  return test::stood_up(grid, made.frame.orientation);
}

Orientation any_orientation() { return {*rc::gen::inRange(0, 4), *rc::gen::arbitrary<bool>()}; }

Made any_made() {
  const int bits = *rc::gen::element(8, 10, 12);
  return make(*rc::gen::inRange(1, 80), *rc::gen::inRange(1, 80), any_orientation(), bits, *rc::gen::arbitrary<bool>());
}

RC_GTEST_PROP(Frame, PatchesAreTheUprightPicture, ()) {
  const Made made = any_made();
  const test::Grid upright = upright_by_definition(made);
  RC_ASSERT(upright.width == made.frame.width_px && upright.height == made.frame.height_px);
  const Box box{*rc::gen::inRange(-10, 90), *rc::gen::inRange(-10, 90), *rc::gen::inRange(-3, 100),
                *rc::gen::inRange(-3, 100)};
  const Patch patch = upright_patch(made.frame, box);
  const double scale = 1.0 / (1 << (made.frame.bits - 8));
  std::size_t inside = 0;
  for (int y = box.y0; y < box.y0 + box.height; ++y) {
    for (int x = box.x0; x < box.x0 + box.width; ++x) {
      if (x < 0 || y < 0 || x >= upright.width || y >= upright.height) continue;
      ++inside;
      RC_ASSERT(patch.at(x - patch.box.x0, y - patch.box.y0) == static_cast<float>(scale * upright.at(x, y)));
    }
  }
  RC_ASSERT(patch.grey.size() == inside);
}

RC_GTEST_PROP(Frame, WholePictureIsTheUprightPicture, ()) {
  const Made made = any_made();
  const test::Grid upright = upright_by_definition(made);
  const GreyPicture picture = upright_picture(made.frame);
  RC_ASSERT(picture.width == upright.width && picture.height == upright.height);
  const double scale = 1.0 / (1 << (made.frame.bits - 8));
  for (int y = 0; y < upright.height; ++y) {
    for (int x = 0; x < upright.width; ++x) {
      const int nearest = std::min(255, static_cast<int>(std::floor(scale * upright.at(x, y) + 0.5)));
      RC_ASSERT(picture.grey[static_cast<std::size_t>(y * upright.width + x)] == nearest);
    }
  }
}

RC_GTEST_PROP(Frame, StoredAndUprightPointsAreInverses, ()) {
  const Made made = any_made();
  const Point point{*rc::gen::inRange(-1000, 5000) / 16.0, *rc::gen::inRange(-1000, 5000) / 16.0};
  const Point there = stored_from_upright(made.frame, point);
  const Point back = upright_from_stored(made.frame, there);
  RC_ASSERT(back.x == point.x && back.y == point.y);
  const Point other_way = stored_from_upright(made.frame, upright_from_stored(made.frame, point));
  RC_ASSERT(other_way.x == point.x && other_way.y == point.y);
}

RC_GTEST_PROP(Frame, PointsLeadToTheSampleThatThePatchShows, ()) {
  const Made made = any_made();
  const int x = *rc::gen::inRange(0, made.frame.width_px);
  const int y = *rc::gen::inRange(0, made.frame.height_px);
  const Point stored = stored_from_upright(made.frame, {static_cast<double>(x), static_cast<double>(y)});
  const int sample = made.stored_sample(static_cast<int>(stored.x), static_cast<int>(stored.y));
  const Patch patch = upright_patch(made.frame, {x, y, 1, 1});
  RC_ASSERT(patch.at(0, 0) * static_cast<float>(1 << (made.frame.bits - 8)) == static_cast<float>(sample));
}

TEST(Frame, BoxesFarOutsideAreEmpty) {
  const Made made = make(40, 30, {}, 8, false);
  constexpr int huge = std::numeric_limits<int>::max();
  const Box all = clipped(made.frame, {-10, -10, huge, huge});
  EXPECT_EQ(all.width, 40);
  EXPECT_EQ(all.height, 30);
  EXPECT_EQ(clipped(made.frame, {huge, huge, huge, huge}).width, 0);
  EXPECT_EQ(clipped(made.frame, {-huge, -huge, 5, 5}).height, 0);
  EXPECT_TRUE(upright_patch(made.frame, {50, 50, 10, 10}).grey.empty());
}

}  // namespace
}  // namespace risetrace::clip
