// The hops of a clip, hop by hop and step by step of the beat.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/note.h"
#include "hop/contacts.h"

namespace risetrace::hop {

// What a landing is in the run of hops.
enum class Standing {
  no_hop,  // a stumble, half of a double touch, a pause
  early,   // one of the first, or of the first after a pause: left out
  steady,  // judged: its landing counts for rate and beat, its times too where they are known
};

// A hop is a landing with the contact after it and the flight before it. Times in ms are empty where one of their two
// events is unknown or the clock cannot be trusted.
struct Hop {
  int n = 0;  // 1, 2, ...
  double touchdown_s = 0.0;
  std::optional<double> takeoff_s;
  std::int64_t touchdown_frame = 0;           // first frame in contact
  std::optional<std::int64_t> takeoff_frame;  // first frame off the ground
  std::optional<double> contact_ms;           // from touchdown to the next take-off
  std::optional<double> contact_ms_u;
  std::optional<double> flight_ms;  // of the flight that ends in this touchdown
  std::optional<double> flight_ms_u;
  std::optional<double> period_ms;       // from this touchdown to the next
  std::optional<double> height_cm;       // g flight^2 / 8
  std::optional<double> rsi;             // height in m / contact in s
  std::optional<double> stiffness_kn_m;  // needs the mass
  Standing standing = Standing::no_hop;
  bool counted = false;  // steady, contact and flight known and like a hop's
  std::string why_not;   // one clause where not counted: "one of the first 3"
  HandWork by_hand = HandWork::none;
  std::optional<std::int64_t> address_frame;  // where it was found, or put, before it was moved
};

struct Step {
  double beat_bpm = 0.0;
  double from_s = 0.0;
  double to_s = 0.0;
  int hops = 0;  // that judge it: steady landings in it, those in which the beat was still new left out
  std::optional<double> hop_rate_hz;
  std::optional<double> rate_error_pct;  // of the hop rate against the beat; positive: too fast
  std::optional<double> phase_lock;      // length of the mean phase vector, 0 .. 1
  std::optional<double> phase_p;         // Rayleigh's test: chance of such a lock without following
  // Medians of the counted hops among them.
  std::optional<double> contact_ms;
  std::optional<double> contact_ms_u;
  std::optional<double> height_cm;
  std::optional<double> rsi;
  std::optional<double> rsi_u;
  std::optional<double> stiffness_kn_m;
  bool kept = false;
};

struct HopSet {
  std::vector<Hop> hops;
  int count = 0;
  // Medians of the counted hops.
  std::optional<double> contact_ms;
  std::optional<double> contact_ms_u;  // of the median: common errors stay, the others average out
  std::optional<double> flight_ms;
  std::optional<double> hop_rate_hz;
  std::optional<double> height_cm;
  std::optional<double> rsi;
  std::optional<double> rsi_u;
  std::optional<double> stiffness_kn_m;
  std::vector<Step> steps;
  std::optional<double> lowest_kept_bpm;
  std::optional<double> heard_bpm;        // one steady beat in the sound
  std::optional<double> sound_offset_ms;  // sound later than picture, from landings heard and seen
  std::optional<double> sound_offset_ms_u;
  std::string contact_from;  // "sole", "forefoot-sticker", or empty where no time on the ground is given
  Notes notes;
};

}  // namespace risetrace::hop
