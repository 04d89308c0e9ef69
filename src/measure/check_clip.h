// The first seconds of a clip in, a verdict on how it is filmed out.
#pragma once

#include <string>

#include "base/result.h"
#include "measure/measure_clip.h"
#include "measure/setup.h"
#include "model/check_limits.h"

namespace risetrace::measure {

struct CheckOptions {
  clip::ReadOptions read;  // keep_chroma: for a picture in colours
  scale::ScaleOptions scale;
  std::optional<Point> heel_px;  // upright pixels of the first frame, if the sticker is not found
  Test test = Test::heel_raise;
  double smooth_cutoff_hz = 0.0;  // of the height trace, as it will be measured
  model::CheckLimits limits;
};

// Nobody has to move. What is wrong with the card, the sticker or the light is a finding, not a fault. Faults: those of
// clip/, option_wrong, clip_too_short.
Result<Check> check_clip(const std::string& path, const model::Cards& cards, const CheckOptions& options);

}  // namespace risetrace::measure
