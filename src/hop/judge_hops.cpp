#include "hop/judge_hops.h"

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "base/rounded.h"
#include "hop/keep_beat.h"
#include "hop/list_hops.h"
#include "hop/medians.h"
#include "hop/recoil.h"
#include "hop/sound_offset.h"

namespace risetrace::hop {
namespace {

void add_recoil(Hop& hop, const std::optional<double>& mass_kg) {
  if (!hop.flight_ms || !(*hop.flight_ms > 0)) return;
  const double flight_s = *hop.flight_ms / 1000;
  hop.height_cm = 100 * flight_height_m(flight_s);
  if (!hop.contact_ms || !(*hop.contact_ms > 0)) return;
  const double contact_s = *hop.contact_ms / 1000;
  hop.rsi = reactive_strength_mps(contact_s, flight_s);
  // A step's landing or a pause is no spring's, and its number would be read as one.
  if (mass_kg && hop.standing != Standing::no_hop) {
    hop.stiffness_kn_m = stiffness_n_per_m(*mass_kg, contact_s, flight_s) / 1000;
  }
}

void forget_times(Hop& hop) {
  hop.contact_ms = hop.contact_ms_u = hop.flight_ms = hop.flight_ms_u = hop.period_ms = std::nullopt;
}

std::vector<const Hop*> all_of(const std::vector<Hop>& hops) {
  std::vector<const Hop*> out;
  out.reserve(hops.size());
  for (const Hop& hop : hops) out.push_back(&hop);
  return out;
}

void add_medians(HopSet& set, double common_u_s) {
  for (const Hop& hop : set.hops) set.count += hop.counted ? 1 : 0;
  const Medians medians = medians_of(all_of(set.hops), common_u_s);
  tell_medians(medians, set);
  set.flight_ms = medians.flight_ms;
  if (medians.period_ms && *medians.period_ms > 0) set.hop_rate_hz = 1000 / *medians.period_ms;
}

void note_uncounted(const Contacts& contacts, HopSet& set) {
  std::map<double, bool> doubtful;  // by touchdown
  for (const Contact& contact : contacts.contacts) {
    if (contact.touchdown) doubtful[contact.touchdown->time_s] = contact.doubtful;
  }
  for (const Hop& hop : set.hops) {
    const bool odd_flight = hop.standing == Standing::steady && !hop.counted && hop.takeoff_s && hop.flight_ms;
    if (hop.standing != Standing::no_hop && !odd_flight) continue;
    set.notes.push_back({doubtful[hop.touchdown_s] ? "landing-doubtful" : "not-a-hop",
                         "The landing at " + rounded(hop.touchdown_s, 2) + " s is not counted: " + hop.why_not + ".",
                         hop.touchdown_s});
  }
}

// A landing that nothing shows is in no list: all that is known of it is the take-off after it.
void note_unseen(const Contacts& contacts, HopSet& set) {
  for (std::size_t i = 1; i < contacts.contacts.size(); ++i) {
    const Contact& contact = contacts.contacts[i];
    if (contact.touchdown || !contact.takeoff) continue;
    set.notes.push_back({"landing-unseen",
                         "A landing before the take-off at " + rounded(contact.takeoff->time_s, 2) +
                             " s was not seen and is not in the list.",
                         contact.takeoff->time_s});
  }
}

void note_count(HopSet& set, const model::HopProtocol& protocol) {
  if (set.hops.empty()) {
    set.notes.push_back({"no-hops", "No landing was seen.", std::nullopt});
  } else if (set.count < protocol.wanted_hops) {
    const std::string how_many = set.count == 0   ? "No hop is"
                                 : set.count == 1 ? "Only 1 hop is"
                                                  : "Only " + std::to_string(set.count) + " hops are";
    set.notes.push_back({"few-hops-counted",
                         how_many + " counted where " + std::to_string(protocol.wanted_hops) +
                             " are wanted for a settled middle value, the first " +
                             std::to_string(protocol.first_left_out) + " being left out.",
                         std::nullopt});
  }
}

void note_slow(HopSet& set, const model::HopProtocol& protocol) {
  if (set.count == 0 || !set.hop_rate_hz || *set.hop_rate_hz * 60 >= protocol.slow_under_per_min) return;
  set.notes.push_back({"hops-may-be-steps",
                       "The foot comes down only " + rounded(*set.hop_rate_hz * 60, 0) +
                           " times a minute: steps on the spot look like that too. Look at the clip; if they are "
                           "steps, nothing here is about hops.",
                       std::nullopt});
}

void note_stiffness(HopSet& set, const model::HopProtocol& protocol) {
  if (!set.stiffness_kn_m) return;
  bool slow = set.hop_rate_hz && *set.hop_rate_hz * 60 < protocol.stiffness_flag_under_per_min;
  int hopped_steps = 0;
  for (const Step& step : set.steps) {
    if (step.hops == 0 || !step.hop_rate_hz) continue;
    ++hopped_steps;
    slow = slow || *step.hop_rate_hz * 60 < protocol.stiffness_flag_under_per_min;
  }
  if (slow) {
    set.notes.push_back({"stiffness-slow-rate",
                         "Some or all hops are slower than " + rounded(protocol.stiffness_flag_under_per_min, 0) +
                             " per minute, where legs are not like a spring: take their stiffness with care.",
                         std::nullopt});
  }
  if (hopped_steps > 1) {
    set.notes.push_back(
        {"stiffness-mixes-beats",
         "Stiffness changes with the beat, so the middle value over several beats is not to be compared.",
         std::nullopt});
  }
}

// The least sure witness of any counted hop's two events.
std::string contact_from(const HopSet& set, const Contacts& contacts) {
  Witness least_sure = Witness::sole;
  bool any = false;
  for (const Hop& hop : set.hops) {
    if (!hop.contact_ms) continue;
    for (const Contact& contact : contacts.contacts) {
      if (!contact.touchdown || contact.touchdown->frame != hop.touchdown_frame || !contact.takeoff) continue;
      any = true;
      least_sure = std::max({least_sure, contact.touchdown->witness, contact.takeoff->witness});
    }
  }
  if (!any) return "";
  return least_sure == Witness::sole ? "sole" : "forefoot-sticker";
}

void add_beat(HopSet& set, const Contacts& contacts, const beat::Beats& beats, const HopQuestion& question,
              const model::HopProtocol& protocol) {
  set.heard_bpm = beats.bpm;
  const double last_s = set.hops.empty() ? 0 : set.hops.back().touchdown_s + 1e-6;
  KeptBeat kept = keep_beat(set.hops, beats, question.asked_bpm, question.clip_end_s.value_or(last_s),
                            contacts.common_u_s, protocol);
  set.steps = std::move(kept.steps);
  set.lowest_kept_bpm = kept.lowest_kept_bpm;
  set.notes.insert(set.notes.end(), kept.notes.begin(), kept.notes.end());
  if (!contacts.times_known) return;
  if (const auto offset = find_sound_offset(set.hops, beats.thuds, contacts.common_u_s, protocol)) {
    set.sound_offset_ms = offset->ms;
    set.sound_offset_ms_u = offset->ms_u;
    set.notes.insert(set.notes.end(), offset->notes.begin(), offset->notes.end());
  }
}

}  // namespace

HopSet judge_hops(const Contacts& contacts, const beat::Beats& beats, const HopQuestion& question,
                  const model::HopProtocol& protocol) {
  HopSet set;
  set.hops = list_hops(contacts);
  judge_each(set.hops, contacts, question.clock_trusted, protocol);
  const bool times_given = contacts.times_known && question.clock_trusted;
  note_uncounted(contacts, set);
  note_unseen(contacts, set);
  if (!contacts.times_known && !set.hops.empty()) {
    set.notes.push_back(
        {"ground-time-not-known",
         "The heel alone does not show when the foot is on the ground, so no times are given: film with "
         "the sole and the floor in view, or put a second sticker on the forefoot.",
         std::nullopt});
  }
  if (times_given) {
    for (Hop& hop : set.hops) add_recoil(hop, question.mass_kg);
    set.contact_from = contact_from(set, contacts);
  }
  add_medians(set, contacts.common_u_s);
  note_count(set, protocol);
  if (!times_given) {
    for (Hop& hop : set.hops) forget_times(hop);
    set.contact_ms = set.contact_ms_u = set.flight_ms = std::nullopt;
  }
  // The rate needs the clock, but no sight of the ground: what the heel's landings err by is much the same each time.
  if (!question.clock_trusted) set.hop_rate_hz = std::nullopt;
  if (question.clock_trusted) {
    add_beat(set, contacts, beats, question, protocol);
    note_slow(set, protocol);
    note_stiffness(set, protocol);
  } else {
    set.heard_bpm = std::nullopt;
  }
  return set;
}

}  // namespace risetrace::hop
