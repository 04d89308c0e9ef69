#include "camera/marked_patch.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace risetrace::camera {
namespace {

constexpr int half = patch_half;
constexpr int grid_columns = 9;
constexpr int grid_rows = 6;

}  // namespace

std::optional<MarkedPatch> marked_patch(const clip::GreyPicture& picture, int column, int row, double least_strength) {
  const int margin = half + 1;
  if (column < margin || row < margin || column >= picture.width - margin || row >= picture.height - margin)
    return std::nullopt;
  MarkedPatch patch;
  patch.centre_px = {static_cast<double>(column), static_cast<double>(row)};
  const auto at = [&](int x, int y) {
    return static_cast<float>(picture.grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) +
                                           static_cast<std::size_t>(x)]);
  };
  for (int y = row - half; y <= row + half; ++y) {
    for (int x = column - half; x <= column + half; ++x) {
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
  if (patch.weaker() / static_cast<double>(patch.grey.size()) < least_strength) return std::nullopt;
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

std::vector<MarkedPatch> mark_picture(const clip::GreyPicture& picture, Box avoid, std::size_t most) {
  if (picture.width < 8 * half || picture.height < 8 * half) return {};
  const cv::Mat whole(picture.height, picture.width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data()));
  const int margin = half + 2;
  const int around = half + 3;
  const cv::Rect leg(avoid.x0 - around, avoid.y0 - around, avoid.width + 2 * around, avoid.height + 2 * around);
  std::vector<std::pair<double, cv::Point>> corners;
  cv::Mat strength;
  for (int row = 0; row < grid_rows; ++row) {
    const int y0 = std::max(margin, picture.height * row / grid_rows);
    const int y1 = std::min(picture.height - margin, picture.height * (row + 1) / grid_rows);
    if (y1 <= y0) continue;
    // Band by band: the numbers behind a whole picture's corners take up as much room as the rest of the program.
    const cv::Rect band(0, y0 - margin, picture.width, y1 - y0 + 2 * margin);
    cv::cornerMinEigenVal(whole(band), strength, 2 * half + 1, 3);
    strength((leg - band.tl()) & cv::Rect(0, 0, band.width, band.height)) = 0;
    for (int column = 0; column < grid_columns; ++column) {
      const int x0 = std::max(margin, picture.width * column / grid_columns);
      const int x1 = std::min(picture.width - margin, picture.width * (column + 1) / grid_columns);
      if (x1 <= x0) continue;  // in a narrow picture the outermost cells are all margin
      double value = 0;
      cv::Point at;
      cv::minMaxLoc(strength(cv::Rect(x0, margin, x1 - x0, y1 - y0)), nullptr, &value, nullptr, &at);
      corners.emplace_back(value, cv::Point(x0 + at.x, y0 + at.y));
    }
  }
  std::stable_sort(corners.begin(), corners.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<MarkedPatch> patches;
  for (const auto& [value, at] : corners) {
    if (patches.size() >= most || value <= 0) break;  // 0: all of the cell is to be avoided
    if (auto patch = marked_patch(picture, at.x, at.y, sure_strength)) patches.push_back(*std::move(patch));
  }
  return patches;
}

}  // namespace risetrace::camera
