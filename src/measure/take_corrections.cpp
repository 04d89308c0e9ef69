#include "measure/take_corrections.h"

#include <map>

#include "raise/on_beat.h"
#include "review/by_hand.h"
#include "review/correct_hops.h"
#include "review/correct_raises.h"
#include "review/read_corrections.h"

namespace risetrace::measure {
namespace {

// The time of each frame in which anything was followed, as trace.csv tells it: of the row where the sole is, else of a
// sticker's.
std::vector<review::FrameTime> frame_times(const Measurement& m) {
  std::map<std::int64_t, double> times;
  if (m.forefoot) {
    for (const auto& sample : m.forefoot->samples) times[sample.frame] = sample.time_s;
  }
  for (const auto& sample : m.track.samples) times[sample.frame] = sample.time_s;
  for (const auto& sample : m.clearance.samples) times[sample.frame] = sample.time_s;
  std::vector<review::FrameTime> out;
  out.reserve(times.size());
  for (const auto& [frame, time_s] : times) out.push_back({frame, time_s});
  return out;
}

}  // namespace

Result<MeasureOptions> with_corrections(const MeasureOptions& options) {
  if (auto fit = review::corrections_fit(options.corrections, options.asked.test); !fit) return fit.error();
  MeasureOptions out = options;
  const review::HandSettings settings = review::hand_settings(options.corrections);
  if (settings.heel_px) out.track.heel_px = settings.heel_px;
  if (settings.forefoot_px) out.track.forefoot_px = settings.forefoot_px;
  if (out.track.forefoot_px && !out.track.heel_px) {
    return Error{Fault::corrections_wrong, "the forefoot's sticker was pointed out and the heel's was not",
                 "point out both"};
  }
  if (const auto scale = review::hand_scale(options.corrections, options.hand_marks)) {
    out.scale.px_per_cm = scale->px_per_cm;
    out.scale.px_per_cm_u = scale->px_per_cm_u;
    if (auto right = scale::check(out.scale); !right)
      return Error{Fault::corrections_wrong, "the scale is " + right.error().why, "point out the two ends again"};
  }
  return out;
}

Outcome find_raises(Measurement& m) {
  const auto counted = [&m](const review::Corrections& corrections) -> Result<raise::RepSet> {
    auto set = review::corrected_set(m.path.samples, corrections, m.asked.protocol);
    if (set) raise::follow_heard_beat(*set, m.asked.beat_bpm.has_value(), m.beats.bpm, m.asked.protocol);
    return set;
  };
  if (!m.corrections.empty()) {
    auto found = counted({});
    if (!found) return found.error();
    m.automatic = Automatic{m.asked, *std::move(found), std::nullopt, {}};
    const review::HandSettings settings = review::hand_settings(m.corrections);
    m.asked.protocol = review::with_settings(m.asked.protocol, settings);
    if (settings.beat_bpm) m.asked.beat_bpm = settings.beat_bpm;
  }
  auto set = counted(m.corrections);
  if (!set) return set.error();
  m.raises = *std::move(set);
  return Done{};
}

Outcome correct_contacts(Measurement& m) {
  if (m.corrections.empty()) return Done{};
  auto corrected = review::correct_hops(m.contacts, frame_times(m), m.corrections);
  if (!corrected) return corrected.error();
  m.automatic = Automatic{m.asked, std::nullopt, std::nullopt, std::move(m.contacts)};
  m.contacts = *std::move(corrected);
  if (const auto beat = review::hand_settings(m.corrections).beat_bpm) m.asked.beat_bpm = beat;
  return Done{};
}

}  // namespace risetrace::measure
