// Track and Scale to the heel's height over time, while the samples arrive.
#pragma once

#include <memory>
#include <vector>

#include "camera/view.h"
#include "path/path.h"
#include "scale/scale.h"
#include "sticker/track.h"

namespace risetrace::path {

struct PathOptions {
  double cutoff_hz = 10.0;      // of the two-pass Butterworth
  double frame_rate_hz = 60.0;  // about; fixes the even grid that the filter runs on
  double lag_cycles = 2.0;      // how far the filter looks ahead, in periods of the cut-off: 2 leaves out under 1e-4 of
                                // its weights; fewer are for who must know early
};

// Feed samples in order of time. Each comes back smoothed after a fixed delay of lag_s(); the last ones with finish().
// Frames that did not see the sticker come back bridged, as soon as the sticker has been seen again; frames before the
// first and after the last sight of it do not come back, since nothing is known of them.
class PathBuilder {
 public:
  PathBuilder(const scale::Scale& scale, const PathOptions& options);  // scale.cm_from_px must be set
  PathBuilder(const PathBuilder&) = delete;
  PathBuilder& operator=(const PathBuilder&) = delete;
  PathBuilder(PathBuilder&&) noexcept;
  PathBuilder& operator=(PathBuilder&&) noexcept;
  ~PathBuilder();

  // `view` is the frame's: the sticker goes to the reference view and from there to centimetres. Where it is not known,
  // neither is the height, and the frame is bridged.
  std::vector<PathSample> push(const sticker::TrackSample& sample, const camera::View& view = {});
  std::vector<PathSample> finish();
  // At most 0.35 s, for frames at about the rate given and the sticker in sight.
  [[nodiscard]] double lag_s() const;
  // The cut-off used: the one asked for, but at most 0.4 x the frame rate.
  [[nodiscard]] double cutoff_hz() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::path
