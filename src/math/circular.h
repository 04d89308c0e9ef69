// Directions: how closely angles lie together, and whether that could be chance.
// Mardia & Jupp, Directional Statistics, 2000, ch. 2 and 6 (from memory).
#pragma once

#include <vector>

namespace risetrace::math {

struct MeanDirection {
  double length = 0.0;         // of the mean of the unit vectors, 0 .. 1; 1: all the same direction
  double direction_rad = 0.0;  // of that mean, -pi .. pi; says nothing where the length is near 0
};

// Of angles in radians, any whole turns added. NaN for none.
MeanDirection mean_direction(const std::vector<double>& angles_rad);

// Rayleigh's test: the chance that `n` directions drawn evenly and independently have a mean vector at least so long.
// Up to 20 exact (derived here: the distance walked in n unit steps of random direction, Kluyver 1906, as a
// Fourier-Bessel series on the disc of radius n; within 1e-6 of Kluyver's integral, for n = 3
// and a length near 1 within 3e-5). Above, the approximation
// exp(sqrt(1 + 4n + 4(n^2 - R^2)) - (1 + 2n)), R = n length (Wilkie 1983, J. R. Stat. Soc. C 32:311, from memory;
// within 1.2e-4 of the exact). 1 for n < 2.
double rayleigh_p(double length, int n);

}  // namespace risetrace::math
