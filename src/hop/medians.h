// The middle values of a number of hops, and how sure they are.
#pragma once

#include <optional>
#include <vector>

#include "hop/hops.h"

namespace risetrace::hop {

struct Medians {
  std::optional<double> contact_ms;
  std::optional<double> contact_ms_u;  // errors that all touchdowns share stay, the others average out
  std::optional<double> flight_ms;
  std::optional<double> period_ms;
  std::optional<double> height_cm;
  std::optional<double> rsi;
  // From contact_ms_u: a contact's two events, each off by contact_ms_u / sqrt 2 on its own, also bound the two
  // flights; and from the scatter of the hops.
  std::optional<double> rsi_u;
  std::optional<double> stiffness_kn_m;
};

// Of those that are counted. `common_u_s`: standard uncertainty of an event that all events share.
Medians medians_of(const std::vector<const Hop*>& hops, double common_u_s);

// Those that a set of hops and a step of the beat both tell.
template <typename Told>
void tell_medians(const Medians& medians, Told& told) {
  told.contact_ms = medians.contact_ms;
  told.contact_ms_u = medians.contact_ms_u;
  told.height_cm = medians.height_cm;
  told.rsi = medians.rsi;
  told.rsi_u = medians.rsi_u;
  told.stiffness_kn_m = medians.stiffness_kn_m;
}

}  // namespace risetrace::hop
