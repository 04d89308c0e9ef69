#include "hop/sound_offset.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "math/statistics.h"

namespace risetrace::hop {
namespace {

constexpr double of_period = 0.45;  // farther off, the next landing's sound is as near

struct Pair {
  double ms = 0.0;  // heard - seen
  const Hop* hop = nullptr;
};

double widest_ms(const std::vector<Hop>& hops, const model::HopProtocol& protocol) {
  std::vector<double> periods_ms;
  for (std::size_t i = 1; i < hops.size(); ++i) {
    periods_ms.push_back(1000 * (hops[i].touchdown_s - hops[i - 1].touchdown_s));
  }
  if (periods_ms.empty()) return protocol.sound_offset_limit_ms;
  return std::min(protocol.sound_offset_limit_ms, of_period * math::median(periods_ms));
}

std::vector<Pair> pairs_within(const std::vector<Hop>& hops, const std::vector<beat::Thud>& thuds, double widest) {
  std::vector<Pair> pairs;
  for (const Hop& hop : hops) {
    for (const beat::Thud& thud : thuds) {
      const double ms = 1000 * (thud.time_s - hop.touchdown_s);
      if (std::abs(ms) < widest) pairs.push_back({ms, &hop});
    }
  }
  std::sort(pairs.begin(), pairs.end(), [](const Pair& a, const Pair& b) { return a.ms < b.ms; });
  return pairs;
}

// The fullest stretch of the given width, as first and one past the last; the narrowest of equally full ones.
std::pair<std::size_t, std::size_t> fullest(const std::vector<Pair>& pairs, double width_ms) {
  std::pair<std::size_t, std::size_t> best{0, 0};
  double best_width = 0;
  std::size_t to = 0;
  for (std::size_t from = 0; from < pairs.size(); ++from) {
    while (to < pairs.size() && pairs[to].ms - pairs[from].ms <= width_ms) ++to;
    const double width = pairs[to - 1].ms - pairs[from].ms;
    const std::size_t held = best.second - best.first;
    if (to - from > held || (to - from == held && width < best_width)) {
      best = {from, to};
      best_width = width;
    }
  }
  return best;
}

// Per landing the heard one nearest to where it should be; those too far off are named.
void note_disagreeing(const std::vector<Pair>& pairs, SoundOffset& offset, double allowed_ms) {
  std::string which;
  std::optional<double> first_s;
  std::vector<const Hop*> named;
  for (const Pair& pair : pairs) {
    if (std::find(named.begin(), named.end(), pair.hop) != named.end()) continue;
    const bool agreed = std::any_of(pairs.begin(), pairs.end(), [&](const Pair& other) {
      return other.hop == pair.hop && std::abs(other.ms - offset.ms) <= allowed_ms;
    });
    if (!agreed) named.push_back(pair.hop);
  }
  if (named.empty()) return;
  std::sort(named.begin(), named.end(), [](const Hop* a, const Hop* b) { return a->n < b->n; });
  for (const Hop* hop : named) which += (which.empty() ? "" : ", ") + std::to_string(hop->n);
  offset.notes.push_back({"landing-heard-elsewhere",
                          "By its sound the landing of hop " + which + " is more than " +
                              std::to_string(std::lround(allowed_ms)) + " ms from where the picture shows it.",
                          named.front()->touchdown_s});
}

// What the blows of one clip have in common: all are as soft.
double heard_u_s(const std::vector<beat::Thud>& thuds) {
  std::vector<double> us_s;
  us_s.reserve(thuds.size());
  for (const beat::Thud& thud : thuds) us_s.push_back(thud.time_s_u);
  return math::median(us_s);
}

}  // namespace

std::optional<SoundOffset> find_sound_offset(const std::vector<Hop>& hops, const std::vector<beat::Thud>& thuds,
                                             double common_u_s, const model::HopProtocol& protocol) {
  const auto pairs = pairs_within(hops, thuds, widest_ms(hops, protocol));
  if (pairs.empty()) return std::nullopt;
  const auto [from, to] = fullest(pairs, protocol.thud_disagrees_ms);
  const double middle_ms = (pairs[from].ms + pairs[to - 1].ms) / 2;
  std::vector<double> agreeing_ms;
  for (const Pair& pair : pairs) {
    if (std::abs(pair.ms - middle_ms) <= protocol.thud_disagrees_ms) agreeing_ms.push_back(pair.ms);
  }
  const std::size_t n = agreeing_ms.size();
  if (static_cast<int>(n) < protocol.least_hops || 2 * n < hops.size()) return std::nullopt;
  SoundOffset offset;
  offset.ms = math::mean(agreeing_ms);
  double squares = 0;
  for (const double ms : agreeing_ms) squares += (ms - offset.ms) * (ms - offset.ms);
  const double scatter_ms_2 = squares / static_cast<double>(n - 1);
  const double shared_ms = 1000 * std::hypot(common_u_s, heard_u_s(thuds));
  offset.ms_u = std::hypot(std::sqrt(scatter_ms_2 / static_cast<double>(n)), shared_ms);
  offset.landings = static_cast<int>(n);
  note_disagreeing(pairs, offset, protocol.thud_disagrees_ms);
  return offset;
}

}  // namespace risetrace::hop
