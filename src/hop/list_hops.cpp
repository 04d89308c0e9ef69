#include "hop/list_hops.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "hop/neighbours.h"

namespace risetrace::hop {
namespace {

constexpr Neighbours three_each_way{3, 3};

// Of the time between a touchdown and a take-off.
double interval_u_ms(const Instant& a, const Instant& b, double common_u_s) {
  const auto own_2 = [&](const Instant& i) { return std::max(0.0, i.time_s_u * i.time_s_u - common_u_s * common_u_s); };
  return 1000 * std::sqrt(own_2(a) + own_2(b) + 4 * common_u_s * common_u_s);
}

// A doubtful landing's times are no measure for the hops about it: they are left out. The flight after it is its own.
std::vector<Hop> without_doubtful_times(std::vector<Hop> hops, const std::vector<const Contact*>& landed) {
  for (std::size_t i = 0; i < hops.size(); ++i) {
    if (!landed[i]->doubtful) continue;
    hops[i].contact_ms = hops[i].flight_ms = std::nullopt;
    if (i + 1 < hops.size()) hops[i + 1].flight_ms = std::nullopt;
  }
  return hops;
}

enum class Odd { no, pause, short_touch, short_flight, long_flight };

// Against what a hop can be at all, and once the first ones are over, which differ by nature, against the hops about
// it.
Odd odd(const Hop& hop, const std::vector<Hop>& measures, std::size_t i, bool clock_trusted, bool early,
        const model::HopProtocol& rules) {
  const double odd_of = rules.odd_of_neighbours + 1e-9;  // exactly so many times is not odd, whatever the clock's zero
  const auto beyond = [&](std::optional<double> Hop::*time_ms, double least, double greatest) {
    const std::optional<double>& value = hop.*time_ms;
    if (!value) return 0;
    if (clock_trusted && *value > greatest) return 1;
    if (clock_trusted && *value < least) return -1;
    if (early) return 0;
    const auto usual =
        median_about(i, measures.size(), three_each_way,
                     [&](std::size_t j) -> const std::optional<double>& { return measures[j].*time_ms; });
    if (usual && *value > odd_of * *usual) return 1;
    if (usual && *value * odd_of < *usual) return -1;
    return 0;
  };
  const int contact = beyond(&Hop::contact_ms, rules.least_contact_ms, rules.greatest_contact_ms);
  if (contact > 0) return Odd::pause;
  if (contact < 0) return Odd::short_touch;
  const int flight = beyond(&Hop::flight_ms, rules.least_flight_ms, rules.greatest_flight_ms);
  if (flight > 0) return Odd::long_flight;
  if (flight < 0) return Odd::short_flight;
  return Odd::no;
}

// Where no time on the ground is known, the time from landing to landing is all there is.
Odd odd_period(const Hop& hop, const model::HopProtocol& rules) {
  if (!hop.period_ms) return Odd::no;
  if (*hop.period_ms > rules.greatest_contact_ms + rules.greatest_flight_ms) return Odd::pause;
  if (*hop.period_ms < rules.least_contact_ms + rules.least_flight_ms) return Odd::short_touch;
  return Odd::no;
}

std::string whole(double value) { return std::to_string(std::lround(value)); }

std::string in_words(Odd odd, const Hop& hop) {
  const std::string contact = hop.contact_ms ? " of " + whole(*hop.contact_ms) + " ms" : "";
  const std::string flight = hop.flight_ms ? " of " + whole(*hop.flight_ms) + " ms" : "";
  switch (odd) {
    case Odd::pause:
      return "a stay on the ground" + contact + ", too long for a hop: a pause";
    case Odd::short_touch:
      return "a touch" + contact + ", too short for a hop: a double touch";
    case Odd::short_flight:
      return "a flight" + flight + ", too short for a hop: a double touch or a shift of weight";
    case Odd::long_flight:
      return "a flight" + flight + ", far longer than a hop's: a landing may have been missed";
    case Odd::no:
      break;
  }
  return "";
}

std::string what_is_missing(const Hop& hop, const Contact& contact) {
  if (!is_sure(contact.touchdown)) return "where it came down was not seen surely";
  if (!hop.flight_ms) return "the flight before it was not seen surely";
  if (!contact.takeoff) return "its take-off was not seen";
  if (!is_sure(contact.takeoff)) return "its take-off was not seen surely";
  return "its time on the ground is not known";
}

}  // namespace

std::vector<Hop> list_hops(const Contacts& contacts) {
  std::vector<Hop> hops;
  for (std::size_t i = 0; i < contacts.contacts.size(); ++i) {
    const Contact& contact = contacts.contacts[i];
    if (!contact.touchdown) continue;
    Hop hop;
    hop.n = static_cast<int>(hops.size()) + 1;
    hop.touchdown_s = contact.touchdown->time_s;
    hop.touchdown_frame = contact.touchdown->frame;
    hop.by_hand = contact.by_hand;
    hop.address_frame = contact.address_frame;
    if (contact.takeoff) {
      hop.takeoff_s = contact.takeoff->time_s;
      hop.takeoff_frame = contact.takeoff->frame;
    }
    if (is_sure(contact.touchdown) && is_sure(contact.takeoff)) {
      hop.contact_ms = 1000 * (contact.takeoff->time_s - contact.touchdown->time_s);
      hop.contact_ms_u = interval_u_ms(*contact.touchdown, *contact.takeoff, contacts.common_u_s);
    }
    if (i > 0 && is_sure(contacts.contacts[i - 1].takeoff) && is_sure(contact.touchdown)) {
      const Instant& left = *contacts.contacts[i - 1].takeoff;
      hop.flight_ms = 1000 * (contact.touchdown->time_s - left.time_s);
      hop.flight_ms_u = interval_u_ms(left, *contact.touchdown, contacts.common_u_s);
    }
    if (i + 1 < contacts.contacts.size() && contacts.contacts[i + 1].touchdown) {
      hop.period_ms = 1000 * (contacts.contacts[i + 1].touchdown->time_s - contact.touchdown->time_s);
    }
    hops.push_back(hop);
  }
  return hops;
}

void judge_each(std::vector<Hop>& hops, const Contacts& contacts, bool clock_trusted,
                const model::HopProtocol& protocol) {
  std::vector<const Contact*> landed;
  for (const Contact& contact : contacts.contacts) {
    if (contact.touchdown) landed.push_back(&contact);
  }
  const std::vector<Hop> measures = without_doubtful_times(hops, landed);
  int early_left = protocol.first_left_out;
  bool after_pause = false;
  for (std::size_t i = 0; i < hops.size(); ++i) {
    Hop& hop = hops[i];
    Odd how = Odd::no;
    if (contacts.times_known) how = odd(hop, measures, i, clock_trusted, early_left > 0, protocol);
    if (!contacts.times_known && clock_trusted) how = odd_period(hop, protocol);
    hop.standing = Standing::no_hop;
    hop.counted = false;
    hop.why_not = landed[i]->doubtful ? landed[i]->why : in_words(how, hop);
    if (landed[i]->doubtful && hop.why_not.empty()) hop.why_not = "the landing is doubtful";
    if (how == Odd::pause && !landed[i]->doubtful) {
      early_left = protocol.first_left_out;
      after_pause = true;
    }
    // A flight too long says that a landing before this one is missing, not that this is none.
    if (landed[i]->doubtful || (how != Odd::no && how != Odd::long_flight)) continue;
    hop.standing = early_left > 0 ? Standing::early : Standing::steady;
    if (early_left > 0 && hop.why_not.empty()) {
      hop.why_not =
          "one of the first " + std::to_string(protocol.first_left_out) + (after_pause ? " after a pause" : "");
    }
    early_left = std::max(0, early_left - 1);
    const bool whole_hop = !contacts.times_known || (hop.contact_ms && hop.flight_ms);
    if (!whole_hop && hop.why_not.empty()) hop.why_not = what_is_missing(hop, *landed[i]);
    hop.counted = hop.why_not.empty();
  }
}

}  // namespace risetrace::hop
