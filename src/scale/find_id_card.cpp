#include "scale/find_id_card.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "scale/scale_of_plane.h"

namespace risetrace::scale {
namespace {

using Corners = std::array<Point, 4>;

double length(Point a, Point b) { return std::hypot(b.x - a.x, b.y - a.y); }

double level_side(const Corners& q) { return (length(q[0], q[1]) + length(q[3], q[2])) / 2; }
double upright_side(const Corners& q) { return (length(q[0], q[3]) + length(q[1], q[2])) / 2; }

// Top left first, then clockwise as seen.
Corners in_order(const std::vector<cv::Point2f>& points) {
  Point middle;
  for (const auto& p : points) middle = {middle.x + p.x / 4, middle.y + p.y / 4};
  std::vector<cv::Point2f> sorted = points;
  std::sort(sorted.begin(), sorted.end(), [&](const auto& a, const auto& b) {
    return std::atan2(a.y - middle.y, a.x - middle.x) < std::atan2(b.y - middle.y, b.x - middle.x);
  });
  // Angles run from -pi at the left, clockwise as seen (y down): the first is the top left for an upright outline.
  std::size_t first = 0;
  for (std::size_t i = 1; i < 4; ++i) {
    if (sorted[i].x + sorted[i].y < sorted[first].x + sorted[first].y) first = i;
  }
  Corners out;
  for (std::size_t i = 0; i < 4; ++i) out.at(i) = {sorted[(first + i) % 4].x, sorted[(first + i) % 4].y};
  return out;
}

bool proportions_fit(const Corners& q, const model::IdCard& card) {
  const double longer = std::max(level_side(q), upright_side(q));
  const double shorter = std::min(level_side(q), upright_side(q));
  if (shorter < 14) return false;
  const double ratio = (longer / shorter) / (card.width_cm / card.height_cm);
  // Opposite sides stay nearly alike, and the ratio nearly true, while the card is tilted by less than about 20
  // degrees.
  const auto alike = [](double a, double b) { return a < 1.12 * b && b < 1.12 * a; };
  return ratio > 0.93 && ratio < 1.07 && alike(length(q[0], q[1]), length(q[3], q[2])) &&
         alike(length(q[0], q[3]), length(q[1], q[2]));
}

std::optional<float> grey_at(const clip::Patch& patch, Point px) {
  const int column = static_cast<int>(std::lround(px.x)) - patch.box.x0;
  const int row = static_cast<int>(std::lround(px.y)) - patch.box.y0;
  if (column < 0 || row < 0 || column >= patch.box.width || row >= patch.box.height) return std::nullopt;
  return patch.at(column, row);
}

// Walks from where the edges cross towards the card's middle until the picture has half changed from ground to card. A
// corner of radius r is r (sqrt 2 - 1) from the crossing.
std::optional<double> rounding_cm(const clip::Patch& patch, const Corners& q, std::size_t corner, double px_per_cm,
                                  double card_grey_inset_cm) {
  const Point at = q.at(corner);
  const Point opposite = q.at((corner + 2) % 4);
  const double way = length(at, opposite);
  const Point along{(opposite.x - at.x) / way, (opposite.y - at.y) / way};
  const auto grey = [&](double cm) {
    return grey_at(patch, {at.x + along.x * cm * px_per_cm, at.y + along.y * cm * px_per_cm});
  };
  const auto ground = grey(-0.15);
  const auto inside = grey(card_grey_inset_cm);
  if (!ground || !inside || std::abs(*inside - *ground) < 15) return std::nullopt;
  for (int step = -10; step / 100.0 < card_grey_inset_cm; ++step) {
    const double cm = step / 100.0;
    const auto here = grey(cm);
    if (here && (*here - *ground) / (*inside - *ground) > 0.5) return cm;
  }
  return std::nullopt;
}

// True where the picture is too coarse to tell, or at least three corners are cut off as a card's are.
bool corners_are_round(const clip::Patch& patch, const Corners& q, const model::IdCard& card) {
  const double px_per_cm = std::max(level_side(q), upright_side(q)) / card.width_cm;
  if (px_per_cm < 12) return true;  // the rounding is under 1.5 pixels
  const double expected = card.corner_radius_min_cm * (std::sqrt(2.0) - 1);
  int round = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const auto cut = rounding_cm(patch, q, i, px_per_cm, 0.5);
    if (cut && *cut > 0.4 * expected && *cut < 3 * expected) ++round;
  }
  return round >= 3;
}

std::vector<Corners> outlines(const clip::GreyPicture& picture, const model::IdCard& card) {
  const cv::Mat whole(picture.height, picture.width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data()));
  cv::Mat calm;
  cv::GaussianBlur(whole, calm, cv::Size(5, 5), 1.2);
  std::vector<Corners> found;
  for (const int threshold : {30, 70}) {
    cv::Mat edges;
    cv::Canny(calm, edges, threshold / 2.0, threshold);
    cv::dilate(edges, edges, cv::Mat());  // closes gaps of a pixel
    std::vector<std::vector<cv::Point>> contours;
    cv::findContours(edges, contours, cv::RETR_LIST, cv::CHAIN_APPROX_NONE);
    for (const auto& contour : contours) {
      if (contour.size() < 60) continue;
      std::vector<cv::Point> hull;
      cv::convexHull(contour, hull);
      std::vector<cv::Point> polygon;
      cv::approxPolyDP(hull, polygon, 0.03 * cv::arcLength(hull, true), true);
      if (polygon.size() != 4) continue;
      const Corners q = in_order({polygon.begin(), polygon.end()});
      if (proportions_fit(q, card)) found.push_back(q);
    }
  }
  return found;
}

}  // namespace

EdgeOptions id_card_edge_options(const Corners& about, const model::IdCard& card) {
  const double px_per_cm = std::max(level_side(about), upright_side(about)) / card.width_cm;
  EdgeOptions options;
  options.reach_px = std::clamp(0.25 * px_per_cm, 2.0, 6.0);
  options.skip_share = 0.15;  // the rounded corners, and more
  options.least_contrast = 15;
  return options;
}

Corners id_card_corners_cm(const model::IdCard& card, const Corners& about) {
  const bool lying = level_side(about) >= upright_side(about);
  const double x = (lying ? card.width_cm : card.height_cm) / 2;
  const double y = (lying ? card.height_cm : card.width_cm) / 2;
  return {Point{-x, y}, Point{x, y}, Point{x, -y}, Point{-x, -y}};
}

std::vector<Corners> find_id_cards(const clip::GreyPicture& picture, const model::IdCard& card) {
  std::vector<Corners> cards;
  for (const Corners& about : outlines(picture, card)) {
    const EdgeOptions options = id_card_edge_options(about, card);
    const clip::Patch patch = clip::patch_of(picture, box_around(about, 2 * options.reach_px + 8));
    double rms = 0;
    const auto corners = measure_quad(patch, about, options, &rms);
    if (!corners || rms > 0.6 || !proportions_fit(*corners, card) || !corners_are_round(patch, *corners, card))
      continue;
    const bool known = std::any_of(cards.begin(), cards.end(), [&](const Corners& c) {
      return length(c[0], corners->at(0)) < 0.2 * level_side(c) && length(c[2], corners->at(2)) < 0.2 * level_side(c);
    });
    if (!known) cards.push_back(*corners);
  }
  return cards;
}

}  // namespace risetrace::scale
