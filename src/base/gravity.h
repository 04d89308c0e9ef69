// Standard gravity.
#pragma once

namespace risetrace {

inline constexpr double gravity_m_s2 = 9.80665;  // 3rd CGPM, 1901
inline constexpr double gravity_cm_s2 = 980.665;

}  // namespace risetrace
