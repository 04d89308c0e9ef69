#include "hop/find_contacts.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
#include <string>
#include <vector>

#include "base/gravity.h"
#include "hop/fit_event.h"
#include "math/statistics.h"

namespace risetrace::hop {
namespace {

constexpr double off_floor_cm = 0.25;    // clearance beyond what a sole on the ground shows
constexpr double surely_off_cm = 1.2;    // beyond what a soft sole gives
constexpr double least_flight_cm = 0.4;  // at its top
constexpr double air_window_s = 0.05;
constexpr double ground_window_s = 0.05;
constexpr int least_air = 3;
constexpr int least_ground = 2;
constexpr double longest_hidden_s = 0.3;  // a flight's top may be out of sight for so long
constexpr double usual_contact_s = 0.25;
constexpr double most_hidden_s = 0.03;  // an event in so short a time without a sight of the shoe is told by both sides
constexpr double rolled_up_s = 0.035;   // from the bottom of a roll over the toe until the shoe is clear of the floor
constexpr double roll_begins_s = 0.04;  // before its bottom, at the earliest
constexpr double least_roll_cm = 0.2;
// What may be expected of a quantity before the clip has been looked at.
struct Usual {
  double mean = 0.0;
  double spread = 0.0;
  double greatest = 0.0;
  double none = 0.0;  // the chance that there is none of it

  [[nodiscard]] double density(double value) const { return std::exp(-std::pow((value - mean) / spread, 2) / 2); }
};

// Ours. Of a take-off the ground may be left at the body's speed, or the foot stretches on: 20 ms are a tenth of a
// contact.
constexpr Usual usual_softness{0.0, 0.010, 0.03, 0.2};
constexpr Usual usual_exposure{0.0015, 0.004, 0.012, 0.0};  // indoors a phone exposes for 8 ms and more
constexpr std::size_t pooled_steps = 25;
constexpr std::size_t most_pooled = 24;  // flights, spread over the clip: more say the same
constexpr double most_say = 8.0;         // of one take-off in the softness of all
// How a foot's push fades is not known: other courses than the one fitted move a take-off by so much of its softness.
constexpr double shape_share = 0.1;
// Of a take-off read from the forefoot sticker: the ball leaves up to some 30 ms before the tip of the toe.
constexpr double toe_roll_u_s = 0.008;
constexpr double level_u_s = 0.0003;  // the floor's row is known to a third of a pixel, at a metre a second
// The shoe's front is followed as stiff, and a real one bends, and rolls over a tip that stands off the floor. Ours:
// from clips of a renderer that shares nothing with src/synth, with such a shoe, on floors of six kinds, where contacts
// were off by 7 ms root mean square, within a clip mostly one way (docs/method-contact.md). Most of it is the
// take-off's; halved between both events, as if each were off in its own way, it comes to the same in every contact and
// flight.
constexpr double bending_u_s = 0.0025;
constexpr double bending_own_u_s = 0.002;

using Samples = std::vector<sole::ClearanceSample>;

struct Flight {
  std::size_t first = 0;  // samples clear of the floor
  std::size_t last = 0;
  double from_s = 0.0;  // as far as is known
  double to_s = 0.0;
};

double top_px(const Samples& seen, const Flight& flight) {
  double top = 0;
  for (std::size_t i = flight.first; i <= flight.last; ++i) top = std::max(top, seen[i].up_px);
  return top;
}

std::vector<Flight> flights_of(const Samples& seen, double px_per_cm) {
  std::vector<Flight> flights;
  const double off_px = std::max(1.0, off_floor_cm * px_per_cm);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    if (seen[i].up_px <= off_px) continue;
    if (flights.empty() || flights.back().last + 1 != i || seen[i].time_s - seen[i - 1].time_s > longest_hidden_s) {
      flights.push_back({i, i, seen[i].time_s, 0});
    }
    flights.back().last = i;
    flights.back().to_s = seen[i].time_s;
  }
  std::erase_if(flights, [&](const Flight& f) { return top_px(seen, f) < std::max(2.5, least_flight_cm * px_per_cm); });
  return flights;
}

// A short stretch higher than gravity allows for its length is no flight but a slip of the eye: a body in the air for T
// s rises by g T^2 / 8, and the foot may be drawn up as much again. A long one has its place, whatever its height.
bool is_slip(const Samples& seen, const Flight& flight, double step_s, double px_per_cm) {
  constexpr double short_s = 0.06;
  constexpr double drawn_up = 2.0;
  constexpr double slack_cm = 0.1;
  const double length_s = seen[flight.last].time_s - seen[flight.first].time_s;
  const bool cut_off = flight.first == 0 || flight.last + 1 == seen.size();  // by the clip's end: it may be long
  if (length_s > short_s || cut_off) return false;
  const double air_s = length_s + 2 * step_s;
  return top_px(seen, flight) > (drawn_up * gravity_cm_s2 * air_s * air_s / 8 + slack_cm) * px_per_cm;
}

// Without such stretches. Where most are such, the clock is wrong and not the eye.
Samples without_slips(Samples seen, double step_s, double px_per_cm) {
  const std::vector<Flight> all = flights_of(seen, px_per_cm);
  std::vector<Flight> slips;
  std::copy_if(all.begin(), all.end(), std::back_inserter(slips),
               [&](const Flight& f) { return is_slip(seen, f, step_s, px_per_cm); });
  if (2 * slips.size() > all.size() && all.size() > 2) return seen;
  for (const Flight& slip : slips) {
    for (std::size_t i = slip.first; i <= slip.last; ++i) seen[i].seen = false;
  }
  std::erase_if(seen, [](const sole::ClearanceSample& s) { return !s.seen; });
  return seen;
}

struct Side {
  bool takeoff = false;
  std::size_t air = 0;     // the sample clear of the floor that is nearest to the event
  std::size_t ground = 0;  // its neighbour on the ground
};

// From the ground to its first place in the air a shoe goes no farther than in the frames just above, but for what
// gravity takes from it meanwhile, as much again for the foot's own turn. One that leaps had been lost.
bool leaps(const Samples& seen, const Side& side, double px_per_cm) {
  constexpr double faster = 2;
  constexpr double slack_cm = 0.2;
  const std::ptrdiff_t onwards = side.takeoff ? 1 : -1;
  const auto place = [&](std::ptrdiff_t steps) { return static_cast<std::ptrdiff_t>(side.air) + onwards * steps; };
  double fastest_px_s = 0;
  for (const std::ptrdiff_t i : {place(0), place(1)}) {
    const std::ptrdiff_t next = i + onwards;
    if (next < 0 || next >= static_cast<std::ptrdiff_t>(seen.size())) return false;
    const auto& low = seen[static_cast<std::size_t>(i)];
    const auto& high = seen[static_cast<std::size_t>(next)];
    fastest_px_s = std::max(fastest_px_s, (high.up_px - low.up_px) / std::abs(high.time_s - low.time_s));
  }
  const double gap_s = std::abs(seen[side.air].time_s - seen[side.ground].time_s);
  const double most_px = faster * fastest_px_s * gap_s + (2 * gravity_cm_s2 * gap_s * gap_s + slack_cm) * px_per_cm;
  return seen[side.air].up_px - seen[side.ground].up_px > most_px;
}

// The samples about an event that may speak for it, in order of time: those on the ground within `ground_s` of
// `side.ground` and those in the air within `air_s` of `side.air`. A soft sole sinks after it has touched, so how
// high a sample is does not say on which side of the event it lies.
std::vector<EventSample> window_of(const Samples& seen, const Side& side, double ground_s, double air_s, double off_px,
                                   double sure_px) {
  std::vector<EventSample> window;
  const std::ptrdiff_t towards_air = side.takeoff ? 1 : -1;
  const auto end = static_cast<std::ptrdiff_t>(seen.size());
  const auto take = [&](std::ptrdiff_t from, std::ptrdiff_t step, double limit_s, int least, bool in_air) {
    int count = 0;
    const double from_s = seen[static_cast<std::size_t>(from)].time_s;
    for (std::ptrdiff_t i = from; i >= 0 && i < end; i += step, ++count) {
      const sole::ClearanceSample& s = seen[static_cast<std::size_t>(i)];
      if (in_air ? s.up_px <= off_px : s.up_px > sure_px) break;  // another contact, another flight
      if (count >= least && std::abs(s.time_s - from_s) > limit_s) break;
      window.push_back({s.time_s, s.up_px, s.sigma_px, in_air});
    }
  };
  take(static_cast<std::ptrdiff_t>(side.air), towards_air, air_s, least_air, true);
  take(static_cast<std::ptrdiff_t>(side.ground), -towards_air, ground_s, least_ground, false);
  std::sort(window.begin(), window.end(), [](const auto& a, const auto& b) { return a.time_s < b.time_s; });
  return window;
}

// The shoe's front, followed as stiff, seems to sink into the floor while a real one bends over the toe, deeper and
// deeper until the toe leaves: then it goes up with the foot. Where the clearance of the last moments on the ground has
// such a point, its index. A soft sole sinks in the middle of the contact and is nearly up again by then.
std::optional<std::size_t> bottom_of_roll(const Samples& seen, std::size_t last_on_ground, double px_per_cm) {
  std::size_t bottom = last_on_ground;
  for (std::size_t i = last_on_ground; i > 0 && seen[last_on_ground].time_s - seen[i].time_s < rolled_up_s; --i) {
    if (seen[i].up_px < seen[bottom].up_px) bottom = i;
  }
  if (bottom == 0 || seen[bottom - 1].up_px <= seen[bottom].up_px) return std::nullopt;  // it was lower before
  std::vector<double> before;
  for (std::size_t i = bottom; i > 0 && seen[bottom].time_s - seen[i].time_s < 2.5 * roll_begins_s; --i) {
    if (seen[bottom].time_s - seen[i].time_s > roll_begins_s) before.push_back(seen[i].up_px);
  }
  if (before.size() < 2) return std::nullopt;
  const double depth_px = math::median(before) - seen[bottom].up_px;
  return depth_px > std::max(2.0, least_roll_cm * px_per_cm) ? std::optional(bottom) : std::nullopt;
}

// The window of a take-off at the bottom of a roll: what was on the ground before it lay at that depth.
void level_to(const sole::ClearanceSample& bottom, std::vector<EventSample>& window) {
  for (EventSample& s : window) {
    s.in_air = s.time_s > bottom.time_s;
    if (!s.in_air) s.up_px = bottom.up_px;
  }
}

class Finder {
 public:
  Finder(const sole::Clearance& clearance, const ContactOptions& options)
      : options_(options), px_per_cm_(options.px_per_cm.value_or(options.guessed_px_per_cm)) {
    std::vector<double> steps;
    for (std::size_t i = 0; i < clearance.samples.size(); ++i) {
      times_.push_back(clearance.samples[i].time_s);
      if (clearance.samples[i].seen) seen_.push_back(clearance.samples[i]);
      if (i > 0) steps.push_back(times_[i] - times_[i - 1]);
    }
    step_s_ = steps.empty() ? 0 : math::median(steps);
    first_frame_ = clearance.samples.empty() ? 0 : clearance.samples.front().frame;
    seen_ = without_slips(seen_, step_s_, px_per_cm_);
    flights_ = flights_of(seen_, px_per_cm_);
  }

  Contacts contacts() {
    softness_s_ = usual_softness.spread / 2;
    exposure_s_ = std::min(usual_exposure.mean, step_s_ / 2);
    time_flights();
    Usual exposure = usual_exposure;
    exposure.greatest = std::min(exposure.greatest, step_s_);
    exposure_u_s_ = pooled(exposure_s_, false, exposure);  // a landing foot stops at once
    softness_u_s_ = pooled(softness_s_, true, usual_softness);
    time_flights();
    Contacts out;
    Contact now;
    for (std::size_t f = 0; f < flights_.size(); ++f) {
      now.takeoff = event(f, true);
      out.contacts.push_back(now);
      now = Contact{};
      now.touchdown = event(f, false);
    }
    if (!flights_.empty()) out.contacts.push_back(now);
    // What moves take-offs alone enters a contact once, the common error twice.
    out.common_u_s = std::hypot(std::hypot(level_u_s, bending_u_s), softness_u_s_ / 6, shape_share * softness_s_ / 2);
    return out;
  }

 private:
  [[nodiscard]] static Side side_of(const Flight& f, bool takeoff) {
    return {takeoff, takeoff ? f.first : f.last, takeoff ? f.first - 1 : f.last + 1};
  }

  [[nodiscard]] double about_contact_s(std::size_t flight, bool takeoff) const {
    if (takeoff ? flight == 0 : flight + 1 >= flights_.size()) return usual_contact_s;
    const Flight& before = flights_[takeoff ? flight - 1 : flight];
    const Flight& after = flights_[takeoff ? flight : flight + 1];
    return std::clamp(after.from_s - before.to_s, 0.06, 0.6);
  }

  void time_flights() {
    for (std::size_t f = 0; f < flights_.size(); ++f) {
      const auto left = fitted(f, true);
      const auto landed = fitted(f, false);
      if (left) flights_[f].from_s = left->time_s;
      if (landed) flights_[f].to_s = landed->time_s;
    }
  }

  // Exposure and softness are the same from hop to hop, so all events together tell them, also where a single one has
  // too few frames near it. Each event has no more than `most_say`. Sets `parameter`, a member that fitted() reads, to
  // the mean of what is likely; returns the spread.
  double pooled(double& parameter, bool takeoff, const Usual& usual) {
    std::vector<double> losses(pooled_steps, 0.0);
    const auto value = [&](std::size_t i) { return usual.greatest * static_cast<double>(i) / (pooled_steps - 1); };
    const std::size_t stride = (flights_.size() + most_pooled - 1) / most_pooled;
    for (std::size_t f = 0; f < flights_.size(); f += std::max<std::size_t>(1, stride)) {
      std::vector<double> own;
      for (std::size_t i = 0; i < pooled_steps; ++i) {
        parameter = value(i);
        if (const auto fit = fitted(f, takeoff)) own.push_back(fit->loss / std::max(1.0, fit->misfit * fit->misfit));
      }
      if (own.size() < pooled_steps) continue;
      const double least = *std::min_element(own.begin(), own.end());
      for (std::size_t i = 0; i < pooled_steps; ++i) losses[i] += std::min(own[i] - least, most_say);
    }
    const double least = *std::min_element(losses.begin(), losses.end());
    std::vector<double> before;
    for (std::size_t i = 0; i < pooled_steps; ++i) before.push_back(usual.density(value(i)));
    const double all = std::accumulate(before.begin(), before.end(), 0.0);
    double weight = 0;
    double sum = 0;
    double sum_squares = 0;
    for (std::size_t i = 0; i < pooled_steps; ++i) {
      const double prior = (1 - usual.none) * before[i] / all + (i == 0 ? usual.none : 0);
      const double w = prior * std::exp(-(losses[i] - least) / 2);
      weight += w;
      sum += w * value(i);
      sum_squares += w * value(i) * value(i);
    }
    parameter = sum / weight;
    return std::sqrt(std::max(0.0, sum_squares / weight - parameter * parameter));
  }

  [[nodiscard]] std::optional<Instant> event(std::size_t flight, bool takeoff) const {
    const auto fit = fitted(flight, takeoff);
    if (!fit) return std::nullopt;
    Instant instant;
    instant.time_s = fit->time_s;
    instant.time_s_u = std::hypot(fit->time_s_u, level_u_s, takeoff ? softness_u_s_ / 3 : exposure_u_s_ / 4);
    instant.time_s_u = std::hypot(instant.time_s_u, bending_u_s, bending_own_u_s);
    if (takeoff) instant.time_s_u = std::hypot(instant.time_s_u, shape_share * softness_s_);
    if (options_.witness != Witness::sole && takeoff) instant.time_s_u = std::hypot(instant.time_s_u, toe_roll_u_s);
    instant.witness = options_.witness;
    instant.unvouched = leaps(seen_, side_of(flights_[flight], takeoff), px_per_cm_);
    const auto next = std::lower_bound(times_.begin(), times_.end(), fit->time_s);
    instant.frame = first_frame_ + (next - times_.begin());
    return instant;
  }

  [[nodiscard]] std::optional<EventFit> fitted(std::size_t flight, bool takeoff) const {
    const Flight& f = flights_[flight];
    const Side side = side_of(f, takeoff);
    if (side.ground >= seen_.size()) return std::nullopt;  // the clip begins, or ends, in the air
    const double gap_s = std::abs(seen_[side.air].time_s - seen_[side.ground].time_s);
    if (gap_s > std::max(most_hidden_s, 3.5 * step_s_)) return std::nullopt;
    const double off_px = std::max(1.0, off_floor_cm * px_per_cm_);
    const double sure_px = std::min(surely_off_cm * px_per_cm_, 0.6 * top_px(seen_, f));
    std::size_t sure = side.air;
    while (takeoff && sure < f.last && seen_[sure].up_px < sure_px) ++sure;
    while (!takeoff && sure > f.first && seen_[sure].up_px < sure_px) --sure;
    EventFrame frame;
    frame.takeoff = takeoff;
    frame.earliest_s = std::min(seen_[sure].time_s, seen_[side.ground].time_s) - 1.5 * step_s_;
    frame.latest_s = std::max(seen_[sure].time_s, seen_[side.ground].time_s) + 1.5 * step_s_;
    frame.step_s = step_s_;
    frame.contact_s = about_contact_s(flight, takeoff);
    frame.px_per_cm = px_per_cm_;
    frame.softness_s = softness_s_;
    frame.exposure_s = exposure_s_;
    if (options_.px_per_cm) frame.gravity_px_s2 = gravity_cm_s2 * *options_.px_per_cm;
    const double flight_s = seen_[f.last].time_s - seen_[f.first].time_s;
    const double reach_s = std::abs(seen_[sure].time_s - seen_[side.air].time_s) + air_window_s;
    const double slack_s = step_s_ / 4;  // a frame just at a window's end is in it, whichever way its time was rounded
    auto window =
        window_of(seen_, side, ground_window_s + slack_s, std::min(reach_s, 0.6 * flight_s) + slack_s, off_px, sure_px);
    if (const auto bottom = takeoff ? bottom_of_roll(seen_, side.ground, px_per_cm_) : std::nullopt) {
      level_to(seen_[*bottom], window);
      frame.earliest_s = seen_[*bottom].time_s - step_s_ / 2;  // until then it went down
    }
    return fit_event(window, frame);
  }

  ContactOptions options_;
  double px_per_cm_;
  Samples seen_;
  std::vector<double> times_;
  std::vector<Flight> flights_;
  double softness_s_ = 0.0;
  double softness_u_s_ = 0.0;
  double exposure_s_ = 0.0;
  double exposure_u_s_ = 0.0;
  double step_s_ = 0.0;
  std::int64_t first_frame_ = 0;
};

}  // namespace

Contacts find_contacts(const sole::Clearance& clearance, const ContactOptions& options) {
  return Finder(clearance, options).contacts();
}

std::vector<FlightTimes> sure_flights(const Contacts& contacts) {
  std::vector<FlightTimes> flights;
  for (std::size_t i = 1; i < contacts.contacts.size(); ++i) {
    const Contact& before = contacts.contacts[i - 1];
    const Contact& after = contacts.contacts[i];
    if (before.doubtful || after.doubtful || !is_sure(before.takeoff) || !is_sure(after.touchdown)) continue;
    flights.push_back({before.takeoff->time_s, after.touchdown->time_s});
  }
  return flights;
}

std::vector<double> gravities_seen(const sole::Clearance& clearance, const Contacts& contacts, double px_per_cm) {
  std::vector<double> bends;
  for (const FlightTimes& flight : sure_flights(contacts)) {
    double top_px = 0;
    for (const auto& s : clearance.samples) {
      if (s.seen && s.time_s > flight.from_s && s.time_s < flight.to_s) top_px = std::max(top_px, s.up_px);
    }
    const double flight_s = flight.to_s - flight.from_s;
    if (top_px > 0 && flight_s > 0) bends.push_back(8 * top_px / (flight_s * flight_s) / (gravity_cm_s2 * px_per_cm));
  }
  return bends;
}

}  // namespace risetrace::hop
