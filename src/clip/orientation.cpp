#include "clip/orientation.h"

#include <cmath>
#include <numbers>

namespace risetrace::clip {

MatrixReading read_matrix(const std::array<std::int32_t, 9>& matrix) {
  double image_of_x[2] = {static_cast<double>(matrix[0]), static_cast<double>(matrix[1])};
  const double image_of_y[2] = {static_cast<double>(matrix[3]), static_cast<double>(matrix[4])};
  const double area = image_of_x[0] * image_of_y[1] - image_of_x[1] * image_of_y[0];
  if (area == 0.0) return {{}, false};
  MatrixReading reading;
  reading.orientation.mirrored = area < 0.0;
  if (reading.orientation.mirrored) {
    image_of_x[0] = -image_of_x[0];
    image_of_x[1] = -image_of_x[1];
  }
  // y points down, so a growing angle turns clockwise.
  const double turns = std::atan2(image_of_x[1], image_of_x[0]) / (std::numbers::pi / 2.0);
  const double whole = std::round(turns);
  reading.orientation.quarter_turns_cw = (static_cast<int>(whole) + 4) % 4;
  constexpr double quarter_turns_of_slack = 0.01;  // 0.9 degrees: rounding in a file, not a tilt
  reading.exact = std::abs(turns - whole) < quarter_turns_of_slack;
  return reading;
}

}  // namespace risetrace::clip
