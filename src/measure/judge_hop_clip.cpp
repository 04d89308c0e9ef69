#include "measure/judge_hop_clip.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "base/rounded.h"
#include "hop/find_contacts.h"
#include "hop/witness.h"
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
  for (const hop::FlightTimes& flight : hop::sure_flights(contacts)) {
    flights.push_back(1000 * (flight.to_s - flight.from_s));
  }
  return flights;
}

std::vector<double> gravities(const Measurement& m, const sole::Clearance& clearance, const hop::Contacts& contacts) {
  if (!m.scale.px_per_cm || !m.contacts.times_known) return {};
  return hop::gravities_seen(clearance, contacts, *m.scale.px_per_cm);
}

bool credible(double gravity) { return gravity >= least_gravity && gravity <= greatest_gravity; }

// Some flights in a row fall as they should, others far slower or faster, and those all alike: a step or two on the way
// to the place, or a landing that was missed, fall slowly too, each in its own way.
bool speed_changes(const std::vector<double>& gravities) {
  constexpr std::ptrdiff_t least_flights = 3;
  constexpr double far_from = 2.5;
  constexpr double alike = 1.7;
  std::vector<double> good;
  std::vector<double> bad;
  for (const double g : gravities) (credible(g) ? good : bad).push_back(g);
  if (std::ssize(good) < least_flights || std::ssize(bad) < least_flights) return false;
  const auto first = std::find_if_not(gravities.begin(), gravities.end(), credible);
  const auto end = std::find_if_not(gravities.rbegin(), gravities.rend(), credible).base();
  const double theirs = math::median(bad);
  const double apart = math::median(good) / theirs;
  const bool all_alike =
      std::all_of(bad.begin(), bad.end(), [&](double g) { return g < alike * theirs && theirs < alike * g; });
  return all_alike && end - first == std::ssize(bad) && (apart > far_from || apart < 1 / far_from);
}

// The frames a second at which the flights would fall as they should. The times of events shift with the clock, since
// how long a foot takes to leave is known in seconds: so again with the rate found, until it stays.
double filmed_hz(const Measurement& m, double gravity) {
  constexpr int rounds = 4;
  double stretch = 1.0;
  for (int round = 0; round < rounds && gravity > 0; ++round) {
    stretch /= std::sqrt(gravity);
    sole::Clearance clearance = m.clearance;
    for (sole::ClearanceSample& s : clearance.samples) s.time_s /= stretch;
    hop::ContactOptions options;
    options.px_per_cm = m.scale.px_per_cm;
    const std::vector<double> seen = gravities(m, clearance, hop::find_contacts(clearance, options));
    if (seen.size() < 2) break;
    gravity = math::median(seen);
  }
  return m.clip.frame_rate_hz * stretch;
}

// From landing to landing in the file, by the heel, which is followed at any speed. Empty: fewer than three.
std::optional<double> hop_period_s(const Measurement& m) {
  if (m.track.samples.empty()) return std::nullopt;
  const std::vector<hop::Contact> landings = hop::contacts_of_heel(m.track, px_per_cm_about(m)).contacts;
  std::vector<double> periods;
  for (std::size_t i = 1; i < landings.size(); ++i) {
    periods.push_back(landings[i].touchdown->time_s - landings[i - 1].touchdown->time_s);
  }
  return periods.size() < 2 ? std::nullopt : std::optional(math::median(periods));
}

// Of the rates at which phones film slow motion, the one that the hops' fall is nearest to, among those at which they
// follow one another as hops can. Empty: none fits.
std::optional<double> likely_rate_hz(const Measurement& m, double about_hz) {
  constexpr double near = 2.5;          // in slow motion the sole is followed badly, and with it gravity is seen badly
  constexpr double least_slower = 1.3;  // than the file's own rate
  constexpr double shortest_s = 0.3;
  constexpr double longest_s = 0.7;
  const std::optional<double> period_s = hop_period_s(m);
  const auto off = [&](double rate) { return std::max(rate / about_hz, about_hz / rate); };
  std::optional<double> likely;
  for (const double rate : {120.0, 240.0, 480.0, 960.0}) {
    const double hop_s = period_s.value_or(0.5) * (period_s ? m.clip.frame_rate_hz / rate : 1.0);
    if (rate < least_slower * m.clip.frame_rate_hz || off(rate) > near || hop_s < shortest_s || hop_s > longest_s)
      continue;
    if (!likely || off(rate) < off(*likely)) likely = rate;
  }
  return likely;
}

bool usual_rate(double hz) {
  constexpr double near = 0.035;  // phones in the dark, and with frames lost
  constexpr std::array usual{15.,  20.,  24.,  25.,  30.,  48.,  50.,  60.,  90.,  100.,
                             120., 180., 200., 240., 300., 400., 480., 600., 960., 1000.};
  return std::any_of(usual.begin(), usual.end(), [&](double rate) { return std::abs(hz - rate) <= near * rate; });
}

Note stretched_note(const std::string& why, const std::optional<double>& likely_hz) {
  const std::string which = likely_hz ? ", most likely " + rounded(*likely_hz, 0) + ", with" : " with";
  return {"clock-stretched",
          why +
              ": this looks like slow motion that does not say so, so no milliseconds and no rate are given. Give "
              "the filming rate" +
              which + " --capture-fps.",
          std::nullopt};
}

ClockVerdict judge_off(const Measurement& m, const std::optional<double>& gravity, const std::string& floats) {
  std::string why = floats;
  std::optional<double> likely_hz;
  if (gravity) why = "In the air the shoe falls with " + rounded(100 * *gravity, 0) + " % of gravity's pull";
  if (gravity && *gravity < least_gravity) {
    const double about_hz = filmed_hz(m, *gravity);
    likely_hz = likely_rate_hz(m, about_hz);
    const bool stated = m.clip.frame_rate_from != clip::FrameRateFrom::container;
    if (!likely_hz || stated)
      why += ", as it would if about " + rounded(about_hz, 0) + " frames per second had been filmed";
  }
  if (m.clip.frame_rate_from != clip::FrameRateFrom::container) {
    return {false, Note{"clock-doubtful",
                        why + ": the filming rate of " + rounded(m.clip.frame_rate_hz, 1) +
                            " per second cannot be right, so no milliseconds and no rate are given.",
                        std::nullopt}};
  }
  if (gravity && *gravity > greatest_gravity) {
    return {false, Note{"clock-hurried",
                        why + ": the clip plays faster than it was filmed, so no milliseconds and no rate are given. "
                              "Take the clip as it was filmed.",
                        std::nullopt}};
  }
  return {false, stretched_note(why, likely_hz)};
}

}  // namespace

ClockVerdict judge_clock(const Measurement& m, const model::HopProtocol& protocol) {
  const std::vector<double> flights = flights_ms(m.contacts);
  const std::vector<double> fall = gravities(m, m.clearance, m.contacts);
  if (speed_changes(fall)) {
    return {false, Note{"clock-changes",
                        "In some flights in a row the shoe falls as gravity pulls it, in others far slower or faster: "
                        "the clip's speed changes within it, so no milliseconds and no rate are given. Take the clip "
                        "as it was filmed, without a slow-motion part.",
                        std::nullopt}};
  }
  const auto gravity = fall.size() < 2 ? std::optional<double>() : std::optional(math::median(fall));
  const bool off = gravity && !credible(*gravity);
  const bool floats = !flights.empty() && math::median(flights) > protocol.greatest_flight_ms;
  if (!floats && !off) return {};
  const std::string in_the_air =
      floats ? "The shoe is in the air for " + rounded(math::median(flights) / 1000, 1) + " s" : "";
  return judge_off(m, off ? gravity : std::nullopt, in_the_air);
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
    return said.code.rfind("clock-", 0) == 0 && said.code != "clock-not-checked";
  });
  if (!clock_doubted && !usual_rate(m.clip.frame_rate_hz)) {
    note("frame-rate-unusual",
         "Few cameras film at " + rounded(m.clip.frame_rate_hz, 0) +
             " frames per second: if a program has changed the clip's speed, or the filming rate is not as given, all "
             "times are off by the same factor, and gravity tells only much of it.");
  }
  if (m.clip.frame_rate_hz < least_frame_rate_hz && !clock_doubted) {
    note("frame-rate-low",
         rounded(m.clip.frame_rate_hz, 0) + " frames per second are few for hops: film at 120 or 240 per second.");
  }
}

}  // namespace risetrace::measure
