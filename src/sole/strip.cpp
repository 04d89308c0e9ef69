#include "sole/strip.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

namespace risetrace::sole {
Strip strip_of(const clip::Frame& frame, Box box, Point shift_px) {
  const clip::Patch patch = clip::upright_patch(frame, box);
  return {frame.number, frame.time_s, patch.box, clip::picture_of(patch).grey, shift_px};
}

Strip blurred(const Strip& strip, int reach_px) {
  Strip out = strip;
  if (strip.grey.empty()) return out;
  const cv::Mat from(strip.box.height, strip.box.width, CV_8U, const_cast<std::uint8_t*>(strip.grey.data()));
  cv::Mat to(strip.box.height, strip.box.width, CV_8U, out.grey.data());
  cv::blur(from, to, cv::Size(2 * reach_px + 1, 2 * reach_px + 1));
  return out;
}

Plate blurred(const Plate& plate, int reach_px) {
  Plate out = plate;
  if (plate.grey.empty()) return out;
  // Blurring sums up along rows: one unknown pixel would spoil all that follow. Known ones are averaged instead.
  const cv::Mat from(plate.box.height, plate.box.width, CV_32F, const_cast<float*>(plate.grey.data()));
  const cv::Mat known = from == from;  // 255 where not NaN
  cv::Mat share;
  cv::Mat filled = from.clone();
  filled.setTo(0, known == 0);
  known.convertTo(share, CV_32F, 1.0 / 255);
  const cv::Size square(2 * reach_px + 1, 2 * reach_px + 1);
  cv::blur(filled, filled, square);
  cv::blur(share, share, square);
  cv::Mat to(plate.box.height, plate.box.width, CV_32F, out.grey.data());
  cv::divide(filled, share, to);
  to.setTo(std::numeric_limits<float>::quiet_NaN(), known == 0);
  return out;
}

Plate median_plate(const std::vector<const Strip*>& strips, Box box) {
  Plate plate{box, {}};
  plate.grey.reserve(static_cast<std::size_t>(box.width) * static_cast<std::size_t>(box.height));
  std::vector<float> values;
  for (int y = box.y0; y < box.y0 + box.height; ++y) {
    for (int x = box.x0; x < box.x0 + box.width; ++x) {
      values.clear();
      for (const Strip* strip : strips) {
        const Sampled s = sample(*strip, x, y);
        if (s.inside) values.push_back(s.grey);
      }
      const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
      std::nth_element(values.begin(), middle, values.end());
      plate.grey.push_back(values.empty() ? std::numeric_limits<float>::quiet_NaN() : *middle);
    }
  }
  return plate;
}

}  // namespace risetrace::sole
