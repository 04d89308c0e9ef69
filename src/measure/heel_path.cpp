#include "measure/heel_path.h"

#include <algorithm>

#include "path/build_path.h"

namespace risetrace::measure {

bool placed(const Measurement& m, const sticker::TrackSample& sample) {
  return sample.seen && camera::view_of(m.camera, sample.frame).known;
}

path::Path heel_path(const Measurement& m, double cutoff_hz) {
  path::PathBuilder builder(m.scale, {.cutoff_hz = cutoff_hz, .frame_rate_hz = m.clip.frame_rate_hz});
  path::Path path;
  const auto append = [&](std::vector<path::PathSample> more) {
    path.samples.insert(path.samples.end(), more.begin(), more.end());
  };
  // After it was seen for the last time there is nothing to bridge to.
  const auto& samples = m.track.samples;
  const auto end = std::find_if(samples.rbegin(), samples.rend(), [&](const auto& s) { return placed(m, s); }).base();
  for (auto sample = samples.begin(); sample != end; ++sample) {
    append(builder.push(*sample, camera::view_of(m.camera, sample->frame)));
  }
  append(builder.finish());
  return path;
}

}  // namespace risetrace::measure
