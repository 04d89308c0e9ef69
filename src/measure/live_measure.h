// Heel raises measured while they are filmed: frames in, what is to be said at once out. The same steps in the same
// order as of a file, and the same result at the end.
#pragma once

#include <memory>
#include <vector>

#include "base/result.h"
#include "clip/clip_facts.h"
#include "clip/frame.h"
#include "measure/live_event.h"
#include "measure/measure_clip.h"

namespace risetrace::measure {

struct LiveMeasureOptions {
  MeasureOptions measure;    // asked.test must be heel_raise; `read` is not used
  double lag_cycles = 0.75;  // of the heights told live (PathOptions); the result at the end has the file's own
};

class LiveMeasure {
 public:
  // Fault option_wrong.
  static Result<LiveMeasure> begin(const model::Cards& cards, const LiveMeasureOptions& options);
  LiveMeasure(const LiveMeasure&) = delete;
  LiveMeasure& operator=(const LiveMeasure&) = delete;
  LiveMeasure(LiveMeasure&&) noexcept;
  LiveMeasure& operator=(LiveMeasure&&) noexcept;
  ~LiveMeasure();

  // Frames in order, numbered 0, 1, 2, ... as they are pushed; who leaves frames out numbers those that are left.
  //
  // Heights and reps come once the card was seen for a second and the first rise has shown which spot is the heel's
  // sticker; reps before that are told then, with their true times. The scale of what is told is that of this moment.
  // Fault sticker_not_found where a place given by hand shows nothing like a sticker.
  Result<std::vector<LiveEvent>> push(const clip::Frame& frame);

  // That the set is over was told.
  [[nodiscard]] bool ended() const;
  // Of what is told; 0 while nothing is.
  [[nodiscard]] double lag_s() const;

  // What measure_clip() gives of a file with these frames, its sound and digest aside; call once. Faults as there.
  Result<Measurement> finish(const clip::ClipFacts& clip);
  // Before finish(): reps that are told only when no more frames come, and the set's end, by `why` where no rule has
  // met it: clip_end or by_hand.
  std::vector<LiveEvent> last_words(raise::EndWhy why);

 private:
  struct Inside;
  explicit LiveMeasure(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::measure
