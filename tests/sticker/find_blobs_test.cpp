#include "sticker/find_blobs.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sticker/drawing.h"

namespace risetrace::sticker {
namespace {

constexpr Point left_px{80.3, 119.6};
constexpr Point right_px{230.4, 120.2};

test::Disc disc_at(Point centre_px, double grey) {
  test::Disc disc;
  disc.centre_px = centre_px;
  disc.outer_px = 9;
  disc.disc_grey = grey;
  return disc;
}

clip::GreyPicture picture_of(const std::vector<test::Disc>& discs, unsigned seed) {
  test::Canvas canvas;
  canvas.noise = 2;
  canvas.seed = seed;
  return clip::upright_picture(test::frame_of(canvas, discs, 0, 0));
}

const Fit* near(const std::vector<Fit>& blobs, Point px) {
  const auto found = std::find_if(blobs.begin(), blobs.end(), [&](const Fit& b) {
    return std::hypot(b.centre_px.x - px.x, b.centre_px.y - px.y) < 1;
  });
  return found != blobs.end() ? &*found : nullptr;
}

TEST(FindBlobs, WhereOnlyNoiseChangedTheFitOfTheSearchBeforeHolds) {
  BlobMemory memory;
  const auto first = find_blobs(picture_of({disc_at(left_px, 230)}, 1), {}, memory);
  const auto second = find_blobs(picture_of({disc_at(left_px, 230)}, 2), {}, memory);
  ASSERT_EQ(first.size(), 1U);
  ASSERT_EQ(second.size(), 1U);
  EXPECT_EQ(first[0].centre_px.x, second[0].centre_px.x);
  const auto alone = find_blobs(picture_of({disc_at(left_px, 230)}, 2), {});
  ASSERT_EQ(alone.size(), 1U);
  EXPECT_NE(first[0].centre_px.x, alone[0].centre_px.x);  // another fit, if it is made
}

TEST(FindBlobs, ASpotTooPaleIsFoundOnceItIsPaleNoMore) {
  BlobMemory memory;
  const BlobOptions options;
  const double too_pale = test::Canvas{}.grey + options.least_contrast - 2;
  EXPECT_TRUE(find_blobs(picture_of({disc_at(left_px, too_pale)}, 1), options, memory).empty());
  const auto there = [](const Looked& l) {
    return std::hypot(l.at.px.x - left_px.x, l.at.px.y - left_px.y) < 2 && !l.fit;
  };
  ASSERT_TRUE(std::any_of(memory.looked.begin(), memory.looked.end(), there));  // seen, and held for no sticker
  const auto blobs = find_blobs(picture_of({disc_at(left_px, too_pale + 12)}, 2), options, memory);
  EXPECT_NE(near(blobs, left_px), nullptr);
}

TEST(FindBlobs, OneThatWentIsFoundWhereItIsAndNotWhereItWas) {
  BlobMemory memory;
  find_blobs(picture_of({disc_at(left_px, 230)}, 1), {}, memory);
  const auto blobs = find_blobs(picture_of({disc_at(right_px, 230)}, 2), {}, memory);
  EXPECT_EQ(near(blobs, left_px), nullptr);
  EXPECT_NE(near(blobs, right_px), nullptr);
}

TEST(FindBlobs, WhatIsRememberedIsLookedAtAnewAfterAFewSearches) {
  BlobMemory memory;
  const auto first = find_blobs(picture_of({disc_at(left_px, 230)}, 1), {}, memory);
  ASSERT_EQ(first.size(), 1U);
  int held = 0;
  for (unsigned seed = 2; seed < 12; ++seed) {
    const auto blobs = find_blobs(picture_of({disc_at(left_px, 230)}, seed), {}, memory);
    ASSERT_EQ(blobs.size(), 1U);
    if (blobs[0].centre_px.x != first[0].centre_px.x) break;
    ++held;
  }
  EXPECT_GE(held, 2);
  EXPECT_LE(held, 6);
}

TEST(FindBlobs, AnotherPicturesMemoryIsNoHelp) {
  BlobMemory memory;
  find_blobs(picture_of({disc_at(left_px, 230)}, 1), {}, memory);
  test::Canvas small;
  small.width = 160;
  small.height = 120;
  const auto blobs =
      find_blobs(clip::upright_picture(test::frame_of(small, {disc_at({70, 60}, 230)}, 0, 0)), {}, memory);
  ASSERT_EQ(blobs.size(), 1U);
  EXPECT_NE(near(blobs, {70, 60}), nullptr);
}

}  // namespace
}  // namespace risetrace::sticker
