#include "measure/heel_path.h"

#include <algorithm>

#include "path/build_path.h"

namespace risetrace::measure {

path::Path heel_path(const Measurement& m, double cutoff_hz) {
  path::PathBuilder builder(m.scale, {cutoff_hz, m.clip.frame_rate_hz});
  path::Path path;
  const auto append = [&](std::vector<path::PathSample> more) {
    path.samples.insert(path.samples.end(), more.begin(), more.end());
  };
  const auto view_of = [&](const sticker::TrackSample& s) { return camera::view_of(m.camera, s.frame); };
  const auto placed = [&](const sticker::TrackSample& s) { return s.seen && view_of(s).known; };
  // After it was seen for the last time there is nothing to bridge to.
  const auto& samples = m.track.samples;
  const auto end = std::find_if(samples.rbegin(), samples.rend(), placed).base();
  for (auto sample = samples.begin(); sample != end; ++sample) append(builder.push(*sample, view_of(*sample)));
  append(builder.finish());
  return path;
}

}  // namespace risetrace::measure
