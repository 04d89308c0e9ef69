#include "review/recount.h"

#include <algorithm>

#include "hop/judge_hops.h"
#include "raise/on_beat.h"
#include "review/correct_hops.h"
#include "review/correct_raises.h"
#include "review/read_corrections.h"
#include "review/say_corrections.h"

namespace risetrace::review {
namespace {

HandSettings over(HandSettings settings, const HandSettings& asked) {
  const auto take = [](auto& to, const auto& from) {
    if (from) to = from;
  };
  take(settings.beat_bpm, asked.beat_bpm);
  take(settings.end_fraction, asked.end_fraction);
  take(settings.end_after, asked.end_after);
  take(settings.reference_reps, asked.reference_reps);
  return settings;
}

// What moves the sticker or the scale is in the trace only if the result was made with it.
std::vector<std::string> needs_measuring(const KeptResult& kept, const Corrections& corrections) {
  std::vector<std::string> out;
  for (const auto& [name, what] : names_of_what()) {
    if (what != What::heel && what != What::forefoot && what != What::scale) continue;
    const auto last = [what = what](const Corrections& of) {
      const auto found = std::find_if(of.list.rbegin(), of.list.rend(), [&](const auto& c) { return c.what == what; });
      return found == of.list.rend() ? std::string() : found->as_given;
    };
    if (last(kept.corrections) != last(corrections)) out.emplace_back(name);
  }
  return out;
}

Outcome count_raises(const KeptResult& kept, const Corrections& corrections, const HandSettings& settings,
                     Recount& out) {
  out.protocol = with_settings(kept.protocol, settings);
  auto set = corrected_set(kept.samples, corrections, out.protocol);
  if (!set) return set.error();
  auto found = corrected_set(kept.samples, {}, kept.protocol);
  if (!found) return found.error();
  raise::follow_heard_beat(*set, kept.beat_stated || settings.beat_bpm, kept.heard_bpm, out.protocol);
  raise::follow_heard_beat(*found, kept.beat_stated, kept.heard_bpm, kept.protocol);
  out.raises = *std::move(set);
  out.found_raises = *std::move(found);
  return Done{};
}

Outcome count_hops(const KeptResult& kept, const Corrections& corrections, const HandSettings& settings,
                   const model::HopProtocol& protocol, Recount& out) {
  const auto contacts = correct_hops(kept.contacts, kept.frames, corrections);
  if (!contacts) return contacts.error();
  hop::HopQuestion question;
  question.asked_bpm = kept.beat_bpm;
  question.mass_kg = kept.mass_kg;
  question.clip_end_s = kept.duration_s;
  question.clock_trusted = kept.clock_trusted;
  out.found_hops = hop::judge_hops(kept.contacts, kept.beats, question, protocol);
  if (settings.beat_bpm) question.asked_bpm = settings.beat_bpm;
  out.beat_bpm = question.asked_bpm;
  out.hops = hop::judge_hops(*contacts, kept.beats, question, protocol);
  return Done{};
}

}  // namespace

Result<Recount> recount(const KeptResult& kept, const Corrections& corrections, const HandSettings& asked,
                        const model::HopProtocol& hop_protocol) {
  if (auto fit = corrections_fit(corrections, kept.test); !fit) return fit.error();
  if (auto same = is_of_clip(corrections, kept.clip_sha256); !same) return same.error();
  Recount out;
  out.test = kept.test;
  out.needs_measuring = needs_measuring(kept, corrections);
  const HandSettings settings = over(hand_settings(corrections), asked);
  const Outcome counted = kept.test == Test::hop ? count_hops(kept, corrections, settings, hop_protocol, out)
                                                 : count_raises(kept, corrections, settings, out);
  if (!counted) return counted.error();
  return out;
}

}  // namespace risetrace::review
