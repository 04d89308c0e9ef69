#include <algorithm>
#include <cmath>

#include "visit/compare.h"

namespace risetrace::visit {
namespace {

Beyond beyond(double size, std::optional<double> limit) {
  if (!limit) return Beyond::not_known;
  return size > *limit ? Beyond::yes : Beyond::no;
}

double shared_of(const Value& a, const Value& b) { return std::min(a.shared_relative_u, b.shared_relative_u); }

// Of a value, without what it shares with the other.
double own_variance(const Value& value, double shared_relative_u) {
  const double shared = shared_relative_u * value.value;
  return std::max(0.0, *value.u * *value.u - shared * shared);
}

std::optional<double> difference_u(const Value& a, const Value& b) {
  if (!a.u || !b.u) return std::nullopt;
  const double shared = shared_of(a, b);
  return std::sqrt(own_variance(a, shared) + own_variance(b, shared) + std::pow(shared * (a.value - b.value), 2));
}

void add_index(const Value& upper, const Value& lower, Difference& out) {
  out.index_pct = 100 * upper.value / lower.value;
  if (!upper.u || !lower.u) return;
  const double shared = shared_of(upper, lower);
  out.index_pct_u = *out.index_pct * std::sqrt(own_variance(upper, shared) / (upper.value * upper.value) +
                                               own_variance(lower, shared) / (lower.value * lower.value));
}

// Where there are more, the one that is passed stands for all.
void add_cut_off(const std::vector<const model::CutOff*>& cut_offs, Difference& out) {
  for (const model::CutOff* cut : cut_offs) {
    std::optional<double> size;
    if (cut->kind == model::CutOffKind::difference) size = std::abs(out.difference);
    if (cut->kind == model::CutOffKind::index_pct && out.index_pct) {
      // 100 against 90 and 90 against 100 are the same distance, whichever leg is named first.
      size = 100 - std::min(*out.index_pct, 10000 / *out.index_pct);
    }
    if (!size) continue;
    const bool passed = *size > cut->limit.value;
    if (out.cut_off && !passed) continue;
    if (out.beyond.cut_off == Beyond::yes) continue;
    out.cut_off = cut->limit.value;
    out.cut_off_kind = cut->kind;
    out.beyond.cut_off = passed ? Beyond::yes : Beyond::no;
  }
}

}  // namespace

std::optional<double> noise_limit(const model::RetestNoise* noise, bool cautious, double a, double b) {
  if (noise == nullptr) return std::nullopt;
  const double limit = cautious ? noise->cautious.value : noise->optimistic.value;
  return noise->relative ? limit / 100 * std::abs(a + b) / 2 : limit;
}

Difference difference_of(const Value& first, const Value& second, const model::Quantity& quantity, Affected affected,
                         const model::Norms& norms) {
  Difference out;
  out.first = first;
  out.second = second;
  out.difference = first.value - second.value;
  out.difference_u = difference_u(first, second);
  const bool ratio = quantity.better != model::Better::neither || quantity.equal_beat;
  if (ratio && first.value > 0 && second.value > 0 && quantity.key != "height_loss_cm_per_rep") {
    const bool first_on_top =
        affected == Affected::not_known ? first.value <= second.value : affected == Affected::first;
    add_index(first_on_top ? first : second, first_on_top ? second : first, out);
  }
  const double size = std::abs(out.difference);
  if (out.difference_u) out.beyond.measuring = beyond(size, norms.coverage_factor * *out.difference_u);
  const model::RetestNoise* noise = norms.noise_of(quantity.key);
  out.noise_optimistic = noise_limit(noise, false, first.value, second.value);
  out.noise_cautious = noise_limit(noise, true, first.value, second.value);
  out.beyond.noise_optimistic = beyond(size, out.noise_optimistic);
  out.beyond.noise_cautious = beyond(size, out.noise_cautious);
  add_cut_off(norms.cut_offs_of(quantity.key), out);
  return out;
}

}  // namespace risetrace::visit
