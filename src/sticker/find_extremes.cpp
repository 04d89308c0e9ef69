#include "sticker/find_extremes.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace risetrace::sticker {
namespace {

// Blur widths of the difference of Gaussians, and the radius of the disc each difference answers to most.
constexpr std::array blur_sigma = {1.6, 2.26, 3.2, 4.53};
constexpr double radius_of_sigma = 1.68;
constexpr std::array shrinks = {1, 2, 4, 8};  // the picture's, so that the same blurs serve for larger discs
constexpr int least_response = 4;             // grey levels; a disc of contrast 20 gives about 5
constexpr std::size_t most_extremes = 120;    // of each shrink: fine texture must not crowd out a large pale sticker

// Lowe's test: the two curvatures of a spot are alike, those of an edge or a line are not.
bool is_spot(const cv::Mat& d, int x, int y) {
  const auto at = [&](int dx, int dy) { return static_cast<double>(d.at<short>(y + dy, x + dx)); };
  const double xx = at(1, 0) - 2 * at(0, 0) + at(-1, 0);
  const double yy = at(0, 1) - 2 * at(0, 0) + at(0, -1);
  const double xy = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / 4;
  const double determinant = xx * yy - xy * xy;
  constexpr double ratio = 3.0;
  return determinant > 0 && (xx + yy) * (xx + yy) * ratio < (ratio + 1) * (ratio + 1) * determinant;
}

bool is_extreme(const cv::Mat& d, int x, int y) {
  const short here = d.at<short>(y, x);
  for (int dy = -1; dy <= 1; ++dy) {
    for (int dx = -1; dx <= 1; ++dx) {
      if (dx == 0 && dy == 0) continue;
      const short there = d.at<short>(y + dy, x + dx);
      if (here > 0 ? there > here : there < here) return false;
    }
  }
  return true;
}

constexpr int unit = 16;  // the blurred pictures carry 16ths of a grey level

// Nearly all of a picture is flat: many pixels at once are seen to hold nothing.
bool any_response(const short* row, int count) {
  short most = 0;
  for (int x = 0; x < count; ++x) most = std::max(most, std::max(row[x], static_cast<short>(-row[x])));
  return most >= least_response * unit;
}

void add_extremes(const cv::Mat& difference, double radius, double shrink, std::vector<Extreme>& found) {
  constexpr int at_once = 64;
  const int last = difference.cols - 2;
  const double half = (shrink - 1) / 2;  // pixel centres of the shrunk picture lie between those of the whole
  for (int y = 2; y < difference.rows - 2; ++y) {
    const short* row = difference.ptr<short>(y);
    for (int from = 2; from < last; from += at_once) {
      const int end = std::min(last, from + at_once);
      if (!any_response(row + from, end - from)) continue;
      for (int x = from; x < end; ++x) {
        if (std::abs(row[x]) < least_response * unit) continue;
        if (!is_extreme(difference, x, y) || !is_spot(difference, x, y)) continue;
        found.push_back({{x * shrink + half, y * shrink + half}, radius * shrink, std::abs(row[x]) / double{unit}});
      }
    }
  }
}

// Of the first `widths` blurs.
std::vector<Extreme> extremes_at(const cv::Mat& level, double shrink, std::size_t widths) {
  std::vector<Extreme> found;
  cv::Mat sharp;
  level.convertTo(sharp, CV_16S, unit);
  cv::Mat narrow;
  cv::Mat wide;
  for (std::size_t i = 0; i < widths; ++i) {
    cv::GaussianBlur(sharp, wide, cv::Size(), blur_sigma.at(i), 0, cv::BORDER_REPLICATE);
    if (i > 0) {
      cv::subtract(narrow, wide, narrow);
      add_extremes(narrow, radius_of_sigma * blur_sigma.at(i - 1), shrink, found);
    }
    cv::swap(narrow, wide);
  }
  return found;
}

}  // namespace

std::vector<Extreme> find_extremes(const clip::GreyPicture& picture, double greatest_radius_px) {
  // OpenCV does not write to it; the cast is its interface's, not ours.
  const cv::Mat whole(picture.height, picture.width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data()));
  std::vector<Extreme> spots;
  for (const int shrink : shrinks) {
    if (radius_of_sigma * blur_sigma[0] * shrink > greatest_radius_px) break;
    if (std::min(picture.width, picture.height) / shrink < 12) break;
    cv::Mat level = whole;
    if (shrink > 1) cv::resize(whole, level, cv::Size(), 1.0 / shrink, 1.0 / shrink, cv::INTER_AREA);
    // The last blur's difference answers to the same size as the first one's of a picture half as large: a second
    // chance that costs little but in the whole picture.
    const std::size_t widths = shrink == 1 ? blur_sigma.size() - 1 : blur_sigma.size();
    std::vector<Extreme> found = extremes_at(level, shrink, widths);
    std::sort(found.begin(), found.end(), [](const Extreme& a, const Extreme& b) { return a.response > b.response; });
    if (found.size() > most_extremes) found.resize(most_extremes);
    spots.insert(spots.end(), found.begin(), found.end());
  }
  return spots;
}

}  // namespace risetrace::sticker
