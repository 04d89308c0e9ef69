// The sticker's fit beside OpenCV's own ways to find a disc's centre, on the same pictures with known truth.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "sticker/drawing.h"
#include "sticker/find_blobs.h"

namespace risetrace {
namespace {

// The blob above the middle grey that holds the picture's middle.
std::optional<std::vector<cv::Point>> blob_outline(const cv::Mat& picture, Point about) {
  cv::Mat bright;
  cv::threshold(picture, bright, 165, 255, cv::THRESH_BINARY);
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(bright, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  for (const auto& contour : contours) {
    const cv::Point2f middle(static_cast<float>(about.x), static_cast<float>(about.y));
    if (contour.size() >= 8 && cv::pointPolygonTest(contour, middle, false) > 0) return contour;
  }
  return std::nullopt;
}

// cv::moments of the grey above the ground within the blob's box, a weighted centroid.
Point centroid(const cv::Mat& picture, const std::vector<cv::Point>& outline, double ground) {
  const cv::Rect box = cv::boundingRect(outline);
  cv::Mat above;
  picture(box).convertTo(above, CV_32F, 1.0, -ground);
  cv::max(above, 0, above);
  const cv::Moments m = cv::moments(above);
  return {box.x + m.m10 / m.m00, box.y + m.m01 / m.m00};
}

struct Errors {
  double ours = 0;
  double moments = 0;
  double ellipse = 0;
};

// Root mean squares in px over 40 pictures of a white disc in a black ring, radius 10 px.
Errors errors_at(double noise) {
  Errors sums;
  constexpr int pictures = 40;
  for (unsigned seed = 1; seed <= pictures; ++seed) {
    test::Canvas canvas;
    canvas.noise = noise;
    canvas.seed = seed;
    test::Disc disc;
    disc.centre_px = {160 + 0.13 * (seed % 7), 120 - 0.11 * (seed % 9)};
    disc.outer_px = 10;
    disc.inner_px = 6.5;
    std::vector<std::uint8_t> grey = test::draw(canvas, {disc});
    const cv::Mat picture(canvas.height, canvas.width, CV_8U, grey.data());
    const auto outline = blob_outline(picture, {160, 120});
    const clip::Frame frame = test::frame_of(canvas, {disc}, 0, 0);
    sticker::Look look;
    look.outer_radius_px = 16;
    const auto fit =
        sticker::fit_unknown_spot(clip::upright_patch(frame, sticker::fit_box({160, 120}, look)), {160, 120}, 6.5, {});
    EXPECT_TRUE(outline && fit);
    if (!outline || !fit) continue;
    const Point c = centroid(picture, *outline, 30);
    const cv::RotatedRect e = cv::fitEllipse(*outline);
    const auto square = [&](double x, double y) {
      return (std::pow(x - disc.centre_px.x, 2) + std::pow(y - disc.centre_px.y, 2)) / pictures;
    };
    sums.ours += square(fit->centre_px.x, fit->centre_px.y);
    sums.moments += square(c.x, c.y);
    sums.ellipse += square(e.center.x, e.center.y);
  }
  return {std::sqrt(sums.ours), std::sqrt(sums.moments), std::sqrt(sums.ellipse)};
}

TEST(Localiser, AgreesWithOpenCvAndIsQuieter) {
  for (const double noise : {2.0, 6.0}) {
    const Errors e = errors_at(noise);
    RecordProperty("ours_px_" + std::to_string(static_cast<int>(noise)), std::to_string(e.ours));
    RecordProperty("moments_px_" + std::to_string(static_cast<int>(noise)), std::to_string(e.moments));
    RecordProperty("ellipse_px_" + std::to_string(static_cast<int>(noise)), std::to_string(e.ellipse));
    EXPECT_LT(e.ours, 0.03);
    EXPECT_LT(e.ours, e.moments);
    EXPECT_LT(e.ours, e.ellipse / 3);
    EXPECT_LT(e.moments, 0.2);  // they look at the same thing: else the comparison says nothing
    EXPECT_LT(e.ellipse, 0.3);
  }
}

}  // namespace
}  // namespace risetrace
