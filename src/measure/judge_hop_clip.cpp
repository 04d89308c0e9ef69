#include "measure/judge_hop_clip.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "base/rounded.h"
#include "hop/find_contacts.h"
#include "math/statistics.h"
#include "measure/judge.h"

namespace risetrace::measure {
namespace {

// Feet drawn up or let hang in the air and a sole that gives bend the parabola by some tens of per cent; slow motion
// divides its fall by four or more.
constexpr double least_gravity = 0.55;
constexpr double greatest_gravity = 1.8;
constexpr double least_frame_rate_hz = 55.0;  // under it contacts are a few frames long

std::vector<double> flights_ms(const hop::Contacts& contacts) {
  std::vector<double> flights;
  for (std::size_t i = 0; i + 1 < contacts.contacts.size(); ++i) {
    const auto& from = contacts.contacts[i].takeoff;
    const auto& to = contacts.contacts[i + 1].touchdown;
    if (from && to) flights.push_back(1000 * (to->time_s - from->time_s));
  }
  return flights;
}

}  // namespace

ClockVerdict judge_clock(const Measurement& m, const model::HopProtocol& protocol) {
  const bool stated = m.clip.frame_rate_from != clip::FrameRateFrom::container;
  const std::vector<double> flights = flights_ms(m.contacts);
  std::optional<double> gravity;
  if (m.scale.px_per_cm && m.contacts.times_known) {
    gravity = hop::gravity_seen(m.clearance, m.contacts, *m.scale.px_per_cm);
  }
  const bool floats = !flights.empty() && math::median(flights) > protocol.greatest_flight_ms;
  const bool off = gravity && (*gravity < least_gravity || *gravity > greatest_gravity);
  if (!floats && !off) return {};
  std::string why = off ? "In the air the shoe falls with " + rounded(100 * *gravity, 0) + " % of gravity's pull"
                        : "The shoe is in the air for " + rounded(math::median(flights) / 1000, 1) + " s";
  if (off && *gravity < least_gravity) {
    const double about = m.clip.frame_rate_hz / std::sqrt(*gravity);
    why += ", as it would if about " + rounded(about, 0) + " frames per second had been filmed";
  }
  if (stated) {
    return {false, Note{"clock-doubtful",
                        why + ": the filming rate of " + rounded(m.clip.frame_rate_hz, 1) +
                            " per second cannot be right, so no milliseconds and no rate are given.",
                        std::nullopt}};
  }
  return {false, Note{"clock-stretched",
                      why + ": this looks like slow motion that does not say so, so no milliseconds and no rate are "
                            "given. Give the filming rate with --capture-fps.",
                      std::nullopt}};
}

bool sole_stayed(const Measurement& m) {
  const auto& samples = m.clearance.samples;
  const auto seen = std::count_if(samples.begin(), samples.end(), [](const auto& s) { return s.seen; });
  return m.contacts.contacts.empty() && seen > 15;
}

Note no_card_note(const Error& trouble) {
  return {"no-scale",
          "There is no scale from a card (" + trouble.why +
              "). The times need none, and hop heights follow from the times in the air.",
          std::nullopt};
}

Note facing_note() {
  return {"facing-unknown", "Which way the foot points could not be told, so the sole was not looked at.",
          std::nullopt};
}

void add_hop_notes(Measurement& m) {
  const auto note = [&](const char* code, const std::string& text) { m.notes.push_back({code, text, std::nullopt}); };
  if (m.contacts.times_known && m.hops && m.hops->contact_from == "forefoot-sticker") {
    note(
        "contact-from-forefoot",
        "The sole could not be followed; the forefoot's sticker leaves the ground up to some 30 ms before the toes do, "
        "so times on the ground may be that much too short.");
  }
  if (m.track.frames_repeated > 0) {
    note("frames-repeated", repeated_in_words(m.track) + ".");
  }
  const bool stated = m.clip.frame_rate_from != clip::FrameRateFrom::container;
  if (!m.scale.px_per_cm && !stated && m.contacts.times_known) {
    note("clock-not-checked",
         "Without a scale the fall of the foot cannot be held against gravity, so slow motion that does not say so "
         "would go "
         "unnoticed: if the clip may be slow motion, give the filming rate with --capture-fps.");
  }
  const bool clock_doubted = std::any_of(m.notes.begin(), m.notes.end(), [](const Note& said) {
    return said.code == "clock-stretched" || said.code == "clock-doubtful";
  });
  if (m.clip.frame_rate_hz < least_frame_rate_hz && !clock_doubted) {
    note("frame-rate-low",
         rounded(m.clip.frame_rate_hz, 0) + " frames per second are few for hops: film at 120 or 240 per second.");
  }
}

}  // namespace risetrace::measure
