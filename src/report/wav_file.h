// Writes a click track: its sound as a WAV file, its beats as CSV.
#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"
#include "beat/click_track.h"

namespace risetrace::report {

// RIFF/WAVE, one channel, 16 bit PCM. Faults cannot_write.
Outcome write_wav(const std::filesystem::path& file, const beat::ClickTrack& track);

// beat,step,kind,bpm,sample,time_s: a row a beat, the run-in as step 0; time_s is that of the sample.
Outcome write_beat_list(const std::filesystem::path& file, const beat::ClickTrack& track);

}  // namespace risetrace::report
