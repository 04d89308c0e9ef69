#include "hop/recoil.h"

#include <numbers>

#include "base/gravity.h"

namespace risetrace::hop {
namespace {

using std::numbers::pi;

}  // namespace

double flight_height_m(double flight_s) { return gravity_m_s2 * flight_s * flight_s / 8; }

double reactive_strength_mps(double contact_s, double flight_s) { return flight_height_m(flight_s) / contact_s; }

double stiffness_n_per_m(double mass_kg, double contact_s, double flight_s) {
  const double period_s = contact_s + flight_s;
  return mass_kg * pi * period_s / (contact_s * contact_s * (period_s / pi - contact_s / 4));
}

SineContact sine_contact(double mass_kg, double contact_s, double flight_s) {
  SineContact out;
  const double contact_s2 = contact_s * contact_s;
  out.greatest_force_n = mass_kg * gravity_m_s2 * pi / 2 * (flight_s / contact_s + 1);
  out.sink_m = out.greatest_force_n * contact_s2 / (mass_kg * pi * pi) - gravity_m_s2 * contact_s2 / 8;
  out.stiffness_n_per_m = out.greatest_force_n / out.sink_m;
  return out;
}

}  // namespace risetrace::hop
