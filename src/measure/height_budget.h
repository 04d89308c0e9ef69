// How sure the heights of a set are: what all of its reps share and what is each one's own.
#pragma once

#include "measure/measurement.h"
#include "model/card.h"

namespace risetrace::measure {

// White noise of variance 1 in each frame: what is left of it in the path, and what is taken out of it (the variance of
// raw less smoothed). Both 0 .. 1; from the path's answer w to one frame that is off by 1: the sum of w^2, and that of
// the raw frame's weight 1 less w. Frames at even times.
struct NoiseShares {
  double kept = 1.0;
  double taken = 0.0;
};
NoiseShares noise_shares(double cutoff_hz, double frame_rate_hz);

// Standard deviation of one smoothed height, cm, from the noise of one raw height.
double smooth_noise_cm(const Measurement& measurement);

// Standard uncertainty of one smoothed height, cm, the scale left aside: that noise, what does not average out over
// frames (`localising_u_px`, models/cards.json), and, where the camera moved, what is left of its sway (`sway_left`).
double reading_u_cm(const Measurement& measurement, const model::ViewPriors& priors);

// The sticker was seen shortly before and shortly after `time_s`, within 0.06 s and at least a frame and a quarter: the
// path neither ends there nor is bridged over a movement.
bool seen_about(const path::Path& path, double time_s, double frame_s);

// Fills the uncertainties of heights, of their sums and ratios, of the work, and scale_parts (JCGM 100:2008, 5.1.2 and
// 5.2.2: each independent input's effect is carried through, so that what is common adds up in a sum and cancels in a
// ratio). The scale's inputs and the standing level are common to the reps; the reading of a peak is its own. Without
// the scale's doubts (scale by hand) only height_cm_u_own is filled. Of a rep whose peak is bridged nothing is
// filled, nor of a sum, a mean or a ratio with it: how far the heel rose unseen nothing tells.
void add_height_uncertainties(Measurement& measurement, const model::ViewPriors& priors);

}  // namespace risetrace::measure
