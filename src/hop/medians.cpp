#include "hop/medians.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "math/statistics.h"

namespace risetrace::hop {
namespace {

using std::numbers::pi;

std::vector<double> of_counted(const std::vector<const Hop*>& hops, std::optional<double> Hop::*field) {
  std::vector<double> values;
  for (const Hop* hop : hops) {
    if (hop->counted && hop->*field) values.push_back(*(hop->*field));
  }
  return values;
}

std::optional<double> median_of(const std::vector<double>& values) {
  if (values.empty()) return std::nullopt;
  return math::median(values);
}

// How far apart the values about the median lie: half the way from the next smaller one to the next greater one.
double step_about_median(const std::vector<double>& values) {
  constexpr double same_of_median = 5e-5;  // 0.01 ms of a contact of 200 ms: bars rounding, no more
  const double middle = math::median(values);
  const double same = same_of_median * std::abs(middle);
  std::optional<double> below;
  std::optional<double> above;
  for (const double value : values) {
    if (value < middle - same) below = std::max(below.value_or(value), value);
    if (value > middle + same) above = std::min(above.value_or(value), value);
  }
  if (below && above) return (*above - *below) / 2;
  if (!below && !above) return 0;
  return above ? *above - middle : middle - *below;
}

std::optional<double> median_contact_u_ms(const std::vector<const Hop*>& hops, double common_u_s) {
  const auto contacts_ms = of_counted(hops, &Hop::contact_ms);
  const auto us_ms = of_counted(hops, &Hop::contact_ms_u);
  if (contacts_ms.empty() || us_ms.size() != contacts_ms.size()) return std::nullopt;
  const auto n = static_cast<double>(contacts_ms.size());
  const double common_2 = std::pow(2 * 1000 * common_u_s, 2);
  double own_2 = 0;
  for (const double u : us_ms) own_2 += std::max(0.0, u * u - common_2) / n;
  double scatter_2 = 0;
  const double mean = math::mean(contacts_ms);
  for (const double contact : contacts_ms) scatter_2 += (contact - mean) * (contact - mean) / std::max(1.0, n - 1);
  const double step = step_about_median(contacts_ms);
  return std::sqrt(common_2 + std::max(0.0, own_2 - scatter_2) + pi / 2 * scatter_2 / n + step * step / 12);
}

// RSI goes as flight^2 / contact. A touchdown that is d late makes the flight before it longer and the contact shorter,
// so RSI greater by its (2 / flight + 1 / contact) d; the take-off after it changes the contact, that before it the
// flight. The hops' own scatter stays as in any median, pi / 2 s^2 / n.
std::optional<double> rsi_u(const Medians& m, const std::vector<double>& rsis) {
  if (!m.rsi || !m.contact_ms_u || !m.contact_ms || !m.flight_ms) return std::nullopt;
  const double event_u = *m.contact_ms_u / std::numbers::sqrt2;
  const double per_flight = 2 / *m.flight_ms;
  const double per_contact = 1 / *m.contact_ms;
  const double from_events = *m.rsi * event_u * std::hypot(per_flight + per_contact, per_contact, per_flight);
  const auto n = static_cast<double>(rsis.size());
  const double mean = math::mean(rsis);
  double scatter_2 = 0;
  for (const double one : rsis) scatter_2 += (one - mean) * (one - mean) / std::max(1.0, n - 1);
  return std::hypot(from_events, std::sqrt(pi / 2 * scatter_2 / n));
}

}  // namespace

Medians medians_of(const std::vector<const Hop*>& hops, double common_u_s) {
  Medians out;
  out.contact_ms = median_of(of_counted(hops, &Hop::contact_ms));
  out.contact_ms_u = median_contact_u_ms(hops, common_u_s);
  out.flight_ms = median_of(of_counted(hops, &Hop::flight_ms));
  out.period_ms = median_of(of_counted(hops, &Hop::period_ms));
  out.height_cm = median_of(of_counted(hops, &Hop::height_cm));
  const std::vector<double> rsis = of_counted(hops, &Hop::rsi);
  out.rsi = median_of(rsis);
  out.rsi_u = rsi_u(out, rsis);
  out.stiffness_kn_m = median_of(of_counted(hops, &Hop::stiffness_kn_m));
  return out;
}

}  // namespace risetrace::hop
