#include "hop/witness.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "base/rounded.h"
#include "math/statistics.h"
#include "sole/cycles.h"

namespace risetrace::hop {
namespace {

constexpr double heel_u_s = 0.015;     // ours: how far the fastest fall may lie from the landing
constexpr double still_heel_cm = 0.2;  // ours: half of the lowest flight that is told from none
constexpr double usual_noise_px = 0.1;

}  // namespace

sole::Clearance clearance_of_forefoot(const sticker::Track& forefoot) {
  sole::Clearance clearance;
  std::vector<double> rows;
  for (const sticker::TrackSample& s : forefoot.samples) {
    if (s.seen) rows.push_back(s.px.y);
  }
  if (rows.empty()) return clearance;
  // Half of the time or more it lies on the ground: the lower quartile of its heights is there.
  const auto at = rows.begin() + static_cast<std::ptrdiff_t>(rows.size() * 3 / 4);
  std::nth_element(rows.begin(), at, rows.end());
  clearance.floor_row_px = *at;
  for (const sticker::TrackSample& s : forefoot.samples) {
    clearance.samples.push_back(
        {s.frame, s.time_s, clearance.floor_row_px - s.px.y, std::max(usual_noise_px, forefoot.noise_px), s.seen});
  }
  return clearance;
}

void join_across_still_heel(Contacts& contacts, const sticker::Track& heel, double px_per_cm) {
  // Three frames at the least: two on either side of a flight's top are as high as each other.
  const auto still = [&](const std::optional<Instant>& from, const std::optional<Instant>& to) {
    if (!from || !to) return false;
    std::vector<double> rows;
    std::size_t frames = 0;
    for (const sticker::TrackSample& s : heel.samples) {
      if (s.time_s < from->time_s || s.time_s > to->time_s) continue;
      ++frames;
      if (s.seen) rows.push_back(s.px.y);
    }
    if (rows.size() < 3 || 10 * rows.size() < 7 * frames) return false;  // blurred or hidden: it may have moved
    const auto [least, greatest] = std::minmax_element(rows.begin(), rows.end());
    return *greatest - *least < still_heel_cm * px_per_cm;
  };
  std::vector<Contact> joined;
  for (const Contact& contact : contacts.contacts) {
    if (!joined.empty() && still(joined.back().takeoff, contact.touchdown)) {
      joined.back().takeoff = contact.takeoff;
    } else {
      joined.push_back(contact);
    }
  }
  contacts.contacts = std::move(joined);
}

namespace {

struct Stretch {
  double from_s = 0.0;
  double to_s = 0.0;
  bool repeated = false;  // else there are no pictures

  [[nodiscard]] double length_s() const { return to_s - from_s; }
};

// From the last new picture before to the first one after.
std::vector<Stretch> without_news(const sticker::Track& heel) {
  constexpr double far_longer = 3.5;
  constexpr double least_missing_s = 0.05;  // an event in a shorter one is told by what lies on either side
  std::vector<Stretch> between;
  std::vector<double> lengths;
  const sticker::TrackSample* last = nullptr;
  bool repeated = false;
  for (const sticker::TrackSample& s : heel.samples) {
    repeated = repeated || s.repeated;
    if (s.repeated) continue;
    if (last != nullptr) between.push_back({last->time_s, s.time_s, repeated});
    if (last != nullptr) lengths.push_back(between.back().length_s());
    last = &s;
    repeated = false;
  }
  if (lengths.empty()) return {};
  const double usual_s = math::median(lengths);
  std::erase_if(between, [&](const Stretch& s) {
    return s.length_s() < std::max(far_longer * usual_s, s.repeated ? 0.0 : least_missing_s);
  });
  return between;
}

}  // namespace

void doubt_frozen(Contacts& contacts, const sticker::Track& heel) {
  for (const Stretch& still : without_news(heel)) {
    std::optional<double> left_s;  // at the take-off before; where that is not known, at the touchdown before
    for (Contact& contact : contacts.contacts) {
      const std::optional<double> from_s = left_s              ? left_s
                                           : contact.touchdown ? std::optional(contact.touchdown->time_s)
                                                               : std::nullopt;
      const auto& last = contact.takeoff ? contact.takeoff : contact.touchdown;
      left_s = last ? std::optional(last->time_s) : std::nullopt;
      if (!from_s || !last || still.to_s < *from_s || still.from_s > last->time_s) continue;
      contact.doubtful = true;
      contact.why = (still.repeated ? "the picture stood still for " : "there are no pictures for ") +
                    rounded(1000 * still.length_s(), 0) + " ms, on the ground or in the flight before";
    }
  }
}

Contacts contacts_of_heel(const sticker::Track& heel, double px_per_cm) {
  Contacts out;
  out.times_known = false;
  sole::CycleFinder cycles(sole::least_swing_cm * px_per_cm);
  std::optional<double> top_s;
  double fastest = 0;
  Contact landing;
  const sticker::TrackSample* before = nullptr;
  for (const sticker::TrackSample& s : heel.samples) {
    if (!s.seen) continue;
    if (before != nullptr && top_s) {
      const double fall = (s.px.y - before->px.y) / (s.time_s - before->time_s);
      if (fall > fastest) {
        fastest = fall;
        landing.touchdown = Instant{(s.time_s + before->time_s) / 2, heel_u_s, s.frame, Witness::heel_sticker};
      }
    }
    const auto turn = cycles.push(s.time_s, -s.px.y);
    if (turn && turn->high) {
      top_s = turn->time_s;
      fastest = 0;
    } else if (turn) {
      if (landing.touchdown) out.contacts.push_back(landing);
      landing = Contact{};
      top_s.reset();
    }
    before = &s;
  }
  if (landing.touchdown) out.contacts.push_back(landing);
  return out;
}

}  // namespace risetrace::hop
