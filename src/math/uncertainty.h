// From the doubt about what goes in to the doubt about what comes out: JCGM 100:2008 (the GUM), whose numbers are
// named.
#pragma once

#include <vector>

namespace risetrace::math {

// By how much a result would shift were each of its independent inputs off by one standard uncertainty: sensitivity
// coefficient x standard uncertainty, an input each (5.1.3). Results of the same inputs in the same order may be added,
// subtracted and scaled element by element: that carries their correlation along (5.2, F.1.2.3).
using Effects = std::vector<double>;

// Combined standard uncertainty, the root of the sum of squares: (10) in 5.1.2.
double standard_u(const Effects& effects);

// Covariance of two results of the same inputs: (F.2) in F.1.2.3.
double covariance(const Effects& a, const Effects& b);

// result + factor x more, element by element; the shorter one is taken to go on in zeros.
Effects plus(const Effects& effects, double factor, const Effects& more);

// Combined standard uncertainty of correlated inputs: (13) in 5.2.2. `covariances`: row-major, n x n.
double correlated_u(const std::vector<double>& sensitivities, const std::vector<double>& covariances);

// What second derivatives add to a variance where the first do not say enough: the sum over all i, j of
// (f_ij u_i u_j)^2 / 2, the note to 5.1.2 without the term of third derivatives. `curvatures`: row-major n x n.
double second_order_variance(const std::vector<double>& curvatures, const std::vector<double>& standard_us);

// Welch-Satterthwaite: (G.2b) in G.4.1. An input known without doubt about its own uncertainty has infinitely many.
double effective_degrees_of_freedom(const Effects& effects, const std::vector<double>& degrees_of_freedom);

// Student's t that holds `confidence` (0 .. 1) between -t and t (G.3); infinite degrees give the normal's. By the
// incomplete beta function's continued fraction (DLMF 8.17.22, modified Lentz) and bisection.
double coverage_factor(double confidence, double degrees_of_freedom);

}  // namespace risetrace::math
