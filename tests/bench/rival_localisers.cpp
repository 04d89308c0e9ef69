#include "bench/rival_localisers.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>
#include <vector>

namespace risetrace::bench {
namespace {

// Through three values at -1, 0 and 1: where the parabola has its greatest.
double top_of_parabola(double before, double middle, double after) {
  const double bend = before - 2 * middle + after;
  return bend < 0 ? std::clamp((before - after) / (2 * bend), -0.5, 0.5) : 0;
}

double grey_at(const cv::Mat& grey, double x, double y) {
  const int i = std::clamp(static_cast<int>(std::floor(x)), 0, grey.cols - 2);
  const int j = std::clamp(static_cast<int>(std::floor(y)), 0, grey.rows - 2);
  const double fx = x - i;
  const double fy = y - j;
  const double top = grey.at<uchar>(j, i) * (1 - fx) + grey.at<uchar>(j, i + 1) * fx;
  const double bottom = grey.at<uchar>(j + 1, i) * (1 - fx) + grey.at<uchar>(j + 1, i + 1) * fx;
  return top * (1 - fy) + bottom * fy;
}

cv::Point2f single(Point p) { return {static_cast<float>(p.x), static_cast<float>(p.y)}; }

}  // namespace

std::optional<Point> weighted_centroid(const cv::Mat& grey, Point about_px, double radius_px) {
  double least = 255;
  double greatest = 0;
  const int reach = static_cast<int>(std::ceil(radius_px));
  const cv::Rect box = cv::Rect(static_cast<int>(std::lround(about_px.x)) - reach,
                                static_cast<int>(std::lround(about_px.y)) - reach, 2 * reach + 1, 2 * reach + 1) &
                       cv::Rect(0, 0, grey.cols, grey.rows);
  if (box.area() == 0) return std::nullopt;
  cv::minMaxLoc(grey(box), &least, &greatest);
  cv::Mat above;
  grey(box).convertTo(above, CV_32F, 1.0, -(least + greatest) / 2);
  cv::max(above, 0, above);
  const cv::Moments m = cv::moments(above);
  if (!(m.m00 > 0)) return std::nullopt;
  return Point{box.x + m.m10 / m.m00, box.y + m.m01 / m.m00};
}

std::optional<Point> ellipse_of_edges(const cv::Mat& grey, Point about_px, double radius_px) {
  std::vector<cv::Point2f> edge;
  for (int ray = 0; ray < 72; ++ray) {
    const double angle = ray * M_PI / 36;
    std::vector<double> slope;
    for (double r = 0.3 * radius_px; r < 0.9 * radius_px; r += 0.5) {
      slope.push_back(
          grey_at(grey, about_px.x + (r - 0.5) * std::cos(angle), about_px.y + (r - 0.5) * std::sin(angle)) -
          grey_at(grey, about_px.x + (r + 0.5) * std::cos(angle), about_px.y + (r + 0.5) * std::sin(angle)));
    }
    if (slope.size() < 3) continue;
    const auto steepest = std::max_element(slope.begin() + 1, slope.end() - 1);
    const double at =
        static_cast<double>(steepest - slope.begin()) + top_of_parabola(*(steepest - 1), *steepest, *(steepest + 1));
    const double r = 0.3 * radius_px + 0.5 * at;
    edge.push_back(single({about_px.x + r * std::cos(angle), about_px.y + r * std::sin(angle)}));
  }
  if (edge.size() < 8) return std::nullopt;
  const cv::RotatedRect ellipse = cv::fitEllipse(edge);
  return Point{ellipse.center.x, ellipse.center.y};
}

std::optional<Point> lucas_kanade(const cv::Mat& first, Point first_px, const cv::Mat& grey, Point about_px,
                                  double radius_px) {
  const int half = std::max(3, static_cast<int>(std::lround(1.25 * radius_px)));
  const std::vector<cv::Point2f> from{single(first_px)};
  std::vector<cv::Point2f> to{single(about_px)};
  std::vector<uchar> found;
  std::vector<float> error;
  cv::calcOpticalFlowPyrLK(first, grey, from, to, found, error, {2 * half + 1, 2 * half + 1}, 2,
                           cv::TermCriteria(cv::TermCriteria::COUNT + cv::TermCriteria::EPS, 40, 0.001),
                           cv::OPTFLOW_USE_INITIAL_FLOW);
  if (found[0] == 0) return std::nullopt;
  return Point{to[0].x, to[0].y};
}

std::optional<Point> matched_template(const cv::Mat& first, Point first_px, const cv::Mat& grey, Point about_px,
                                      double radius_px) {
  const int half = static_cast<int>(std::lround(1.25 * radius_px));
  constexpr int reach = 4;
  const cv::Rect whole(0, 0, grey.cols, grey.rows);
  const cv::Point from(static_cast<int>(std::lround(first_px.x)), static_cast<int>(std::lround(first_px.y)));
  const cv::Point to(static_cast<int>(std::lround(about_px.x)), static_cast<int>(std::lround(about_px.y)));
  const cv::Rect piece(from.x - half, from.y - half, 2 * half + 1, 2 * half + 1);
  const cv::Rect area(to.x - half - reach, to.y - half - reach, 2 * (half + reach) + 1, 2 * (half + reach) + 1);
  if ((piece & whole) != piece || (area & whole) != area) return std::nullopt;
  cv::Mat likeness;
  cv::matchTemplate(grey(area), first(piece), likeness, cv::TM_CCOEFF_NORMED);
  cv::Point best;
  cv::minMaxLoc(likeness, nullptr, nullptr, nullptr, &best);
  const auto at = [&](int i, int j) { return static_cast<double>(likeness.at<float>(best.y + j, best.x + i)); };
  if (best.x < 1 || best.y < 1 || best.x > likeness.cols - 2 || best.y > likeness.rows - 2) return std::nullopt;
  const Point moved{best.x - reach + top_of_parabola(at(-1, 0), at(0, 0), at(1, 0)),
                    best.y - reach + top_of_parabola(at(0, -1), at(0, 0), at(0, 1))};
  return Point{first_px.x + to.x - from.x + moved.x, first_px.y + to.y - from.y + moved.y};
}

}  // namespace risetrace::bench
