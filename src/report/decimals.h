// Decimals kept in result.json: finer than any of these can be known, coarse enough to read. Inside of report/.
#pragma once

namespace risetrace::report {

inline constexpr int s_decimals = 6;
inline constexpr int cm_decimals = 4;
inline constexpr int px_decimals = 4;
inline constexpr int share_decimals = 4;
inline constexpr int relative_decimals = 6;
inline constexpr int deg_decimals = 3;
inline constexpr int ms_decimals = 3;
inline constexpr int rate_decimals = 4;
inline constexpr int rsi_decimals = 4;
inline constexpr int stiffness_decimals = 3;
inline constexpr int p_digits = 3;

}  // namespace risetrace::report
