// A piece of a clip's sound, mixed down to one channel.
#pragma once

#include <vector>

namespace risetrace::clip {

// Times are of filming on the picture's clock, as the file relates the two: zero is the first frame shown. Phones are
// off by tens of milliseconds between sound and picture, so such a time is good for spacings; an instant in the picture
// needs the offset estimated first.
struct SoundPiece {
  double first_s = 0.0;        // of samples[0]; before zero where the sound begins before the picture
  double rate_hz = 0.0;        // samples per second of filming, 48000 or, where slow motion was undone, about that
  std::vector<float> samples;  // -1 .. 1 is the full scale; what a coder overshot stays
};

}  // namespace risetrace::clip
