// A picture shown again is told from the next one, also after a second coding.
#include "clip/picture_change.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <random>

namespace risetrace::clip {
namespace {

struct Film {
  double noise = 0;   // of the sensor, new in each picture
  double coding = 0;  // of a second coding
  int bits = 8;
};

// A bright square of 60 pixels on its way to the right over a dark 640 x 360 picture; `shown` is how far it has come.
Frame frame_at(double shown, unsigned seed, const Film& film) {
  constexpr int width = 640;
  constexpr int height = 360;
  std::mt19937 sensor(seed);
  static unsigned codings = 0;
  std::mt19937 coder(++codings);
  std::normal_distribution<double> normal(0, 1);
  auto owned = std::make_shared<std::vector<std::uint8_t>>();
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const bool square = x >= shown && x < shown + 60 && y > 150 && y < 210;
      const double grey = (square ? 180 : 60) + film.noise * normal(sensor) + film.coding * normal(coder);
      const int most = (1 << film.bits) - 1;
      const int sample = std::clamp(static_cast<int>(grey * (1 << (film.bits - 8))), 0, most);
      owned->push_back(static_cast<std::uint8_t>(sample & 0xff));
      if (film.bits > 8) owned->push_back(static_cast<std::uint8_t>(sample >> 8));
    }
  }
  Frame frame;
  frame.width_px = width;
  frame.height_px = height;
  frame.bits = film.bits;
  frame.luma = {owned->data(), static_cast<std::ptrdiff_t>(width) * (film.bits > 8 ? 2 : 1), width, height};
  frame.owner = owned;
  return frame;
}

TEST(PictureChange, TellsAPictureShownAgain) {
  for (const Film film : {Film{}, Film{3, 0}, Film{3, 1}, Film{0, 1, 10}}) {
    PictureChange change;
    for (unsigned n = 0; n < 40; ++n) {
      const bool again = n == 20 || n == 21 || n == 30;
      const unsigned shown = n == 20 || n == 21 ? 19 : n == 30 ? 29 : n;
      EXPECT_EQ(change.like_last(frame_at(9.0 * shown, shown, film)), again) << n << " noise " << film.noise;
    }
  }
}

TEST(PictureChange, AStillSceneIsNotShownAgain) {
  PictureChange change;
  for (unsigned n = 0; n < 30; ++n) EXPECT_FALSE(change.like_last(frame_at(100, n, {0.5, 0}))) << n;
}

TEST(PictureChange, AnotherSizeIsANewPicture) {
  PictureChange change;
  for (unsigned n = 0; n < 10; ++n) change.like_last(frame_at(9.0 * n, n, {}));
  Frame small = frame_at(81, 9, {});
  small.luma.height = 100;
  EXPECT_FALSE(change.like_last(small));
  EXPECT_FALSE(change.like_last(Frame{}));
}

}  // namespace
}  // namespace risetrace::clip
