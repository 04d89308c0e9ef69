// Contacts made up for tests: what a contact finder would hand on, with or without errors.
#pragma once

#include <cmath>
#include <cstdint>
#include <vector>

#include "beat/beats.h"
#include "hop/contacts.h"
#include "model/hop_protocol.h"

namespace risetrace::hop::test {

// The values of models/hop.json as they stand at the time of writing; a rule's test must not move with the file.
inline model::HopProtocol protocol() {
  model::HopProtocol rules;
  rules.first_left_out = 3;
  rules.wanted_hops = 7;
  rules.least_contact_ms = 80;
  rules.greatest_contact_ms = 700;
  rules.least_flight_ms = 30;
  rules.greatest_flight_ms = 800;
  rules.odd_of_neighbours = 1.7;
  rules.settle_hops = 2;
  rules.least_hops = 6;
  rules.rate_within_pct = 4;
  rules.least_lock = 0.8;
  rules.greatest_phase_p = 0.05;
  rules.stiffness_flag_under_per_min = 132;
  rules.slow_under_per_min = 72;
  rules.sound_offset_limit_ms = 150;
  rules.thud_disagrees_ms = 20;
  rules.ladder_from_per_min = 150;
  rules.ladder_step_per_min = 10;
  rules.ladder_to_per_min = 100;
  return rules;
}

constexpr double rate_hz = 240;

inline Instant instant(double time_s, double u_s = 0.001, Witness witness = Witness::sole) {
  return {time_s, u_s, static_cast<std::int64_t>(std::ceil(time_s * rate_hz)), witness};
}

// Standing until `start_s`, then so many equal hops; the last stands until the clip ends.
struct Plan {
  double start_s = 1.0;
  std::vector<double> contacts_s;  // of each hop
  std::vector<double> flights_s;   // before each

  Plan& hop(double contact_s, double flight_s, int times = 1) {
    contacts_s.insert(contacts_s.end(), static_cast<std::size_t>(times), contact_s);
    flights_s.insert(flights_s.end(), static_cast<std::size_t>(times), flight_s);
    return *this;
  }
};

inline Contacts contacts_of(const Plan& plan, double u_s = 0.001) {
  Contacts out;
  double t = plan.start_s;
  out.contacts.push_back({std::nullopt, instant(t, u_s), false, ""});
  for (std::size_t i = 0; i < plan.contacts_s.size(); ++i) {
    t += plan.flights_s[i];
    Contact contact{instant(t, u_s), std::nullopt, false, ""};
    t += plan.contacts_s[i];
    contact.takeoff = instant(t, u_s);
    out.contacts.push_back(contact);
  }
  return out;
}

// The same with the last foot left standing.
inline Contacts ending_on_the_ground(const Plan& plan) {
  Contacts out = contacts_of(plan);
  out.contacts.back().takeoff.reset();
  return out;
}

inline beat::BeatStep step_of(double bpm, double first_s, int beats) {
  const double period_s = 60 / bpm;
  return {bpm, first_s, first_s - period_s / 2, first_s + (beats - 0.5) * period_s, beats, beats};
}

inline beat::Beats steady_beat(double bpm, double first_s, int beats) {
  beat::Beats out;
  out.sound_there = true;
  out.steps.push_back(step_of(bpm, first_s, beats));
  out.bpm = bpm;
  return out;
}

inline bool noted(const Notes& notes, const std::string& code) {
  for (const Note& note : notes) {
    if (note.code == code) return true;
  }
  return false;
}

}  // namespace risetrace::hop::test
