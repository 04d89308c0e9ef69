#include "hop/vouch_by_heel.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "base/rounded.h"
#include "hop/neighbours.h"
#include "math/statistics.h"

namespace risetrace::hop {
namespace {

constexpr Neighbours four_each_way{4, 3};
constexpr double reach_s = 0.15;         // the heel passes its level no farther from an event than this
constexpr double least_apart_s = 0.025;  // an event nearer to the heel's moment is not questioned ...
constexpr double spreads_apart = 4;      // ... nor one as near as the others are
constexpr double unvouched_apart_s = 0.012;
constexpr double unvouched_spreads = 2;
constexpr double own_u_s = 0.015;  // ours: of the heel's moment, besides how the others lie about theirs
constexpr double far_cm = 2.0;
constexpr double gap_steps = 2.5;  // between two sights of the heel, or it is not known there

// The heel's height over time, from any level.
class HeelWay {
 public:
  explicit HeelWay(const sticker::Track& heel) {
    std::vector<double> steps;
    for (std::size_t i = 0; i < heel.samples.size(); ++i) {
      const sticker::TrackSample& s = heel.samples[i];
      if (i > 0) steps.push_back(s.time_s - heel.samples[i - 1].time_s);
      if (!s.seen) continue;
      times_.push_back(s.time_s);
      ups_.push_back(-s.px.y);
      frames_.push_back(s.frame);
    }
    if (!steps.empty()) most_gap_s_ = gap_steps * math::median(steps);
  }

  [[nodiscard]] std::optional<double> up_at(double time_s) const {
    const std::size_t next = first_from(time_s);
    if (next == 0 || next == times_.size() || !joined(next)) return std::nullopt;
    const double share = (time_s - times_[next - 1]) / (times_[next] - times_[next - 1]);
    return ups_[next - 1] + share * (ups_[next] - ups_[next - 1]);
  }

  // All moments at which it passes the level, rising or falling.
  [[nodiscard]] std::vector<Instant> passing(double level, bool rising, double from_s, double to_s) const {
    std::vector<Instant> moments;
    for (std::size_t i = std::max<std::size_t>(1, first_from(from_s)); i < times_.size() && times_[i - 1] < to_s; ++i) {
      const double low = rising ? ups_[i - 1] : ups_[i];
      const double high = rising ? ups_[i] : ups_[i - 1];
      if (!joined(i) || !(low < level && level <= high)) continue;
      const double share = (level - ups_[i - 1]) / (ups_[i] - ups_[i - 1]);
      const double time_s = times_[i - 1] + share * (times_[i] - times_[i - 1]);
      if (time_s >= from_s && time_s <= to_s) moments.push_back({time_s, own_u_s, frames_[i], Witness::heel_sticker});
    }
    return moments;
  }

  // Between two times, themselves with it. Empty: not seen at both.
  [[nodiscard]] std::optional<double> lowest(double from_s, double to_s) const {
    const auto first = up_at(from_s);
    const auto last = up_at(to_s);
    if (!first || !last) return std::nullopt;
    double low = std::min(*first, *last);
    for (std::size_t i = first_from(from_s); i < times_.size() && times_[i] <= to_s; ++i) low = std::min(low, ups_[i]);
    return low;
  }

 private:
  [[nodiscard]] std::size_t first_from(double time_s) const {
    return static_cast<std::size_t>(std::lower_bound(times_.begin(), times_.end(), time_s) - times_.begin());
  }
  [[nodiscard]] bool joined(std::size_t i) const { return times_[i] - times_[i - 1] <= most_gap_s_; }

  std::vector<double> times_;
  std::vector<double> ups_;
  std::vector<std::int64_t> frames_;
  double most_gap_s_ = 0.0;
};

using Event = std::optional<Instant> Contact::*;

// One kind of event, over all contacts.
class Vouching {
 public:
  Vouching(std::vector<Contact>& contacts, Event event, const HeelWay& heel, double far_px)
      : contacts_(contacts), event_(event), heel_(heel), far_px_(far_px) {
    for (const Contact& contact : contacts_) {
      const auto& instant = contact.*event_;
      ups_.push_back(instant ? heel_.up_at(instant->time_s) : std::nullopt);
    }
  }

  // Of the heel at the events next to contact i, its own left out.
  [[nodiscard]] std::optional<double> level(std::size_t i) const {
    return median_about(i, ups_.size(), four_each_way, [&](std::size_t j) { return ups_[j]; });
  }

  // Returns the times of events that are not believed any more.
  std::vector<double> vouch() {
    std::vector<std::optional<Instant>> moments(contacts_.size());
    std::vector<double> apart;
    for (std::size_t i = 0; i < contacts_.size(); ++i) {
      moments[i] = moment_of(i);
      if (moments[i] && !(contacts_[i].*event_)->unvouched) apart.push_back(apart_s(i, *moments[i]));
    }
    spread_s_ = apart.size() < four_each_way.fewest ? 0.0 : math::robust_sd(apart);
    std::vector<double> left_out;
    for (std::size_t i = 0; i < contacts_.size(); ++i) {
      const bool impossible = !moments[i] && far_off(i);
      if (impossible || (moments[i] && !believed(i, *moments[i]))) left_out.push_back((contacts_[i].*event_)->time_s);
      if (impossible) (contacts_[i].*event_).reset();
      settle(i, moments[i]);
    }
    return left_out;
  }

  // An event that was hidden between two times: the first moment, or the last.
  [[nodiscard]] std::optional<Instant> hidden(std::size_t i, double from_s, double to_s, bool last) const {
    const auto up = level(i);
    if (!up) return std::nullopt;
    std::vector<Instant> moments = heel_.passing(*up, rising(), from_s, to_s);
    if (moments.empty()) return std::nullopt;
    return with_u(last ? moments.back() : moments.front());
  }

 private:
  [[nodiscard]] bool rising() const { return event_ == &Contact::takeoff; }
  [[nodiscard]] double apart_s(std::size_t i, const Instant& moment) const {
    return (contacts_[i].*event_)->time_s - moment.time_s;
  }
  [[nodiscard]] Instant with_u(Instant moment) const {
    moment.time_s_u = std::hypot(own_u_s, spread_s_);
    return moment;
  }

  // How high the heel should be at an event at which it was seen.
  [[nodiscard]] std::optional<double> wanted(std::size_t i) const { return ups_[i] ? level(i) : std::nullopt; }

  // The one next to the event at which the heel passes its level.
  [[nodiscard]] std::optional<Instant> moment_of(std::size_t i) const {
    const auto up = wanted(i);
    if (!up) return std::nullopt;
    const double at_s = (contacts_[i].*event_)->time_s;
    const std::vector<Instant> moments = heel_.passing(*up, rising(), at_s - reach_s, at_s + reach_s);
    if (moments.empty()) return std::nullopt;
    return *std::min_element(moments.begin(), moments.end(), [&](const Instant& a, const Instant& b) {
      return std::abs(a.time_s - at_s) < std::abs(b.time_s - at_s);
    });
  }

  // Seen far from its level, and nowhere near in time does it pass there.
  [[nodiscard]] bool far_off(std::size_t i) const {
    const auto up = wanted(i);
    return up && std::abs(*ups_[i] - *up) > far_px_;
  }

  [[nodiscard]] bool believed(std::size_t i, const Instant& moment) const {
    const bool unvouched = (contacts_[i].*event_)->unvouched;
    const double most_s = unvouched ? std::max(unvouched_apart_s, unvouched_spreads * spread_s_)
                                    : std::max(least_apart_s, spreads_apart * spread_s_);
    return std::abs(apart_s(i, moment)) <= most_s;
  }

  void settle(std::size_t i, const std::optional<Instant>& moment) {
    auto& instant = contacts_[i].*event_;
    if (!instant) return;
    if (moment && !believed(i, *moment)) {
      instant = with_u(*moment);
    } else if (moment) {
      instant->unvouched = false;
    } else if (instant->unvouched) {
      contacts_[i].doubtful = true;
      contacts_[i].why = std::string("the shoe was lost from sight about its ") + (rising() ? "take-off" : "touchdown");
    }
  }

  std::vector<Contact>& contacts_;
  Event event_;
  const HeelWay& heel_;
  double far_px_ = 0.0;
  std::vector<std::optional<double>> ups_;
  double spread_s_ = 0.0;
};

// A shoe taken for standing while it flew: the heel never came down to where it is at the events next to these.
// Returns their touchdowns.
std::vector<double> drop_in_flight(std::vector<Contact>& contacts, const HeelWay& heel, double far_px) {
  const Vouching touchdowns(contacts, &Contact::touchdown, heel, far_px);
  const Vouching takeoffs(contacts, &Contact::takeoff, heel, far_px);
  std::vector<Contact> kept;
  std::vector<double> dropped;
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    const Contact& contact = contacts[i];
    const auto landing_up = touchdowns.level(i);
    const auto leaving_up = takeoffs.level(i);
    std::optional<double> low;
    if (contact.touchdown && contact.takeoff) {
      const auto [from_s, to_s] = std::minmax(contact.touchdown->time_s, contact.takeoff->time_s);
      low = heel.lowest(from_s, to_s);
    }
    const bool in_flight = low && landing_up && leaving_up && *low > std::max(*landing_up, *leaving_up) + far_px;
    if (in_flight) {
      dropped.push_back(contact.touchdown->time_s);
    } else {
      kept.push_back(contact);
    }
  }
  if (!dropped.empty()) contacts = std::move(kept);
  return dropped;
}

void fill_hidden(std::vector<Contact>& contacts, const Vouching& touchdowns, const Vouching& takeoffs) {
  for (std::size_t i = 1; i < contacts.size(); ++i) {
    Contact& before = contacts[i - 1];
    Contact& here = contacts[i];
    if (!before.takeoff && before.touchdown && here.touchdown) {
      before.takeoff = takeoffs.hidden(i - 1, before.touchdown->time_s, here.touchdown->time_s, false);
    }
    if (!here.touchdown && before.takeoff && here.takeoff) {
      here.touchdown = touchdowns.hidden(i, before.takeoff->time_s, here.takeoff->time_s, true);
    }
  }
}

bool wrong_order(const std::optional<Instant>& first, const std::optional<Instant>& second) {
  return first && second && first->time_s >= second->time_s;
}

std::optional<Instant>& less_sure(std::optional<Instant>& first, std::optional<Instant>& second) {
  return first->witness == Witness::heel_sticker ? first : second;
}

// A heel's moment may fall beyond the event before or after it, and is left out then. Of two that the shoe was seen to
// have in the wrong order neither is known to be right.
void keep_order(std::vector<Contact>& contacts) {
  for (std::size_t i = 0; i < contacts.size(); ++i) {
    Contact& contact = contacts[i];
    if (i > 0 && wrong_order(contacts[i - 1].takeoff, contact.touchdown)) {
      less_sure(contacts[i - 1].takeoff, contact.touchdown).reset();
    }
    if (!wrong_order(contact.touchdown, contact.takeoff)) continue;
    std::optional<Instant>& out = less_sure(contact.touchdown, contact.takeoff);
    if (out->witness != Witness::heel_sticker) {
      contact.doubtful = true;
      contact.why = "the shoe was seen to leave before it landed";
    }
    out.reset();
  }
}

}  // namespace

void vouch_by_heel(Contacts& contacts, const sticker::Track& heel, double px_per_cm) {
  const HeelWay way(heel);
  const double far_px = far_cm * px_per_cm;
  std::vector<double> left_out = drop_in_flight(contacts.contacts, way, far_px);
  Vouching touchdowns(contacts.contacts, &Contact::touchdown, way, far_px);
  Vouching takeoffs(contacts.contacts, &Contact::takeoff, way, far_px);
  for (Vouching* const kind : {&touchdowns, &takeoffs}) {
    const std::vector<double> some = kind->vouch();
    left_out.insert(left_out.end(), some.begin(), some.end());
  }
  fill_hidden(contacts.contacts, touchdowns, takeoffs);
  keep_order(contacts.contacts);
  if (left_out.empty()) return;
  const double first_s = *std::min_element(left_out.begin(), left_out.end());
  contacts.notes.push_back(
      {"shoe-mistaken",
       (left_out.size() == 1 ? std::string("One landing or take-off, at ")
                             : std::to_string(left_out.size()) + " landings or take-offs, the first at ") +
           rounded(first_s, 2) +
           " s, cannot be where the foot was seen to land or leave: the heel was elsewhere than at the other hops. "
           "Their times on the ground and in the air are left out.",
       first_s});
}

}  // namespace risetrace::hop
