// Pictures whose noise and brightness are known.
#include "clip/picture_light.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace risetrace::clip {
namespace {

// A slope of brightness, since a wall is never even, with noise of this standard deviation.
GreyPicture noisy_slope(double sd, double lowest, double highest) {
  GreyPicture picture{320, 240, {}};
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0, sd);
  for (int y = 0; y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      const double grey = lowest + (highest - lowest) * x / (picture.width - 1) + (sd > 0 ? noise(random) : 0);
      picture.grey.push_back(static_cast<std::uint8_t>(std::clamp(std::lround(grey), 0L, 255L)));
    }
  }
  return picture;
}

}  // namespace

// Rounding to whole grey levels adds 1/12 to the variance; the plainest quarter of the squares reads a little low.
TEST(PictureLight, FindsTheNoiseOnASlope) {
  for (const double sd : {2.0, 4.0, 8.0}) {
    EXPECT_NEAR(light_of(noisy_slope(sd, 60, 190), 252).noise_grey, std::sqrt(sd * sd + 1.0 / 12), 0.08 * sd) << sd;
  }
}

TEST(PictureLight, TextureInHalfOfThePictureIsNoNoise) {
  GreyPicture picture = noisy_slope(2, 60, 190);
  for (int y = 0; y < picture.height; ++y) {
    for (int x = y % 5; x < picture.width / 2; x += 5) {
      picture.grey[static_cast<std::size_t>(y) * 320 + static_cast<std::size_t>(x)] = 230;
    }
  }
  EXPECT_NEAR(light_of(picture, 252).noise_grey, 2, 0.25);
}

TEST(PictureLight, TellsBrightnessAndWhatIsClipped) {
  const PictureLight slope = light_of(noisy_slope(0, 0, 200), 252);
  EXPECT_NEAR(slope.bright_grey, 190, 2);
  EXPECT_EQ(slope.clipped_share, 0);
  EXPECT_NEAR(light_of(noisy_slope(0, 155, 355), 255).clipped_share, 0.5, 0.01);
  EXPECT_EQ(light_of(GreyPicture{}, 252).noise_grey, 0);
}

}  // namespace risetrace::clip
