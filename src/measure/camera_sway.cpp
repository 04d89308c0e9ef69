#include "measure/camera_sway.h"

#include <cmath>
#include <vector>

#include "math/statistics.h"

namespace risetrace::measure {

std::optional<double> sway_px(const camera::CameraPath& camera, Point at, double most_unseen) {
  if (camera.witness == camera::Witness::none) return std::nullopt;
  std::vector<double> up_px;
  for (const camera::View& view : camera.views) {
    if (view.known && !view.assumed) up_px.push_back(view.ref_from_px.map(at).y);
  }
  const auto views = static_cast<double>(camera.views.size());
  if (up_px.empty() || views - static_cast<double>(up_px.size()) > most_unseen * views) return std::nullopt;
  const double mean = math::mean(up_px);
  double sum = 0;
  for (const double y : up_px) sum += (y - mean) * (y - mean);
  return std::sqrt(sum / static_cast<double>(up_px.size()));
}

}  // namespace risetrace::measure
