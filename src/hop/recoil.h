// What follows from the two times of a hop: how high, how springy, how stiff. Times in seconds, lengths in metres.
#pragma once

namespace risetrace::hop {

// The rise of the body's centre from take-off to the top of a flight that lands as it left: g t^2 / 8.
double flight_height_m(double flight_s);

// Reactive strength index: height in m / contact in s. (Flight / contact is another index, without a unit.)
double reactive_strength_mps(double contact_s, double flight_s);

// Vertical stiffness of a hop whose force on the ground is half a sine, from its times alone:
// k = m pi (tf + tc) / (tc^2 ((tf + tc) / pi - tc / 4)). Dalleau et al. 2004, Int J Sports Med 25:170 (from memory).
// Both times positive.
double stiffness_n_per_m(double mass_kg, double contact_s, double flight_s);

// The same model written out (Morin et al. 2005, J Appl Biomech 21:167, from memory); algebraically the same stiffness.
struct SineContact {
  double greatest_force_n = 0.0;  // m g pi/2 (tf/tc + 1)
  double sink_m = 0.0;            // F tc^2 / (m pi^2) - g tc^2 / 8, how far the body's centre sinks
  double stiffness_n_per_m = 0.0;
};
SineContact sine_contact(double mass_kg, double contact_s, double flight_s);

}  // namespace risetrace::hop
