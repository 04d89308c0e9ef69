#pragma once

#include <vector>

namespace risetrace::math {

double median(std::vector<double> values);       // NaN for none
double mean(const std::vector<double>& values);  // NaN for none
// 1.4826 x median absolute deviation: the standard deviation of a normal sample, deaf to outliers. NaN for none.
double robust_sd(const std::vector<double>& values);

}  // namespace risetrace::math
