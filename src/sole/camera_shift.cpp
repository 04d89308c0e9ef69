#include "sole/camera_shift.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "math/statistics.h"

namespace risetrace::sole {
namespace {

constexpr int half = 10;          // of a patch's side
constexpr int reach = 14;         // the farthest shift followed between two looks
constexpr int most_patches = 24;  // a leg covers few of them
constexpr int least_agreeing = 4;
constexpr double agree_px = 0.35;
constexpr int grid_columns = 9;
constexpr int grid_rows = 6;
constexpr double least_strength = 60.0;  // of a corner: mean squared slope in its weaker direction, grey levels a pixel

struct Patch {
  Point centre_px;
  std::vector<float> grey;
  std::vector<float> slope_x;
  std::vector<float> slope_y;
  double xx = 0, xy = 0, yy = 0;
};

std::optional<Patch> patch_at(const clip::GreyPicture& picture, int cx, int cy) {
  Patch patch;
  patch.centre_px = {static_cast<double>(cx), static_cast<double>(cy)};
  const auto at = [&](int x, int y) {
    return static_cast<float>(picture.grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                                           static_cast<std::size_t>(x)]);
  };
  for (int y = cy - half; y <= cy + half; ++y) {
    for (int x = cx - half; x <= cx + half; ++x) {
      const float gx = (at(x + 1, y) - at(x - 1, y)) / 2;
      const float gy = (at(x, y + 1) - at(x, y - 1)) / 2;
      patch.grey.push_back(at(x, y));
      patch.slope_x.push_back(gx);
      patch.slope_y.push_back(gy);
      patch.xx += gx * gx;
      patch.xy += gx * gy;
      patch.yy += gy * gy;
    }
  }
  const double area = static_cast<double>(patch.grey.size());
  const double mean = (patch.xx + patch.yy) / 2 / area;
  const double weaker = mean - std::hypot((patch.xx - patch.yy) / 2, patch.xy) / area;
  if (weaker < least_strength) return std::nullopt;
  return patch;
}

float bilinear(const clip::Patch& patch, double x_px, double y_px) {
  const double x = std::clamp(x_px - patch.box.x0, 0.0, patch.box.width - 1.001);
  const double y = std::clamp(y_px - patch.box.y0, 0.0, patch.box.height - 1.001);
  const int c = static_cast<int>(x);
  const int r = static_cast<int>(y);
  const auto fx = static_cast<float>(x - c);
  const auto fy = static_cast<float>(y - r);
  const float top = patch.at(c, r) + fx * (patch.at(c + 1, r) - patch.at(c, r));
  const float low = patch.at(c, r + 1) + fx * (patch.at(c + 1, r + 1) - patch.at(c, r + 1));
  return top + fy * (low - top);
}

// Where the patch is now; empty where it is not found again.
std::optional<Point> shift_of(const Patch& patch, const clip::Frame& frame, Point start) {
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
        const float d = bilinear(now, patch.centre_px.x + x + shift.x, patch.centre_px.y + y + shift.y) -
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
  std::vector<Patch> patches;
  Box avoid;
  Point last;
  bool started = false;
  int agreeing = 0;

  void start(const clip::Frame& frame);
};

// The strongest corner of each cell of a grid, so that no one thing has all the say.
void CameraShift::Inside::start(const clip::Frame& frame) {
  started = true;
  const clip::GreyPicture picture = clip::upright_picture(frame);
  if (picture.width < 8 * half || picture.height < 8 * half) return;
  const cv::Mat whole(picture.height, picture.width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data()));
  const int margin = half + 2;
  const int around = half + 3;
  const cv::Rect leg(avoid.x0 - around, avoid.y0 - around, avoid.width + 2 * around, avoid.height + 2 * around);
  std::vector<std::pair<double, cv::Point>> corners;
  cv::Mat strength;
  for (int row = 0; row < grid_rows; ++row) {
    const int y0 = std::max(margin, picture.height * row / grid_rows);
    const int y1 = std::min(picture.height - margin, picture.height * (row + 1) / grid_rows);
    // Band by band: the numbers behind a whole picture's corners take up as much room as the rest of the program.
    const cv::Rect band(0, y0 - margin, picture.width, y1 - y0 + 2 * margin);
    cv::cornerMinEigenVal(whole(band), strength, 2 * half + 1, 3);
    strength((leg - band.tl()) & cv::Rect(0, 0, band.width, band.height)) = 0;
    for (int column = 0; column < grid_columns; ++column) {
      const int x0 = std::max(margin, picture.width * column / grid_columns);
      const int x1 = std::min(picture.width - margin, picture.width * (column + 1) / grid_columns);
      double value = 0;
      cv::Point at;
      cv::minMaxLoc(strength(cv::Rect(x0, margin, x1 - x0, y1 - y0)), nullptr, &value, nullptr, &at);
      corners.emplace_back(value, cv::Point(x0 + at.x, y0 + at.y));
    }
  }
  std::stable_sort(corners.begin(), corners.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  for (const auto& [value, at] : corners) {
    if (patches.size() >= most_patches || value <= 0) break;  // 0: all of the cell is to be avoided
    if (auto patch = patch_at(picture, at.x, at.y)) patches.push_back(*std::move(patch));
  }
}

CameraShift::CameraShift(Box avoid) : inside_(std::make_unique<Inside>()) { inside_->avoid = avoid; }
CameraShift::CameraShift(CameraShift&&) noexcept = default;
CameraShift& CameraShift::operator=(CameraShift&&) noexcept = default;
CameraShift::~CameraShift() = default;

int CameraShift::agreeing() const { return inside_->agreeing; }

Point CameraShift::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  if (!in.started) {
    in.start(frame);
    return {};
  }
  std::vector<double> xs;
  std::vector<double> ys;
  for (const Patch& patch : in.patches) {
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
