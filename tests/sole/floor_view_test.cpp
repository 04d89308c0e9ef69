// The edge between a drawn sole and a drawn floor.
#include "sole/floor_view.h"

#include <gtest/gtest.h>

namespace risetrace::sole {
namespace {

constexpr int width = 400;
constexpr int height = 200;
constexpr int floor_row = 150;

// A shoe from x = 100 to 380 stands on the floor; px_per_cm 10, the heel's sticker above x = 130.
clip::GreyPicture standing_shoe(std::uint8_t sole, std::uint8_t floor) {
  clip::GreyPicture picture{width, height, std::vector<std::uint8_t>(static_cast<std::size_t>(width) * height, floor)};
  for (int y = 100; y < floor_row; ++y) {
    for (int x = 100; x < 380; ++x) {
      picture.grey[static_cast<std::size_t>(y) * width + static_cast<std::size_t>(x)] = y < floor_row - 12 ? 60 : sole;
    }
  }
  return picture;
}

FloorPlace place() { return {{130, floor_row}, {10, 0}, {0, -10}, 8, 22}; }

}  // namespace

TEST(FloorView, TellsTheStepOfGrey) {
  EXPECT_NEAR(floor_contrast(standing_shoe(210, 90), place(), 1).value_or(0), 120, 1);
  EXPECT_NEAR(floor_contrast(standing_shoe(50, 90), place(), 1).value_or(0), 40, 1);
  EXPECT_NEAR(floor_contrast(standing_shoe(60, 60), place(), 1).value_or(99), 0, 0.01);
}

TEST(FloorView, BareFloorHasNone) {
  FloorPlace ahead = place();  // of the shoe's tip
  ahead.from_cm = 25.5;
  ahead.to_cm = 26.5;
  EXPECT_NEAR(floor_contrast(standing_shoe(210, 90), ahead, 1).value_or(99), 0, 0.01);
}

TEST(FloorView, IsNotToldOutsideOfThePicture) {
  EXPECT_FALSE(floor_contrast(standing_shoe(210, 90), place(), -1).has_value());
}

}  // namespace risetrace::sole
