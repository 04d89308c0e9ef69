// Track and Scale to the heel's height over time, while the samples arrive.
#pragma once

#include <memory>
#include <vector>

#include "path/path.h"
#include "scale/scale.h"
#include "sticker/track.h"

namespace risetrace::path {

struct PathOptions {
  double cutoff_hz = 10.0;      // of the two-pass Butterworth
  double frame_rate_hz = 60.0;  // about; fixes the even grid that the filter runs on
};

// Feed samples in order of time. Each comes back smoothed after a fixed delay of lag_s(); the last ones with finish().
class PathBuilder {
 public:
  PathBuilder(const scale::Scale& scale, const PathOptions& options);  // scale.cm_from_px must be set
  PathBuilder(PathBuilder&&) noexcept;
  PathBuilder& operator=(PathBuilder&&) noexcept;
  ~PathBuilder();

  std::vector<PathSample> push(const sticker::TrackSample& sample);
  std::vector<PathSample> finish();
  [[nodiscard]] double lag_s() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::path
