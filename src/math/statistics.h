#pragma once

#include <vector>

namespace risetrace::math {

double median(std::vector<double> values);  // NaN for none
// The middle value, of two the greater: always one of the values. At least one; puts them in another order.
double upper_median(std::vector<double>& values);
double mean(const std::vector<double>& values);  // NaN for none
// 1.4826 x median absolute deviation: the standard deviation of a normal sample, deaf to outliers. NaN for none.
double robust_sd(const std::vector<double>& values);

}  // namespace risetrace::math
