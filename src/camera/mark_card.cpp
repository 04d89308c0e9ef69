#include "camera/mark_card.h"

#include <algorithm>
#include <cmath>

namespace risetrace::camera {
namespace {

using Quad = std::array<Point, 4>;

constexpr double inwards_px = 4.0;
constexpr double most_inwards = 0.3;  // of the way to the middle
constexpr int columns = 12;           // of the places tried on a card's face
constexpr int rows = 8;
constexpr double apart_px = patch_half;
constexpr std::size_t most_on_face = 10;

double distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

Point between(Point a, Point b, double share) { return {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)}; }

std::optional<MarkedPatch> at(const clip::GreyPicture& picture, Point px) {
  return marked_patch(picture, static_cast<int>(std::lround(px.x)), static_cast<int>(std::lround(px.y)),
                      corner_strength);
}

void mark_face(const clip::GreyPicture& picture, const Quad& quad, std::vector<MarkedPatch>& marked) {
  std::vector<MarkedPatch> places;
  for (int row = 1; row < rows; ++row) {
    for (int column = 1; column < columns; ++column) {
      const double across = static_cast<double>(column) / columns;
      const Point px = between(between(quad[0], quad[1], across), between(quad[3], quad[2], across),
                               static_cast<double>(row) / rows);
      if (auto patch = at(picture, px)) places.push_back(*std::move(patch));
    }
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const MarkedPatch& a, const MarkedPatch& b) { return a.weaker() > b.weaker(); });
  const std::size_t most = marked.size() + most_on_face;
  for (MarkedPatch& place : places) {
    const bool crowded = std::any_of(marked.begin(), marked.end(), [&](const MarkedPatch& m) {
      return distance(m.centre_px, place.centre_px) < apart_px;
    });
    if (!crowded && marked.size() < most) marked.push_back(std::move(place));
  }
}

}  // namespace

std::vector<MarkedPatch> mark_card(const clip::GreyPicture& picture, const std::vector<Quad>& quads_px) {
  std::vector<MarkedPatch> marked;
  for (const Quad& quad : quads_px) {
    const Point centre = between(between(quad[0], quad[2], 0.5), between(quad[1], quad[3], 0.5), 0.5);
    for (const Point corner : quad) {
      // As far along both of its edges.
      const double share = std::sqrt(2.0) * inwards_px / std::max(1.0, distance(corner, centre));
      if (auto patch = at(picture, between(corner, centre, std::min(share, most_inwards)))) {
        marked.push_back(*std::move(patch));
      }
    }
  }
  if (quads_px.size() == 1) mark_face(picture, quads_px.front(), marked);
  return marked;
}

}  // namespace risetrace::camera
