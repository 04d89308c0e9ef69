#include "beat/evidence.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace risetrace::beat {
namespace {

// In the window of [i - half_s, i + half_s].
double rate_about_hz(const std::vector<Event>& events, std::size_t i, double half_s) {
  constexpr double nearly_db = 3.0;
  const auto counts = [&](const Event& event) { return event.strength_db >= events[i].strength_db - nearly_db; };
  int count = 0;
  for (std::size_t j = i; j-- > 0 && events[j].time_s >= events[i].time_s - half_s;) count += counts(events[j]) ? 1 : 0;
  for (std::size_t j = i + 1; j < events.size() && events[j].time_s <= events[i].time_s + half_s; ++j) {
    count += counts(events[j]) ? 1 : 0;
  }
  return count / (2.0 * half_s);
}

}  // namespace

std::vector<double> rates_hz(const std::vector<Event>& events) {
  std::vector<double> rates(events.size());
  for (std::size_t i = 0; i < events.size(); ++i) {
    rates[i] =
        std::max({0.5, rate_about_hz(events, i, 4.0), rate_about_hz(events, i, 1.0), rate_about_hz(events, i, 0.24)});
  }
  return rates;
}

Evidence::Evidence(const std::vector<Event>& events, double heard_share)
    : events_(events), heard_share_(heard_share), rates_hz_(rates_hz(events)) {}

double Evidence::of_hit(std::size_t event, double off_s, double spread_s) const {
  const double off = off_s / spread_s;
  const double density = std::exp(-0.5 * off * off) / (spread_s * std::sqrt(2.0 * std::numbers::pi));
  return std::log(heard_share_ * density / rates_hz_[event]);
}

double Evidence::of_miss() const { return std::log(1.0 - heard_share_); }

std::optional<Evidence::Best> Evidence::best_near(double time_s, double spread_s, double tolerance_s, std::size_t first,
                                                  std::size_t last) const {
  if (first > last) return std::nullopt;
  const auto begin = events_.begin() + static_cast<std::ptrdiff_t>(first);
  const auto end = events_.begin() + static_cast<std::ptrdiff_t>(last) + 1;
  auto at = std::lower_bound(begin, end, time_s - tolerance_s,
                             [](const Event& event, double limit_s) { return event.time_s < limit_s; });
  std::optional<Best> best;
  for (; at != end && at->time_s <= time_s + tolerance_s; ++at) {
    const auto index = static_cast<std::size_t>(at - events_.begin());
    const double evidence = of_hit(index, at->time_s - time_s, spread_s);
    if (!best || evidence > best->evidence) best = Best{index, evidence};
  }
  return best;
}

}  // namespace risetrace::beat
