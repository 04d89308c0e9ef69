// Frames of a moving sticker whose place is known, and how well any unbiased method could know it: for the comparison
// of localisers. Drawn on a grid eight times finer than the pixels, nothing of it by the formulas of the fit.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "clip/frame.h"

namespace risetrace::bench {

// So many frames at first the sticker only comes up to speed; they are not judged.
inline constexpr int run_in_frames = 12;

// What lies round the sticker.
enum class Surroundings {
  slope,     // light that falls off evenly
  pattern,   // dark and light squares that stand still while the sticker passes before them
  drifting,  // rough texture that drifts against the sticker
  seam,      // a shoe's dark seam and the edge of its sole, which go with the sticker, a little away from it
  aside,     // on a slope, but the sticker is turned away by 50 degrees
  jerky,     // on a slope; the speed, and with it the blur, goes up and down
};

struct View {
  Surroundings surroundings = Surroundings::slope;
  double radius_px = 10.0;  // of the whole sticker: a white disc of 0.65 of it in a black ring
  double blur_px = 0.0;     // the way of the sticker while the shutter is open; the greatest, where it changes
};

struct Shown {
  cv::Mat grey;     // floats without noise, or 8 bits
  Point centre_px;  // of the sticker in the middle of the exposure
};

// Without noise. The lens: a Gaussian of 0.6 px. Grey levels are linear in light here.
std::vector<Shown> film(const View& view, int frames, int width, int height);
// As a decoder would give it, `world_fps` frames a second; it keeps its own copy.
inline constexpr double world_fps = 60;
clip::Frame frame_of(const cv::Mat& grey, int number);
// Each pixel with normal noise of its own, in whole grey levels.
std::vector<Shown> noisy(const std::vector<Shown>& clean, double noise_grey, unsigned seed);

// Cramer-Rao bound of one axis, px: the root mean square over both axes and all frames of the least standard deviation
// of a centre known in all but its place, from the Fisher information of independent normal noise and of rounding to
// whole grey levels (its variance 1/12 is added). This is it for noise_grey^2 + 1/12 = 1: it grows with their root.
double bound_px(const View& view, int frames, int width, int height);

std::string name_of(Surroundings surroundings);

}  // namespace risetrace::bench
