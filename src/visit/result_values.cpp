#include "visit/result_values.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "math/statistics.h"

namespace risetrace::visit {
namespace {

using nlohmann::json;

constexpr double per_minute = 60.0;

std::optional<double> number_at(const json& from, const char* name) {
  const auto found = from.find(name);
  return found == from.end() || !found->is_number() ? std::nullopt : std::optional(found->get<double>());
}

void take(const json& from, const char* field, const char* quantity, double shared_relative_u, Values& values) {
  const auto value = number_at(from, field);
  if (!value) return;
  values[quantity] = {*value, number_at(from, (std::string(field) + "_u").c_str()), shared_relative_u};
}

// The print of the tag card is common to every clip it was filmed in: its error is the same on both sides.
double shared_relative_u(const json& document) {
  const json& scale = document.at("scale");
  if (scale.at("from") != "tags") return 0;
  const auto parts = scale.find("parts");
  if (parts == scale.end() || !parts->is_object()) return 0;
  return number_at(*parts, "print").value_or(0);
}

struct CountedRep {
  double n = 0.0;
  double height_cm = 0.0;
  std::optional<double> own_u_cm;
};

// The scale's standard uncertainty as a share of a height: what a height's own part leaves of its whole.
std::optional<double> scale_share_of(const json& rep) {
  const auto u = number_at(rep, "height_cm_u");
  const auto own_u = number_at(rep, "height_cm_u_own");
  const double height_cm = rep.at("height_cm");
  if (!u || !own_u || height_cm <= 0) return std::nullopt;
  return std::sqrt(std::max(0.0, *u * *u - *own_u * *own_u)) / height_cm;
}

// Fall of the least-squares line through the heights of the counted reps, per rep. Its u is what the heights' own
// uncertainties do to it, and the scale's share of the fall itself.
std::optional<Value> height_loss(const std::vector<CountedRep>& reps, std::optional<double> scale_share,
                                 double shared) {
  constexpr std::size_t least_reps = 5;  // with fewer a line through them says little
  if (reps.size() < least_reps) return std::nullopt;
  double mean_n = 0;
  for (const CountedRep& rep : reps) mean_n += rep.n / static_cast<double>(reps.size());
  double spread = 0;
  double slope = 0;
  for (const CountedRep& rep : reps) spread += (rep.n - mean_n) * (rep.n - mean_n);
  if (spread <= 0) return std::nullopt;
  for (const CountedRep& rep : reps) slope += (rep.n - mean_n) / spread * rep.height_cm;
  double u_2 = 0;
  bool known = true;
  for (const CountedRep& rep : reps) {
    known = known && rep.own_u_cm;
    u_2 += std::pow((rep.n - mean_n) / spread * rep.own_u_cm.value_or(0), 2);
  }
  Value loss{slope == 0 ? 0 : -slope, std::nullopt, shared};
  if (known && scale_share) loss.u = std::hypot(std::sqrt(u_2), *scale_share * slope);
  return loss;
}

void take_raises(const json& set, double shared, TestResult& out) {
  Values& values = out.values;
  take(set, "count", "reps", 0, values);
  for (const auto& [fraction, quantity] :
       {std::pair{"0.90", "reps_at_90"}, {"0.75", "reps_at_75"}, {"0.50", "reps_at_50"}}) {
    take(set.at("count_at"), fraction, quantity, 0, values);
  }
  take(set, "greatest_height_cm", "greatest_height_cm", shared, values);
  take(set, "total_height_cm", "total_height_cm", shared, values);
  take(set, "work_j", "work_j", shared, values);
  std::vector<CountedRep> counted;
  std::optional<double> scale;
  for (const json& rep : set.at("reps")) {
    const bool counts = rep.at("counted");
    const double height_cm = rep.at("height_cm");
    out.strokes.push_back({rep.at("n"), rep.at("peak_s"), height_cm, counts});
    if (counts) counted.push_back({rep.at("n"), height_cm, number_at(rep, "height_cm_u_own")});
    if (counts && !scale) scale = scale_share_of(rep);
  }
  if (const auto loss = height_loss(counted, scale, shared)) values["height_loss_cm_per_rep"] = *loss;
  const json& beat = set.at("beat");
  if (const auto period_s = number_at(beat, "rep_period_s"); period_s && *period_s > 0) {
    values["reps_per_min"] = {per_minute / *period_s, std::nullopt, 0.0};
  }
  out.asked_bpm = number_at(beat, "asked_bpm");
  const json& set_end = set.at("set_end");
  if (set_end.is_object()) out.set_end = set_end.at("why").get<std::string>();
  if (const auto knee = set.find("knee_deg"); knee != set.end() && knee->is_object()) {
    take(*knee, "mean", "knee_deg", 0, values);
  }
}

Values hop_values(const json& from) {
  Values values;
  take(from, "contact_ms", "contact_ms", 0, values);
  take(from, "rsi", "rsi_m_s", 0, values);
  take(from, "stiffness_kn_m", "stiffness_kn_m", 0, values);
  take(from, "height_cm", "hop_height_cm", 0, values);
  if (const auto rate_hz = number_at(from, "hop_rate_hz")) {
    values["hop_rate_per_min"] = {per_minute * *rate_hz, std::nullopt, 0.0};
  }
  return values;
}

void take_hops(const json& set, TestResult& out) {
  out.values = hop_values(set);
  take(set, "lowest_kept_bpm", "lowest_kept_bpm", 0, out.values);
  for (const json& step : set.at("steps")) {
    out.beats.push_back({step.at("beat_bpm"), step.at("kept"), hop_values(step)});
  }
  if (const auto beat = set.find("beat"); beat != set.end() && beat->is_object()) {
    out.asked_bpm = number_at(*beat, "asked_bpm");
  }
  for (const json& hop : set.at("hops")) {
    const auto contact_ms = number_at(hop, "contact_ms");
    if (contact_ms) out.strokes.push_back({hop.at("n"), hop.at("touchdown_s"), *contact_ms, hop.at("counted")});
  }
}

void take_lunge(const json& lunge, double shared, TestResult& out) {
  take(lunge, "toe_to_wall_cm", "knee_to_wall_cm", shared, out.values);
  take(lunge, "shank_deg", "shank_deg", 0, out.values);
}

const json* part(const json& document, const char* name) {
  const auto found = document.find(name);
  return found == document.end() || !found->is_object() ? nullptr : &*found;
}

}  // namespace

void take_values(const json& document, TestResult& out) {
  const double shared = shared_relative_u(document);
  const json& asked = document.at("asked");
  out.mass_kg = number_at(asked, "mass_kg");
  if (const json* set = part(document, "heel_raise")) {
    take_raises(*set, shared, out);
    out.end_fraction = number_at(asked, "end_fraction");
  }
  if (const json* set = part(document, "hop")) take_hops(*set, out);
  if (const json* lunge = part(document, "lunge")) take_lunge(*lunge, shared, out);
}

}  // namespace risetrace::visit
