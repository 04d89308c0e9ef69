// Corrections made up for tests, as a person would give them.
#pragma once

#include <optional>
#include <string>

#include "review/corrections.h"

namespace risetrace::review::test {

inline Correction correction(What what) {
  Correction c;
  c.what = what;
  c.at = "2026-03-02T10:15:00Z";
  c.by = "T-1";
  c.why = "seen in the clip";
  return c;
}

inline Correction take_out_rep(double peak_s) {
  Correction c = correction(What::take_out);
  c.rep_peak_s = peak_s;
  return c;
}

inline Correction put_in_rep(double start_s, double peak_s, double end_s) {
  Correction c = correction(What::put_in);
  c.start_s = start_s;
  c.peak_s = peak_s;
  c.end_s = end_s;
  return c;
}

inline Correction move_rep(double found_peak_s, std::optional<double> start_s, std::optional<double> peak_s,
                           std::optional<double> end_s) {
  Correction c = correction(What::move);
  c.rep_peak_s = found_peak_s;
  c.start_s = start_s;
  c.peak_s = peak_s;
  c.end_s = end_s;
  return c;
}

inline Correction set_end_at(double t_s) {
  Correction c = correction(What::set_end);
  c.end_s = t_s;
  return c;
}

inline Correction of_hop(What what, std::int64_t found_frame, std::optional<std::int64_t> touchdown = std::nullopt,
                         std::optional<std::int64_t> takeoff = std::nullopt) {
  Correction c = correction(what);
  if (what != What::put_in) c.hop_touchdown_frame = found_frame;
  c.touchdown_frame = touchdown;
  c.takeoff_frame = takeoff;
  return c;
}

inline Corrections all(std::initializer_list<Correction> list) { return {"", list}; }

}  // namespace risetrace::review::test
