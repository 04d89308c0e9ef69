// A hop clip frame by frame: what the trace file, the plots and the overlay all draw from.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "measure/measurement.h"

namespace risetrace::report {

enum class Ground { unknown, off, on };

// Whether the foot touched the ground, from the events' frames. Unknown where the event before or after is: before the
// first known event of the clip, after the last one, beside a hidden one, and everywhere if no times are known.
class GroundAt {
 public:
  explicit GroundAt(const hop::Contacts& contacts);
  [[nodiscard]] Ground at(std::int64_t frame) const;

 private:
  struct Change {
    std::int64_t frame = 0;  // from this one on
    Ground ground = Ground::unknown;
  };
  std::vector<Change> changes_;
};

struct HopSample {
  std::int64_t frame = 0;
  double time_s = 0.0;  // of the row where the sole is; where it was not followed, of the heel sticker's row
  std::optional<Point> heel_px;
  bool heel_seen = false;
  std::optional<double> heel_up_cm;  // as measured, above the lowest place it was seen at
  std::optional<Point> forefoot_px;
  bool forefoot_seen = false;
  std::optional<double> clearance_px;  // only where seen; so are the next two
  std::optional<double> clearance_px_u;
  std::optional<double> clearance_cm;  // by the scale at the card's middle
  Ground ground = Ground::unknown;
  std::optional<int> hop;  // the hop whose contact this is, or whose flight
};

// One a frame in which anything was followed, in order.
std::vector<HopSample> hop_samples(const measure::Measurement& measurement);

// The one height worth drawing: the sole's clearance, else the forefoot sticker's way up, else the heel's.
struct HopTrace {
  std::string title;                         // with its unit
  std::vector<std::optional<double>> value;  // one a sample
};
HopTrace hop_trace(const measure::Measurement& measurement, const std::vector<HopSample>& samples);

}  // namespace risetrace::report
