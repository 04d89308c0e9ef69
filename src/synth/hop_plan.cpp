#include "synth/hop_plan.h"

#include <algorithm>
#include <cmath>

#include "synth/random.h"

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_hops = 7;
constexpr double least_flight_s = 0.03;
constexpr double least_contact_s = 0.03;
constexpr double second_touch_s = 0.045;  // of a double touch: so long off, so long on
constexpr double stumble_extra_s = 0.25;
constexpr double longest_phase_s = 1.0 / 60;  // a frame of the slowest usual camera

const SpecialHop* special_of(const HopSpec& hops, int n) {
  const auto found =
      std::find_if(hops.special.begin(), hops.special.end(), [n](const SpecialHop& s) { return s.n == n; });
  return found == hops.special.end() ? nullptr : &*found;
}

double settling_s(const HopRule& rule, int index) {
  if (index >= rule.settle_hops) return 0.0;
  return rule.settle_extra_s * (1.0 - static_cast<double>(index) / rule.settle_hops);
}

double phase_s(const Scene& scene) {
  Random random(mixed_seed(scene.seed, purpose_hops, 1));
  return scene.movement.hops->phase_s.value_or(random.between(0.0, longest_phase_s));
}

}  // namespace

std::vector<BeatSpan> beat_spans(const Scene& scene) {
  std::vector<BeatSpan> out;
  if (!scene.beat || scene.beat->steps.empty()) return out;
  double first_s = scene.beat->first_s + scene.beat->run_in * 60.0 / scene.beat->steps.front().bpm;
  for (const BeatPart& part : scene.beat->steps) {
    const double beat_s = 60.0 / part.bpm;
    out.push_back({part.bpm, first_s, first_s - beat_s / 2, first_s + (part.beats - 0.5) * beat_s, part.beats});
    first_s += part.beats * beat_s;
  }
  return out;
}

std::vector<BeatClick> beat_clicks(const Scene& scene) {
  std::vector<BeatClick> out;
  const std::vector<BeatSpan> spans = beat_spans(scene);
  if (spans.empty()) return out;
  for (int i = 0; i < scene.beat->run_in; ++i) {
    out.push_back({scene.beat->first_s + i * 60.0 / spans.front().bpm, -1, false});
  }
  for (std::size_t step = 0; step < spans.size(); ++step) {
    for (int i = 0; i < spans[step].beats; ++i) {
      out.push_back({spans[step].first_s + i * 60.0 / spans[step].bpm, static_cast<int>(step), i == 0});
    }
  }
  return out;
}

HopPlan::HopPlan(const Scene& scene) {
  const HopSpec& hops = *scene.movement.hops;
  if (!hops.list.empty()) {
    by_list(scene);
  } else if (!hops.follow.empty()) {
    by_beat(scene);
  } else {
    by_rule(scene);
  }
  length_s_ = landings_.back().touchdown_s + scene.movement.tail_s;
}

// `now_s_` is the take-off before. A double touch is two times on the ground.
void HopPlan::add(double flight_s, double contact_s, HopKind kind, double step_cm, int step) {
  if (kind == HopKind::step_away) place_cm_ += step_cm;
  const double down_s = now_s_ + flight_s;
  now_s_ = down_s + contact_s;
  landings_.push_back({down_s, now_s_, flight_s, kind, kind == HopKind::hop, place_cm_, step});
  if (kind != HopKind::double_touch) return;
  const double again_s = now_s_ + second_touch_s;
  now_s_ = again_s + second_touch_s;
  landings_.push_back({again_s, now_s_, second_touch_s, kind, false, place_cm_, step});
}

void HopPlan::stay_down(double flight_s) {
  Landing last;
  last.touchdown_s = now_s_ + flight_s;
  last.flight_s = flight_s;
  last.is_hop = false;
  last.place_cm = place_cm_;
  landings_.push_back(last);
}

void HopPlan::by_list(const Scene& scene) {
  now_s_ = scene.movement.lead_in_s + phase_s(scene);
  const std::vector<HopItem>& list = scene.movement.hops->list;
  for (const HopItem& item : list) add(item.flight_s, item.contact_s, item.kind, item.step_cm, -1);
  stay_down(list.back().flight_s);
}

void HopPlan::by_rule(const Scene& scene) {
  const HopSpec& hops = *scene.movement.hops;
  const HopRule& rule = hops.rule;
  Random random(mixed_seed(scene.seed, purpose_hops));
  now_s_ = scene.movement.lead_in_s + phase_s(scene);
  for (int i = 0; i < rule.count; ++i) {
    const double flight_s = std::max(least_flight_s, rule.flight_s + rule.flight_jitter_s * random.normal());
    double contact_s = rule.contact_s + settling_s(rule, i) + rule.contact_jitter_s * random.normal();
    contact_s = std::max(least_contact_s, contact_s);
    const SpecialHop* special = special_of(hops, i + 1);
    if (special != nullptr && special->kind == HopKind::stumble) contact_s += stumble_extra_s;
    add(flight_s, contact_s, special == nullptr ? HopKind::hop : special->kind,
        special == nullptr ? 0.0 : special->step_cm, -1);
  }
  stay_down(rule.flight_s);
}

namespace {

// Where the runner means to land, and for how long to stay.
struct MeantLanding {
  double touchdown_s = 0.0;
  double contact_s = 0.0;
  int step = 0;
};

// Beat by beat, or from the last landing on at the runner's own rate until the step is over.
std::vector<MeantLanding> meant_landings(const Scene& scene) {
  const HopSpec& hops = *scene.movement.hops;
  Random random(mixed_seed(scene.seed, purpose_hops));
  std::vector<MeantLanding> out;
  const std::vector<BeatSpan> spans = beat_spans(scene);
  double last_bpm = spans.front().bpm;
  for (std::size_t step = 0; step < spans.size(); ++step) {
    const BeatSpan& span = spans[step];
    const FollowSpec& how = hops.follow[std::min(step, hops.follow.size() - 1)];
    const double contact_s = how.contact_s.value_or(hops.rule.contact_s);
    const double bpm = how.follows ? span.bpm : how.own_bpm.value_or(last_bpm);
    const double own_first_s = out.empty() ? span.first_s : out.back().touchdown_s + 60.0 / bpm;
    double steady_s = how.follows ? span.first_s + how.lag_s : own_first_s;
    for (int i = 0; how.follows ? i < span.beats : steady_s < span.to_s; ++i, steady_s += 60.0 / bpm) {
      out.push_back({steady_s + how.jitter_s * random.normal(), contact_s, static_cast<int>(step)});
    }
    last_bpm = bpm;
  }
  for (std::size_t i = 0; i < out.size(); ++i) {
    out[i].contact_s += settling_s(hops.rule, static_cast<int>(i)) + hops.rule.contact_jitter_s * random.normal();
    out[i].contact_s = std::max(least_contact_s, out[i].contact_s);
  }
  return out;
}

}  // namespace

// A landing that would come before the foot is up again, or after a stumble, is left out: the runner misses that beat.
void HopPlan::by_beat(const Scene& scene) {
  const HopSpec& hops = *scene.movement.hops;
  const std::vector<MeantLanding> meant = meant_landings(scene);
  const double first_flight_s =
      meant.size() > 1 ? meant[1].touchdown_s - meant[0].touchdown_s - hops.rule.contact_s : hops.rule.flight_s;
  double flight_s = std::max(least_flight_s, first_flight_s);
  now_s_ = meant.front().touchdown_s - flight_s;
  int n = 0;
  for (std::size_t i = 0; i < meant.size(); ++i) {
    flight_s = meant[i].touchdown_s - now_s_;
    if (flight_s < least_flight_s) continue;
    const SpecialHop* special = special_of(hops, ++n);
    double contact_s = meant[i].contact_s;
    if (special != nullptr && special->kind == HopKind::stumble && i + 1 < meant.size()) {
      contact_s += meant[i + 1].touchdown_s - meant[i].touchdown_s;
    }
    add(flight_s, contact_s, special == nullptr ? HopKind::hop : special->kind,
        special == nullptr ? 0.0 : special->step_cm, meant[i].step);
  }
  stay_down(flight_s);
}

bool HopPlan::in_contact(double time_s) const {
  const auto later = std::upper_bound(landings_.begin(), landings_.end(), time_s,
                                      [](double t, const Landing& landing) { return t < landing.touchdown_s; });
  if (later == landings_.begin()) return time_s < first_takeoff_s();
  return time_s < (later - 1)->takeoff_s;
}

}  // namespace risetrace::synth
