#include "report/wav_file.h"

#include <cstdint>
#include <sstream>

#include "report/result_folder.h"

namespace risetrace::report {
namespace {

void put(std::string& bytes, std::uint32_t value, int count) {
  for (int i = 0; i < count; ++i) bytes += static_cast<char>(value >> (8 * i) & 255U);
}

const char* name_of(beat::BeatKind kind) {
  switch (kind) {
    case beat::BeatKind::run_in:
      return "run-in";
    case beat::BeatKind::accent:
      return "accent";
    case beat::BeatKind::plain:
      break;
  }
  return "plain";
}

}  // namespace

// Multimedia Programming Interface and Data Specifications 1.0 (IBM and Microsoft 1991), "Waveform Audio File Format",
// from memory: all numbers little-endian.
Outcome write_wav(const std::filesystem::path& file, const beat::ClickTrack& track) {
  constexpr std::uint32_t bytes_per_sample = 2;
  const auto rate_hz = static_cast<std::uint32_t>(track.rate_hz);
  const auto data_bytes = static_cast<std::uint32_t>(track.samples.size()) * bytes_per_sample;
  std::string bytes = "RIFF";
  put(bytes, 36 + data_bytes, 4);
  bytes += "WAVEfmt ";
  put(bytes, 16, 4);
  put(bytes, 1, 2);  // PCM
  put(bytes, 1, 2);  // channels
  put(bytes, rate_hz, 4);
  put(bytes, rate_hz * bytes_per_sample, 4);
  put(bytes, bytes_per_sample, 2);
  put(bytes, 8 * bytes_per_sample, 2);
  bytes += "data";
  put(bytes, data_bytes, 4);
  bytes.reserve(bytes.size() + data_bytes);
  for (const std::int16_t sample : track.samples) put(bytes, static_cast<std::uint16_t>(sample), 2);
  return write_text(file, bytes);
}

Outcome write_beat_list(const std::filesystem::path& file, const beat::ClickTrack& track) {
  std::ostringstream text;
  text << "beat,step,kind,bpm,sample,time_s\n";
  int number = 0;
  for (const beat::TrackBeat& each : track.beats) {
    text.precision(6);
    text << ++number << ',' << each.step << ',' << name_of(each.kind) << ',' << each.bpm << ',' << each.sample << ',';
    text.precision(9);
    text << static_cast<double>(each.sample) / track.rate_hz << '\n';
  }
  return write_text(file, text.str());
}

}  // namespace risetrace::report
