#include "sole/camera_shift.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "camera/marked_patch.h"
#include "math/statistics.h"

namespace risetrace::sole {
namespace {

constexpr int half = camera::patch_half;
constexpr int reach = 14;                 // the farthest shift followed between two looks
constexpr std::size_t most_patches = 24;  // a leg covers few of them
constexpr int least_agreeing = 4;
constexpr double agree_px = 0.35;

// Where the patch is now; empty where it is not found again.
std::optional<Point> shift_of(const camera::MarkedPatch& patch, const clip::Frame& frame, Point start) {
  const int size = 2 * (half + reach) + 1;
  const clip::Patch now = clip::upright_patch(frame, {static_cast<int>(patch.centre_px.x) - half - reach,
                                                      static_cast<int>(patch.centre_px.y) - half - reach, size, size});
  if (now.box.width < 2 * half + 3 || now.box.height < 2 * half + 3) return std::nullopt;
  const double det = patch.xx * patch.yy - patch.xy * patch.xy;
  Point shift = start;
  double residual = 0;
  for (int round = 0; round < 10; ++round) {
    double bx = 0;
    double by = 0;
    double mean = 0;
    std::vector<float> diff;
    diff.reserve(patch.grey.size());
    for (int y = -half, i = 0; y <= half; ++y) {
      for (int x = -half; x <= half; ++x, ++i) {
        const float d = camera::bilinear(now, patch.centre_px.x + x + shift.x, patch.centre_px.y + y + shift.y) -
                        patch.grey[static_cast<std::size_t>(i)];
        diff.push_back(d);
        mean += d;
      }
    }
    mean /= static_cast<double>(diff.size());  // a lamp's flicker is no shift
    residual = 0;
    for (std::size_t i = 0; i < diff.size(); ++i) {
      const double d = diff[i] - mean;
      residual += d * d;
      bx += d * patch.slope_x[i];
      by += d * patch.slope_y[i];
    }
    const Point step{-(patch.yy * bx - patch.xy * by) / det, -(patch.xx * by - patch.xy * bx) / det};
    shift = {shift.x + step.x, shift.y + step.y};
    if (!(std::hypot(shift.x, shift.y) < reach)) return std::nullopt;
    if (std::hypot(step.x, step.y) < 0.01) break;
  }
  const double contrast = (patch.xx + patch.yy);
  if (residual > 0.5 * contrast) return std::nullopt;
  return shift;
}

}  // namespace

struct CameraShift::Inside {
  std::vector<camera::MarkedPatch> patches;
  Box avoid;
  Point last;
  bool started = false;
  int agreeing = 0;
};

CameraShift::CameraShift(Box avoid) : inside_(std::make_unique<Inside>()) { inside_->avoid = avoid; }
CameraShift::CameraShift(CameraShift&&) noexcept = default;
CameraShift& CameraShift::operator=(CameraShift&&) noexcept = default;
CameraShift::~CameraShift() = default;

int CameraShift::agreeing() const { return inside_->agreeing; }

Point CameraShift::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  if (!in.started) {
    in.started = true;
    in.patches = camera::mark_picture(clip::upright_picture(frame), in.avoid, most_patches);
    return {};
  }
  std::vector<double> xs;
  std::vector<double> ys;
  for (const camera::MarkedPatch& patch : in.patches) {
    if (const auto shift = shift_of(patch, frame, in.last)) {
      xs.push_back(shift->x);
      ys.push_back(shift->y);
    }
  }
  in.agreeing = 0;
  if (xs.size() < least_agreeing) return in.last;
  std::vector<double> ordered_x = xs;  // the pairs below stay together
  std::vector<double> ordered_y = ys;
  const Point middle{math::upper_median(ordered_x), math::upper_median(ordered_y)};
  for (std::size_t i = 0; i < xs.size(); ++i) {
    if (std::hypot(xs[i] - middle.x, ys[i] - middle.y) < agree_px) ++in.agreeing;
  }
  if (in.agreeing < least_agreeing) return in.last;
  in.last = middle;
  return in.last;
}

}  // namespace risetrace::sole
