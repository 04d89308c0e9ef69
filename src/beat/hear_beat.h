// Hears a machine's beat in a clip's sound: clicks among voices, room noise and landings.
//
// Sound -> power in bands (band_power.h) -> sudden beginnings (find_onsets.h) -> evenly spaced ones (fit_grid.h) ->
// clicks, steps, notes. A click is told by its evenness, not by its tone: any metronome will do, 30 to 240 per minute.
// A time is that of the beginning of the click's attack, where its power has risen by a twenty-fifth of the way to its
// greatest, taken from all clicks of a clip laid over one another and then from each click's own place. Where a voice
// or a landing covers a click's attack and its own place lies more than a millisecond off the even beat, the beat's is
// given.
#pragma once

#include <memory>

#include "beat/beats.h"
#include "clip/sound.h"

namespace risetrace::beat {

// Not copyable. Holds some 400 bytes for each sudden beginning, no sound.
class BeatListener {
 public:
  BeatListener();
  BeatListener(const BeatListener&) = delete;
  BeatListener& operator=(const BeatListener&) = delete;
  BeatListener(BeatListener&&) noexcept;
  BeatListener& operator=(BeatListener&&) noexcept;
  ~BeatListener();

  // In the order of time. All pieces of one rate, 8000 Hz or more; 48000 is what it is made for.
  void push(const clip::SoundPiece& piece);
  // What was heard. Call once, last. Never invents a beat: without one, `steps` is empty and a note says why.
  Beats finish();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::beat
