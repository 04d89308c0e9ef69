#include "beat/find_onsets.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace risetrace::beat {
namespace {

// In slots of 0.25 ms.
constexpr long after_slots = 12, before_slots = 48, guard_slots = 6;
constexpr long apart_slots = 24, settled_slots = 44;
constexpr long low_after = 40, low_before = 160, low_guard = 16, low_apart = 320;
constexpr long low_later = 280;         // 70 ms after a blow ...
constexpr double low_left = 0.15;       // ... so much of it is left at most
constexpr double low_of_bright = 0.02;  // a blow has so much of the power of the brightest band
constexpr long mid_back = 32, mid_on = 4, mid_before = 48, mid_after = 32;  // about where the low part has begun
constexpr double mid_delay_s =
    0.00045;  // that a blow which begins at once is placed late by (tests/beat, derived here)
constexpr double over_quiet = 6.0;
constexpr double stirs = 0.01;  // of the greatest power, 20 dB under it
constexpr int low_band = -1, mid_band = -2;
constexpr double least_db = 6.0, low_least_db = 12.0;
constexpr double silence = 1e-11;  // -110 dB of full scale
constexpr double echo_of_click = 0.02;
constexpr double silence_of_loudest = 1e-5;  // -50 dB
constexpr double forget_s = 5.0;

double decibels(double ratio) { return 10.0 * std::log10(ratio); }

}  // namespace

OnsetFinder::OnsetFinder(double slot_s) : forget_per_slot_(std::exp(-slot_s / forget_s)) {}

float OnsetFinder::power(int band, long at) const {
  const Slot& slot = history_[static_cast<std::size_t>(at)];
  if (band == mid_band) return slot.mid;
  return band == low_band ? slot.low : slot.click[static_cast<std::size_t>(band)];
}

double OnsetFinder::mean_of(int band, long from, long to) const {
  double sum = 0.0;
  for (long i = from; i < to; ++i) sum += power(band, i);
  return sum / static_cast<double>(to - from);
}

void OnsetFinder::push(const Slot& slot) {
  history_.push_back(slot);
  loudest_ *= forget_per_slot_;
  loudest_low_ *= forget_per_slot_;
  const long end = static_cast<long>(history_.size());
  if (end - after_slots >= before_slots) look_for_click(end - after_slots);
  if (end - low_after >= low_before) look_for_low(end - low_after);
  if (click_.at >= 0 && end - click_.at > settled_slots) settle_click();
  if (low_.at >= 0 && end - low_.at > low_apart) settle_low();
  if (history_.size() > 4096) forget_old();
}

void OnsetFinder::look_for_click(long at) {
  Peak best;
  std::array<double, click_bands> after{};
  for (int band = 0; band < click_bands; ++band) {
    after.at(static_cast<std::size_t>(band)) = mean_of(band, at, at + after_slots);
    loudest_ = std::max(loudest_, after.at(static_cast<std::size_t>(band)));
  }
  for (int band = 0; band < click_bands; ++band) {
    const double before = mean_of(band, at - before_slots, at - guard_slots);
    const double floor = silence + silence_of_loudest * loudest_;
    const double strength_db = decibels((after.at(static_cast<std::size_t>(band)) + silence) / (before + floor));
    if (strength_db > best.strength_db) best = {at, strength_db, band};
  }
  if (best.strength_db < least_db) return;
  if (click_.at >= 0 && at - click_.at > apart_slots) settle_click();  // another one; the first is over
  if (click_.at < 0 || best.strength_db > click_.strength_db) click_ = best;
}

void OnsetFinder::look_for_low(long at) {
  const double after = mean_of(-1, at, at + low_after);
  const double before = mean_of(-1, at - low_before, at - low_guard);
  loudest_low_ = std::max(loudest_low_, after);
  const double strength_db = decibels((after + silence) / (before + silence + 1e-4 * loudest_low_));
  if (strength_db < low_least_db) return;
  if (low_.at < 0 || strength_db > low_.strength_db) low_ = {at, strength_db, -1};
}

// Two levels of power, the change where the likelihood of both together is greatest (a normal sample whose variance
// changes once; derived here).
long OnsetFinder::change_point(int band, long from, long to, long least, long greatest) const {
  double left = 0.0;
  double right = 0.0;
  // A coder lays a faint copy of a click before it, which begins as sharply: what is 17 dB under the greatest is none.
  double floor = 0.0;
  for (long i = from; i < to; ++i) floor = std::max(floor, static_cast<double>(power(band, i)));
  floor = echo_of_click * floor + silence;
  for (long i = from; i < least; ++i) left += power(band, i) + floor;
  for (long i = least; i < to; ++i) right += power(band, i) + floor;
  long best = least;
  double best_likelihood = -1e300;
  for (long at = least; at <= greatest; ++at) {
    const auto n_left = static_cast<double>(at - from);
    const auto n_right = static_cast<double>(to - at);
    const double likelihood = -n_left * std::log(left / n_left) - n_right * std::log(std::max(right, 1e-30) / n_right);
    if (likelihood > best_likelihood) {
      best_likelihood = likelihood;
      best = at;
    }
    left += power(band, at) + floor;
    right -= power(band, at) + floor;
  }
  return best;
}

void OnsetFinder::settle_click() {
  const Peak peak = click_;
  click_ = Peak();
  const long end = static_cast<long>(history_.size());
  const long from = std::max(0L, peak.at - 32);
  const long to = std::min(end, peak.at + 16);
  if (to - peak.at < 4) return;
  const long at = change_point(peak.band, from, to, std::max(from + 8, peak.at - 16), std::min(to - 3, peak.at + 12));
  Onset onset;
  onset.time_s = history_[static_cast<std::size_t>(at)].time_s;
  onset.strength_db = peak.strength_db;
  onset.band = peak.band;
  for (int band = 0; band < click_bands; ++band) {
    const double before = mean_of(band, std::max(0L, peak.at - before_slots), peak.at - guard_slots);
    const double after = mean_of(band, peak.at, std::min(end, peak.at + after_slots));
    onset.power[static_cast<std::size_t>(band)] = static_cast<float>(std::max(0.0, after - before));
  }
  for (long i = 0; i < shape_slots; ++i) {
    const long slot = at - shape_before + i;
    if (slot >= 0 && slot < end) onset.shape[static_cast<std::size_t>(i)] = power(peak.band, slot);
  }
  onsets.push_back(onset);
}

// Told by its lowest part, which no click has; placed by the part above, which a band so narrow as the lowest cannot.
void OnsetFinder::settle_low() {
  const Peak peak = low_;
  low_ = Peak();
  const long end = static_cast<long>(history_.size());
  const long from = std::max(0L, peak.at - low_guard);
  const long to = std::min(end, peak.at + 2 * low_after);
  float most = 0.0F;
  for (long i = from; i < to; ++i) most = std::max(most, power(-1, i));
  double bright = 0.0;
  for (int band = 0; band < click_bands; ++band) bright = std::max(bright, mean_of(band, peak.at, to));
  if (mean_of(-1, peak.at, to) < low_of_bright * bright) return;  // the low part of a click
  const long later = peak.at + low_later;
  if (later + low_after <= end) {
    const double after = mean_of(-1, peak.at, peak.at + low_after);
    if (mean_of(-1, later, later + low_after) > low_left * after) return;  // it goes on: a voice, a hum
  }
  long at = from;
  while (at + 1 < to && power(-1, at) < 0.1F * most) ++at;
  lows.push_back(placed(at, peak.strength_db));
}

LowOnset OnsetFinder::placed(long low_at, double strength_db) const {
  const long from = std::max(0L, low_at - mid_before);
  const long to = std::min(static_cast<long>(history_.size()), low_at + mid_after);
  const long least = std::max(from + 8, low_at - mid_back);
  const long at = change_point(mid_band, from, to, least, std::max(least, std::min(to - 3, low_at + mid_on)));
  long greatest = at;
  for (long i = at; i < to; ++i) greatest = power(mid_band, i) > power(mid_band, greatest) ? i : greatest;
  // A soft blow stirs before its power jumps.
  const double quiet = least > from ? mean_of(mid_band, from, least) : 0.0;
  const double stirred = std::max(stirs * power(mid_band, greatest), over_quiet * quiet);
  long stir = least;
  while (stir < at && power(mid_band, stir) < stirred) ++stir;
  const double begin_s = history_[static_cast<std::size_t>(at)].time_s;
  const double stir_s = history_[static_cast<std::size_t>(stir)].time_s;
  return {begin_s - mid_delay_s, strength_db, history_[static_cast<std::size_t>(low_at)].time_s,
          history_[static_cast<std::size_t>(greatest)].time_s - stir_s, begin_s - stir_s};
}

void OnsetFinder::forget_old() {
  constexpr long kept = 1024;  // more than any look back, pending peaks included
  const long gone = static_cast<long>(history_.size()) - kept;
  history_.erase(history_.begin(), history_.begin() + gone);
  if (click_.at >= 0) click_.at -= gone;
  if (low_.at >= 0) low_.at -= gone;
}

void OnsetFinder::finish() {
  if (click_.at >= 0) settle_click();
  if (low_.at >= 0) settle_low();
  history_.clear();
}

}  // namespace risetrace::beat
