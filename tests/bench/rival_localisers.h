// Other ways to find a sticker's centre, with OpenCV's own pieces: what the fit is compared with. Each is told about
// where the sticker is and gets its size; none looks farther.
#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "base/geometry.h"

namespace risetrace::bench {

// Mean place of what is brighter than half-way between ring and disc, weighted by how much; within one radius.
std::optional<Point> weighted_centroid(const cv::Mat& grey, Point about_px, double radius_px);

// Where the outer edge of the disc is crossed on 72 rays, by the greatest slope and a parabola about it; an ellipse
// through these points.
std::optional<Point> ellipse_of_edges(const cv::Mat& grey, Point about_px, double radius_px);

// Both below follow a piece of `first` about `first_px`: the sticker and a quarter of a radius round it. What they get
// wrong there they get wrong in every frame, so only their scatter means something.
std::optional<Point> lucas_kanade(const cv::Mat& first, Point first_px, const cv::Mat& grey, Point about_px,
                                  double radius_px);
std::optional<Point> matched_template(const cv::Mat& first, Point first_px, const cv::Mat& grey, Point about_px,
                                      double radius_px);

}  // namespace risetrace::bench
