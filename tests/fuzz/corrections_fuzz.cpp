// Any bytes at all as a file of corrections, and as a result's two files with a cut between them: reading must end in
// finite numbers or in the one fault that is promised; what was read can be counted.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "review/read_corrections.h"
#include "review/read_kept_result.h"
#include "review/recount.h"

namespace {

namespace review = risetrace::review;

void demand(bool holds) {
  if (!holds) std::abort();
}

risetrace::model::RaiseProtocol raise_rules() {
  risetrace::model::RaiseProtocol p;
  p.end_fraction = 0.75;
  p.end_after = 2;
  p.reference_reps = 3;
  p.beat_bpm = 60;
  p.least_rise_cm = 1.5;
  p.least_rise_of_reference = 0.25;
  p.onset_of_rise = 0.03;
  p.not_lowered_of_reference = 0.2;
  p.step_across_cm = 12;
  p.end_pause_s = 5;
  p.on_beat_tolerance = 0.15;
  p.smooth_cutoff_hz = 10;
  return p;
}

risetrace::model::HopProtocol hop_rules() {
  risetrace::model::HopProtocol p;
  p.first_left_out = 3;
  p.wanted_hops = 7;
  p.least_contact_ms = 80;
  p.greatest_contact_ms = 700;
  p.least_flight_ms = 30;
  p.greatest_flight_ms = 800;
  p.odd_of_neighbours = 1.7;
  p.least_hops = 6;
  p.rate_within_pct = 4;
  p.least_lock = 0.8;
  p.greatest_phase_p = 0.05;
  p.sound_offset_limit_ms = 150;
  p.thud_disagrees_ms = 20;
  return p;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  const auto corrections = review::read_corrections_text(text, "c.json");
  if (!corrections) demand(corrections.error().fault == risetrace::Fault::corrections_wrong);
  const std::size_t cut = text.find('\0');
  if (cut == std::string::npos) return 0;
  const auto kept = review::read_kept_texts(text.substr(0, cut), text.substr(cut + 1), raise_rules());
  if (!kept) {
    demand(kept.error().fault == risetrace::Fault::result_unreadable && !kept.error().why.empty());
    return 0;
  }
  for (const auto& sample : kept->samples) demand(std::isfinite(sample.time_s) && std::isfinite(sample.up_cm));
  const auto counted = review::recount(*kept, kept->corrections, {}, hop_rules());
  if (!counted) demand(counted.error().fault == risetrace::Fault::corrections_wrong);
  return 0;
}
