#include "review/correct_raises.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/rounded.h"
#include "raise/find_reps.h"
#include "raise/rise_shape.h"
#include "raise/set_end.h"
#include "review/say_corrections.h"

namespace risetrace::review {
namespace {

constexpr double same_peak_s = 0.1;  // half of the time between the peaks of the fastest reps is more than thrice that

struct Kept {
  raise::Rise rise;
  double address_s = 0.0;        // where its peak was found or put
  int was = -1;                  // its number among those found, from 0; -1: put in
  bool taken_out = false;        // stays, so that a later correction of it can be named
  std::size_t last_touched = 0;  // the correction that touched it last
};

// As raise::RepFinder takes them: finite, each later than the one before.
raise::Heights heights_of(const std::vector<path::PathSample>& samples) {
  raise::Heights out;
  for (const path::PathSample& s : samples) {
    if (!std::isfinite(s.up_cm) || (!out.empty() && !(s.time_s > out.back().time_s))) continue;
    out.push_back({s.time_s, s.up_cm, s.frame, s.across_cm});
  }
  return out;
}

class Reviewer {
 public:
  Reviewer(const raise::Found& found, const raise::Heights& heights, const Corrections& corrections,
           const model::RaiseProtocol& protocol)
      : found_(found), heights_(heights), corrections_(corrections), protocol_(protocol) {
    for (const raise::Rise& rise : found.rises) kept_.push_back({rise, rise.peak_s, static_cast<int>(kept_.size())});
  }

  Result<raise::Found> corrected() {
    for (std::size_t i = 0; i < corrections_.list.size(); ++i) {
      if (auto done = apply(i); !done) return done.error();
    }
    std::erase_if(kept_, [](const Kept& kept) { return kept.taken_out; });
    std::stable_sort(kept_.begin(), kept_.end(),
                     [](const Kept& a, const Kept& b) { return a.rise.peak_s < b.rise.peak_s; });
    if (auto order = in_order(); !order) return order.error();
    for (std::size_t i = 0; i < kept_.size(); ++i) read_floor(i);
    for (std::size_t i = 0; i < kept_.size(); ++i) look_for_pause(i);
    return judged();
  }

 private:
  [[nodiscard]] Error wrong(std::size_t i, const std::string& why) const {
    return {Fault::corrections_wrong, name_of(corrections_, i) + ": " + why, ""};
  }

  Outcome apply(std::size_t i) {
    const Correction& c = corrections_.list[i];
    if (c.what == What::put_in) return put_in(i);
    if (c.what == What::set_end) {
      if (heights_.empty() || *c.end_s < heights_.front().time_s || *c.end_s > heights_.back().time_s)
        return wrong(i, "the set's end lies outside the trace");
      set_end_s_ = *c.end_s;
      return Done{};
    }
    if (c.what != What::take_out && c.what != What::move) return Done{};
    Kept* kept = kept_at(*c.rep_peak_s);
    if (kept == nullptr) return wrong(i, "no rep has its peak at " + rounded(*c.rep_peak_s, 2) + " s");
    kept->last_touched = i;
    if (c.what == What::move) return move(i, *kept);
    kept->taken_out = true;
    return Done{};
  }

  // The nearest that was not taken out.
  Kept* kept_at(double peak_s) {
    Kept* nearest = nullptr;
    for (Kept& kept : kept_) {
      const double off_s = std::abs(kept.address_s - peak_s);
      if (kept.taken_out || off_s > same_peak_s) continue;
      if (nearest == nullptr || off_s < std::abs(nearest->address_s - peak_s)) nearest = &kept;
    }
    return nearest;
  }

  Outcome put_in(std::size_t i) {
    const Correction& c = corrections_.list[i];
    Kept kept;
    kept.address_s = *c.peak_s;
    kept.last_touched = i;
    kept.rise.closed = true;
    kept.rise.by_hand.put_in = true;
    kept.rise.by_hand.address_s = *c.peak_s;
    if (auto done = set_instants(i, kept.rise); !done) return done;
    kept_.push_back(kept);
    return Done{};
  }

  Outcome move(std::size_t i, Kept& kept) {
    raise::Rise& rise = kept.rise;
    if (corrections_.list[i].peak_s && !rise.by_hand.address_s) rise.by_hand.address_s = rise.peak_s;
    return set_instants(i, rise);
  }

  Outcome set_instants(std::size_t i, raise::Rise& rise) {
    const Correction& c = corrections_.list[i];
    for (const auto& instant : {c.start_s, c.peak_s, c.end_s}) {
      if (instant && (heights_.empty() || *instant < heights_.front().time_s || *instant > heights_.back().time_s))
        return wrong(i, "nothing is known of the heel at " + rounded(*instant, 2) + " s");
    }
    if (c.start_s) {
      rise.start_s = *c.start_s;
      rise.by_hand.start = true;
    }
    if (c.end_s) {
      rise.end_s = *c.end_s;
      rise.by_hand.end = true;
      rise.cut = false;
    }
    if (!c.peak_s) return Done{};
    rise.peak_s = *c.peak_s;
    rise.by_hand.peak = true;
    const auto after = std::lower_bound(heights_.begin(), heights_.end(), rise.peak_s,
                                        [](const raise::Height& h, double t) { return h.time_s < t; });
    rise.peak_at = static_cast<std::size_t>(after - heights_.begin());
    rise.peak_cm = after->up_cm;
    if (after == heights_.begin()) return Done{};
    const raise::Height& before = *std::prev(after);
    const double share = (rise.peak_s - before.time_s) / (after->time_s - before.time_s);
    rise.peak_cm = before.up_cm + share * (after->up_cm - before.up_cm);
    if (share < 0.5) --rise.peak_at;
    return Done{};
  }

  // Asked only of reps that were touched: what was found is as it was found.
  Outcome in_order() {
    for (std::size_t i = 0; i < kept_.size(); ++i) {
      const raise::Rise& rise = kept_[i].rise;
      if (rise.by_hand.any() && !(rise.start_s < rise.peak_s && rise.peak_s < rise.end_s))
        return wrong(kept_[i].last_touched, "a rep must start before its peak and end after it");
      if (i == 0) continue;
      const raise::Rise& before = kept_[i - 1].rise;
      if (!rise.by_hand.any() && !before.by_hand.any()) continue;
      if (!(before.peak_s < rise.start_s) || !(before.end_s < rise.peak_s)) {
        const std::size_t touched = std::max(kept_[i].last_touched, kept_[i - 1].last_touched);
        return wrong(touched, "the reps with peaks at " + rounded(before.peak_s, 2) + " and " +
                                  rounded(rise.peak_s, 2) + " s would overlap");
      }
    }
    return Done{};
  }

  // Whether the one before it is the one that was found before it, its peak where it was found.
  [[nodiscard]] bool follows_as_found(std::size_t i) const {
    if (kept_[i].was < 0) return false;
    if (i == 0) return kept_[i].was == 0;
    return kept_[i - 1].was == kept_[i].was - 1 && !kept_[i - 1].rise.by_hand.peak;
  }

  void read_floor(std::size_t i) {
    raise::Rise& rise = kept_[i].rise;
    if (follows_as_found(i) && !rise.by_hand.peak) return;
    const std::optional<double> standing_cm =
        i == 0 && !found_.standing_guessed ? std::optional(found_.standing_cm) : std::nullopt;
    const std::size_t from = i == 0 ? 0 : kept_[i - 1].rise.peak_at;
    rise.floor_cm = raise::floor_of_rise(heights_, std::min(from, rise.peak_at), rise.peak_at, standing_cm);
  }

  void look_for_pause(std::size_t i) {
    raise::Rise& rise = kept_[i].rise;
    const bool last = i + 1 == kept_.size();
    const bool last_found = kept_[i].was + 1 == static_cast<int>(found_.rises.size());
    const bool next_as_found = last ? last_found : follows_as_found(i + 1) && !kept_[i + 1].rise.by_hand.start;
    if (kept_[i].was >= 0 && !rise.by_hand.end && next_as_found) return;
    const double deadline_s = rise.end_s + protocol_.end_pause_s;
    const double next_s = last ? found_.last_s : kept_[i + 1].rise.start_s;
    rise.pause_s = next_s >= deadline_s ? std::optional(deadline_s) : std::nullopt;
  }

  raise::Found judged() {
    raise::Found out = found_;
    out.rises.clear();
    for (const Kept& kept : kept_) out.rises.push_back(kept.rise);
    out.reference_cm.reset();
    out.reference_from_fewer = false;
    if (!out.rises.empty()) {
      const auto wanted = static_cast<std::size_t>(protocol_.reference_reps);
      const std::size_t used = std::min(raise::before_pause(out.rises), wanted);
      out.reference_cm = raise::reference_height_cm(out.rises, out.standing_cm, static_cast<int>(used));
      out.reference_from_fewer = used < wanted;
    }
    end_set(out);
    return out;
  }

  void end_set(raise::Found& out) const {
    const double fraction = protocol_.end_fraction;
    std::optional<raise::SetEnd> end;
    if (set_end_s_) {
      end = raise::end_by_hand(out.rises, out.standing_cm, out.reference_cm, fraction, *set_end_s_);
    } else if (out.reference_cm) {
      end = raise::end_of_set(out.rises, out.standing_cm, *out.reference_cm, fraction, protocol_.end_after);
    }
    out.set_end = end ? *end : raise::end_of_clip(out.rises, out.standing_cm, out.reference_cm, fraction, out.last_s);
    out.set_end.frame = raise::frame_at(heights_, out.set_end.t_s);
  }

  const raise::Found& found_;
  const raise::Heights& heights_;
  const Corrections& corrections_;
  const model::RaiseProtocol& protocol_;
  std::vector<Kept> kept_;
  std::optional<double> set_end_s_;
};

// Settings alone change the rules, not what was found by them.
bool touches_reps(const Corrections& corrections) {
  return std::any_of(corrections.list.begin(), corrections.list.end(), [](const Correction& c) {
    return c.what == What::take_out || c.what == What::put_in || c.what == What::move || c.what == What::set_end;
  });
}

}  // namespace

Result<raise::Found> correct_raises(const raise::Found& found, const std::vector<path::PathSample>& samples,
                                    const Corrections& corrections, const model::RaiseProtocol& protocol) {
  if (!touches_reps(corrections)) return found;
  const raise::Heights heights = heights_of(samples);
  return Reviewer(found, heights, corrections, protocol).corrected();
}

Result<raise::RepSet> corrected_set(const std::vector<path::PathSample>& samples, const Corrections& corrections,
                                    const model::RaiseProtocol& protocol) {
  raise::RepFinder finder(protocol);
  for (const path::PathSample& sample : samples) finder.push(sample);
  const auto found = correct_raises(finder.found(), samples, corrections, protocol);
  if (!found) return found.error();
  return raise::rep_set_of(*found, protocol);
}

}  // namespace risetrace::review
