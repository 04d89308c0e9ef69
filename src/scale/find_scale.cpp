#include "scale/find_scale.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "math/statistics.h"
#include "scale/edges.h"
#include "scale/find_id_card.h"
#include "scale/find_tags.h"
#include "scale/scale_of_plane.h"

namespace risetrace::scale {
namespace {

constexpr double look_again_s = 0.5;      // between searches of the whole picture for a card not yet found
constexpr double measure_again_s = 0.25;  // between measurements of a found card
constexpr double moved_px = 1.5;          // a corner's way from the clip's first third to its last: the card moved
constexpr double worst_fit_px = 1.5;      // root mean square; beyond, the corners are not those of one flat card

struct Corner {
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> time_s;
};

Error no_card(const std::string& why) { return {Fault::card_not_found, why, ""}; }
Error doubtful(const std::string& why) { return {Fault::card_doubtful, why, ""}; }

std::string names(const std::map<int, Quad>& quads) {
  std::string list;
  for (const auto& [id, quad] : quads) list += (list.empty() ? "" : ", ") + std::to_string(id);
  return list;
}

double median_of_part(const Corner& corner, const std::vector<double>& values, double from_s, double to_s) {
  std::vector<double> part;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (corner.time_s[i] >= from_s && corner.time_s[i] <= to_s) part.push_back(values[i]);
  }
  return math::median(part);
}

Scale scale_by_hand(double px_per_cm, int width_px, int height_px) {
  Scale scale;
  scale.from = ScaleFrom::given;
  const double cm = 1 / px_per_cm;
  scale.cm_from_px = math::Homography{{cm, 0, -cm * (width_px - 1) / 2, 0, -cm, cm * (height_px - 1) / 2, 0, 0, 1}};
  scale.px_per_cm = px_per_cm;
  return scale;
}

}  // namespace

Outcome check(const ScaleOptions& options) {
  const auto wrong = [](const std::string& why, const std::string& todo) {
    return Error{Fault::option_wrong, why, todo};
  };
  if (options.px_per_cm && !(*options.px_per_cm >= 0.5 && *options.px_per_cm <= 1000)) {
    return wrong("--px-per-cm is out of range", "give pixels per centimetre between 0.5 and 1000");
  }
  if (options.distance_m && !(*options.distance_m >= 0.2 && *options.distance_m <= 100)) {
    return wrong("--distance is out of range", "give metres from camera to sticker between 0.2 and 100");
  }
  if (!(std::abs(options.card_offset_cm) <= 500)) {
    return wrong("--card-offset is out of range", "give centimetres between -500 and 500");
  }
  if (options.card_offset_cm != 0 && !options.distance_m) {
    return wrong("--card-offset needs --distance", "give the metres from camera to sticker too");
  }
  if (options.distance_m && *options.distance_m * 100 + options.card_offset_cm < 10) {
    return wrong("--card-offset puts the card at the camera", "give the offset in centimetres, the distance in metres");
  }
  return Done{};
}

struct ScaleFinder::Inside {
  Inside(const model::Cards& known_cards, const ScaleOptions& asked) : cards(known_cards), options(asked) {}

  model::Cards cards;
  ScaleOptions options;
  TagDetector detector;
  std::map<int, std::array<Corner, 4>> tags;  // by id
  std::array<Corner, 4> outline;              // of the ID-1 card
  std::map<int, Quad> quads;                  // where the tags are, about; empty while no card is found
  std::optional<Quad> outline_about;
  std::map<int, Quad> best_partial;
  bool twice = false;
  double next_look_s = 0.0;
  double last_time_s = 0.0;
  double outline_rms_px = 0.0;
  int width_px = 0;
  int height_px = 0;

  void look_for_tags(const clip::Frame& frame);
  void measure_tags(const clip::Frame& frame);
  void look_for_outline(const clip::Frame& frame);
  void measure_outline(const clip::Frame& frame);
  [[nodiscard]] std::optional<Error> trouble() const;
  [[nodiscard]] PlaneView plane_view(double* moved) const;
};

void ScaleFinder::Inside::look_for_tags(const clip::Frame& frame) {
  const clip::GreyPicture picture = clip::upright_picture(frame);
  const int shrink = std::max(picture.width, picture.height) >= 1600 ? 2 : 1;
  TagsSeen seen = detector.detect(picture, cards.tags, shrink);
  if (seen.quads.size() < cards.tags.tags.size() && shrink > 1) seen = detector.detect(picture, cards.tags, 1);
  twice = twice || seen.twice;
  if (seen.quads.size() > best_partial.size()) best_partial = seen.quads;
  if (seen.quads.size() + 1 >= cards.tags.tags.size() && !seen.twice) quads = seen.quads;
}

void ScaleFinder::Inside::measure_tags(const clip::Frame& frame) {
  for (const auto& [id, quad] : quads) {
    const double side_px = std::hypot(quad[1].x - quad[0].x, quad[1].y - quad[0].y);
    EdgeOptions edge;
    // The black border is one module wide; the profile must end within it.
    edge.reach_px = std::clamp(0.8 * side_px / cards.tags.modules, 1.5, 6.0);
    const clip::Patch patch = clip::upright_patch(frame, box_around(quad, 2 * edge.reach_px + 2));
    double rms = 0;
    const auto corners = measure_quad(patch, quad, edge, &rms);
    if (!corners) continue;
    for (std::size_t i = 0; i < 4; ++i) {
      Corner& corner = tags[id].at(i);
      corner.x.push_back(corners->at(i).x);
      corner.y.push_back(corners->at(i).y);
      corner.time_s.push_back(frame.time_s);
    }
  }
}

void ScaleFinder::Inside::look_for_outline(const clip::Frame& frame) {
  const std::vector<Quad> found = find_id_cards(clip::upright_picture(frame), cards.id_1);
  if (found.size() > 1) twice = true;
  if (found.size() == 1) outline_about = found.front();
}

void ScaleFinder::Inside::measure_outline(const clip::Frame& frame) {
  const EdgeOptions edge = id_card_edge_options(*outline_about, cards.id_1);
  const clip::Patch patch = clip::upright_patch(frame, box_around(*outline_about, 2 * edge.reach_px + 2));
  double rms = 0;
  const auto corners = measure_quad(patch, *outline_about, edge, &rms);
  if (!corners) return;
  outline_rms_px = rms;
  for (std::size_t i = 0; i < 4; ++i) {
    outline.at(i).x.push_back(corners->at(i).x);
    outline.at(i).y.push_back(corners->at(i).y);
    outline.at(i).time_s.push_back(frame.time_s);
  }
}

std::optional<Error> ScaleFinder::Inside::trouble() const {
  if (twice) return doubtful("more than one card is in view");
  if (options.card == CardKind::id_1) {
    if (!outline_about || outline[0].x.empty()) return no_card("no outline of the shape of an ID-1 card stood out");
    return std::nullopt;
  }
  if (quads.empty()) {
    if (best_partial.empty()) return no_card("none of its four tags was seen");
    return doubtful("only tag " + names(best_partial) + " of 0, 1, 2, 3 was seen whole");
  }
  return std::nullopt;
}

PlaneView ScaleFinder::Inside::plane_view(double* moved) const {
  PlaneView view;
  view.picture_width_px = width_px;
  view.picture_height_px = height_px;
  view.card_offset_cm = options.card_offset_cm;
  view.distance_m = options.distance_m;
  const auto add = [&](const Corner& corner, Point card_cm, Point middle_cm) {
    if (corner.x.empty()) return;
    const Point outward{card_cm.x > middle_cm.x ? 1.0 : -1.0, card_cm.y > middle_cm.y ? 1.0 : -1.0};
    view.corners.push_back({card_cm, outward, {math::median(corner.x), math::median(corner.y)}});
    const double third_s = last_time_s / 3;
    const double dx =
        median_of_part(corner, corner.x, 0, third_s) - median_of_part(corner, corner.x, 2 * third_s, last_time_s);
    const double dy =
        median_of_part(corner, corner.y, 0, third_s) - median_of_part(corner, corner.y, 2 * third_s, last_time_s);
    if (std::hypot(dx, dy) > *moved) *moved = std::hypot(dx, dy);  // NaN where a third is empty: no claim
  };
  if (options.card == CardKind::id_1) {
    const auto corners = id_card_corners_cm(cards.id_1, *outline_about);
    for (std::size_t i = 0; i < 4; ++i) add(outline.at(i), corners.at(i), {0, 0});
    return view;
  }
  for (const model::TagPattern& tag : cards.tags.tags) {
    const auto seen = tags.find(tag.id);
    if (seen == tags.end() || seen->second[0].x.empty()) continue;
    const auto corners = model::tag_corners_cm(cards.tags, tag);
    for (std::size_t i = 0; i < 4; ++i) add(seen->second.at(i), corners.at(i), tag.centre_cm);
  }
  return view;
}

ScaleFinder::ScaleFinder(const model::Cards& cards, const ScaleOptions& options)
    : inside_(std::make_unique<Inside>(cards, options)) {}
ScaleFinder::ScaleFinder(ScaleFinder&&) noexcept = default;
ScaleFinder& ScaleFinder::operator=(ScaleFinder&&) noexcept = default;
ScaleFinder::~ScaleFinder() = default;

void ScaleFinder::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  in.width_px = frame.width_px;
  in.height_px = frame.height_px;
  in.last_time_s = frame.time_s;
  if (in.options.px_per_cm || in.options.card == CardKind::none || frame.time_s < in.next_look_s) return;
  const bool outline = in.options.card == CardKind::id_1;
  const bool found = outline ? in.outline_about.has_value() : !in.quads.empty();
  if (!found) {
    if (outline) {
      in.look_for_outline(frame);
    } else {
      in.look_for_tags(frame);
    }
  }
  if (outline && in.outline_about) in.measure_outline(frame);
  if (!outline) in.measure_tags(frame);
  const bool found_now = outline ? in.outline_about.has_value() : !in.quads.empty();
  in.next_look_s = frame.time_s + (found_now ? measure_again_s : look_again_s);
}

Result<Scale> ScaleFinder::finish() const {
  const Inside& in = *inside_;
  if (in.options.px_per_cm) return scale_by_hand(*in.options.px_per_cm, in.width_px, in.height_px);
  if (in.options.card == CardKind::none) return Scale{};
  if (const auto trouble = in.trouble()) return *trouble;
  double moved = 0;
  const PlaneView view = in.plane_view(&moved);
  if (view.corners.size() < 4) return doubtful("its edges are too blurred or too small to be measured");
  std::optional<Scale> scale = scale_of_plane(view, in.cards);
  if (!scale) return doubtful("its corners do not span a plane");
  if (*scale->fit_rms_px > worst_fit_px) {
    return doubtful("its corners miss one flat card by " + std::to_string(*scale->fit_rms_px).substr(0, 4) +
                    " pixels: bent, or printed at uneven scale");
  }
  if (in.options.card == CardKind::id_1) {
    scale->from = ScaleFrom::id_1;
    scale->fit_rms_px = in.outline_rms_px;  // four corners fit any plane: the edges' straightness is what is known
  } else {
    scale->from = ScaleFrom::tags;
    if (view.corners.size() < 4 * in.cards.tags.tags.size()) {
      scale->notes.push_back(
          {"card-partly-seen", "Not all four tags of the card could be measured; three were enough.", std::nullopt});
    }
  }
  if (moved > moved_px) {
    scale->notes.push_back({"card-moved",
                            "The card, or the camera, moved by " + std::to_string(moved).substr(0, 4) +
                                " pixels during the clip: heights are less sure than stated.",
                            std::nullopt});
  }
  return *scale;
}

}  // namespace risetrace::scale
