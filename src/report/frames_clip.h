// The clip again so that a page can show any one of its frames: frames.mp4, foot.mp4 and frames.json.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip/frame.h"
#include "measure/measurement.h"

namespace risetrace::report {

// The top left pixel of the square round the foot in each frame, upright pixels, even, wholly inside the picture: round
// the heel's sticker in heel raises, its way smoothed; round the shoe in hops, its height that of the floor. Where
// nothing was seen it stays where it was.
struct FootView {
  int size_px = 0;  // 0: nothing was followed
  struct Corner {
    int x = 0;
    int y = 0;
  };
  std::vector<Corner> corners;  // one a frame
};
FootView foot_view(const measure::Measurement& measurement);

// Every frame once, each a whole picture of its own (H.264, constrained baseline, 4:2:0), 30 a second whatever the
// clip's rate: frame N is shown from N/30 to (N+1)/30 s. The whole picture at most 960 px wide, the square round the
// foot in the clip's own pixels.
class FramesClip {
 public:
  // Into `folder`, which must be there. Faults: cannot_write.
  static Result<FramesClip> create(const std::filesystem::path& folder, const measure::Measurement& measurement,
                                   const clip::Frame& first);
  FramesClip(FramesClip&&) noexcept;
  FramesClip& operator=(FramesClip&&) noexcept;
  FramesClip(const FramesClip&) = delete;
  FramesClip& operator=(const FramesClip&) = delete;
  ~FramesClip();

  // In order, the first one too. Faults: cannot_write, defect.
  Outcome add(const clip::Frame& frame);
  Outcome finish();

 private:
  struct Inside;
  explicit FramesClip(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::report
