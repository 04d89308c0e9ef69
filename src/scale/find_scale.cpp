#include "scale/find_scale.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "base/rounded.h"
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
constexpr double look_for_lost_s = 2.0;   // between searches for a card whose edges are no more where they were
constexpr int lost_looks = 2;             // in a row, before it is searched for
constexpr double worst_fit_px = 1.5;      // root mean square; beyond, the corners are not those of one flat card

struct Corner {
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> time_s;

  void add(Point ref, double at_s) {
    x.push_back(ref.x);
    y.push_back(ref.y);
    time_s.push_back(at_s);
  }
};

Quad mapped(const math::Similarity& map, const Quad& quad) {
  return {map.map(quad[0]), map.map(quad[1]), map.map(quad[2]), map.map(quad[3])};
}

Error no_card(const std::string& why, const std::string& what_to_do) {
  return {Fault::card_not_found, why, what_to_do};
}
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

math::Homography plane_by_hand(double px_per_cm, int width_px, int height_px) {
  const double cm = 1 / px_per_cm;
  return math::Homography{{cm, 0, -cm * (width_px - 1) / 2, 0, -cm, cm * (height_px - 1) / 2, 0, 0, 1}};
}

Scale scale_by_hand(double px_per_cm, std::optional<double> px_per_cm_u, int width_px, int height_px) {
  Scale scale;
  scale.from = ScaleFrom::given;
  scale.cm_from_px = plane_by_hand(px_per_cm, width_px, height_px);
  scale.px_per_cm = px_per_cm;
  scale.px_per_cm_u = px_per_cm_u;
  if (px_per_cm_u) {
    scale.notes.push_back({"scale-pointed-out",
                           "The scale was taken from two points pointed out by hand: its ± holds how they were pointed "
                           "out and measured, not how far they lie before or behind the sticker.",
                           std::nullopt});
    scale.doubts.push_back({DoubtFrom::pointing, plane_by_hand(px_per_cm + *px_per_cm_u, width_px, height_px), {}});
  }
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
  std::map<int, Quad> quads;                  // where the tags are, about, reference view; empty while none is found
  std::optional<Quad> outline_about;
  std::map<int, Quad> best_partial;
  bool twice = false;
  double next_look_s = 0.0;
  double next_search_s = 0.0;  // for a card that was found before
  int looks_lost = 0;          // in a row
  std::optional<double> moved_s;
  double moved_far_px = 0.0;
  bool moved_or_camera = false;  // nothing tells which
  double last_time_s = 0.0;
  double outline_rms_px = 0.0;
  int width_px = 0;
  int height_px = 0;

  void look_for_tags(const clip::Frame& frame, const camera::View& view);
  bool measure_tags(const clip::Frame& frame, const camera::View& view);
  void search_for_lost(const clip::Frame& frame, const camera::View& view);
  void look_for_outline(const clip::Frame& frame, const camera::View& view);
  bool measure_outline(const clip::Frame& frame, const camera::View& view);
  [[nodiscard]] bool found() const { return !quads.empty() || outline_about; }
  [[nodiscard]] std::optional<Error> trouble() const;
  [[nodiscard]] std::optional<Note> card_moved(double slowly_px) const;
  [[nodiscard]] PlaneView plane_view(double* moved) const;
};

void ScaleFinder::Inside::look_for_tags(const clip::Frame& frame, const camera::View& view) {
  const clip::GreyPicture picture = clip::upright_picture(frame);
  const int shrink = std::max(picture.width, picture.height) >= 1600 ? 2 : 1;
  TagsSeen seen = detector.detect(picture, cards.tags, shrink);
  if (seen.quads.size() < cards.tags.tags.size() && shrink > 1) seen = detector.detect(picture, cards.tags, 1);
  twice = twice || seen.twice;
  if (seen.quads.size() > best_partial.size()) best_partial = seen.quads;
  if (seen.quads.size() + 1 < cards.tags.tags.size() || seen.twice) return;
  for (const auto& [id, quad] : seen.quads) quads[id] = mapped(view.ref_from_px, quad);
}

bool ScaleFinder::Inside::measure_tags(const clip::Frame& frame, const camera::View& view) {
  bool any = false;
  const math::Similarity px_from_ref = view.ref_from_px.inverse();
  for (const auto& [id, ref_quad] : quads) {
    const Quad quad = mapped(px_from_ref, ref_quad);
    const double side_px = std::hypot(quad[1].x - quad[0].x, quad[1].y - quad[0].y);
    EdgeOptions edge;
    // The black border is one module wide, with white modules behind it here and there. In its middle it is darkest:
    // farther in, a lens that is not quite sharp or a camera that sharpens would pull the edge towards those.
    edge.reach_px = std::clamp(0.5 * side_px / cards.tags.modules, 1.5, 6.0);
    const clip::Patch patch = clip::upright_patch(frame, box_around(quad, 2 * edge.reach_px + 2));
    double rms = 0;
    const auto corners = measure_quad(patch, quad, edge, &rms);
    if (!corners) continue;
    any = true;
    for (std::size_t i = 0; i < 4; ++i) {
      tags[id].at(i).add(view.ref_from_px.map(corners->at(i)), frame.time_s);
    }
  }
  return any;
}

// Its edges are not where they were: covered, or moved away farther than they can be followed.
void ScaleFinder::Inside::search_for_lost(const clip::Frame& frame, const camera::View& view) {
  if (++looks_lost < lost_looks || frame.time_s < next_search_s) return;
  next_search_s = frame.time_s + look_for_lost_s;
  const clip::GreyPicture picture = clip::upright_picture(frame);
  std::vector<double> away_px;
  const auto compare = [&](const Quad& was, const Quad& seen) {
    const Quad is = mapped(view.ref_from_px, seen);
    for (std::size_t i = 0; i < 4; ++i) {
      away_px.push_back(std::hypot(is.at(i).x - was.at(i).x, is.at(i).y - was.at(i).y));
    }
  };
  if (options.card == CardKind::id_1) {
    const std::vector<Quad> found = find_id_cards(picture, cards.id_1);
    if (found.size() == 1) compare(*outline_about, found.front());
  } else {
    const TagsSeen seen = detector.detect(picture, cards.tags, std::max(picture.width, picture.height) >= 1600 ? 2 : 1);
    for (const auto& [id, quad] : quads) {
      if (const auto now = seen.quads.find(id); now != seen.quads.end()) compare(quad, now->second);
    }
  }
  if (away_px.empty() || math::median(away_px) < moved_px) return;
  moved_s = frame.time_s;
  moved_far_px = math::median(away_px);
  moved_or_camera = view.assumed;
}

void ScaleFinder::Inside::look_for_outline(const clip::Frame& frame, const camera::View& view) {
  const std::vector<Quad> found = find_id_cards(clip::upright_picture(frame), cards.id_1);
  if (found.size() > 1) twice = true;
  if (found.size() == 1) outline_about = mapped(view.ref_from_px, found.front());
}

bool ScaleFinder::Inside::measure_outline(const clip::Frame& frame, const camera::View& view) {
  const Quad about = mapped(view.ref_from_px.inverse(), *outline_about);
  const EdgeOptions edge = id_card_edge_options(about, cards.id_1);
  const clip::Patch patch = clip::upright_patch(frame, box_around(about, 2 * edge.reach_px + 2));
  double rms = 0;
  const auto corners = measure_quad(patch, about, edge, &rms);
  if (!corners) return false;
  outline_rms_px = rms;
  for (std::size_t i = 0; i < 4; ++i) outline.at(i).add(view.ref_from_px.map(corners->at(i)), frame.time_s);
  return true;
}

std::optional<Error> ScaleFinder::Inside::trouble() const {
  if (twice) return doubtful("more than one card is in view");
  if (options.card == CardKind::id_1) {
    if (!outline_about || outline[0].x.empty())
      return no_card("no outline of the shape of an ID-1 card stood out",
                     "with the printed card in view leave out --card id-1; or give --px-per-cm");
    return std::nullopt;
  }
  if (quads.empty()) {
    if (best_partial.empty()) return no_card("none of its four tags was seen", "");
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

// `slowly_px`: what its corners moved in the reference view while they were followed.
std::optional<Note> ScaleFinder::Inside::card_moved(double slowly_px) const {
  if (moved_s && !moved_or_camera) {
    return Note{"card-moved",
                "The card was moved by " + rounded(moved_far_px, 0) + " pixels, by " + rounded(*moved_s, 1) +
                    " s, while what is behind it stood still: centimetres are by the card as it stood before.",
                moved_s};
  }
  if (!moved_s && !(slowly_px > moved_px)) return std::nullopt;
  return Note{"card-moved",
              "The card, or the camera, moved by " + rounded(moved_s ? moved_far_px : slowly_px, 1) +
                  " pixels during the clip: heights are less sure than stated.",
              moved_s};
}

ScaleFinder::ScaleFinder(const model::Cards& cards, const ScaleOptions& options)
    : inside_(std::make_unique<Inside>(cards, options)) {}
ScaleFinder::ScaleFinder(ScaleFinder&&) noexcept = default;
ScaleFinder& ScaleFinder::operator=(ScaleFinder&&) noexcept = default;
ScaleFinder::~ScaleFinder() = default;

void ScaleFinder::push(const clip::Frame& frame, const camera::View& view) {
  Inside& in = *inside_;
  in.width_px = frame.width_px;
  in.height_px = frame.height_px;
  in.last_time_s = frame.time_s;
  if (in.options.px_per_cm || in.options.card == CardKind::none || frame.time_s < in.next_look_s) return;
  // Where the camera is not known to be, nothing can be said in the reference view; and once it was moved a card says
  // no more of the plane that it stood in.
  if (!view.known || (in.found() && (!view.card_stands || in.moved_s))) return;
  const bool outline = in.options.card == CardKind::id_1;
  if (!in.found()) {
    if (outline) {
      in.look_for_outline(frame, view);
    } else {
      in.look_for_tags(frame, view);
    }
  }
  in.next_look_s = frame.time_s + (in.found() ? measure_again_s : look_again_s);
  if (!in.found()) return;
  if (outline ? in.measure_outline(frame, view) : in.measure_tags(frame, view)) {
    in.looks_lost = 0;
  } else {
    in.search_for_lost(frame, view);
  }
}

bool ScaleFinder::found() const { return inside_->found(); }

std::vector<std::array<Point, 4>> ScaleFinder::card_quads() const {
  std::vector<std::array<Point, 4>> out;
  for (const auto& [id, quad] : inside_->quads) out.push_back(quad);
  if (inside_->outline_about) out.push_back(*inside_->outline_about);
  return out;
}

Result<Scale> ScaleFinder::finish() const {
  const Inside& in = *inside_;
  if (in.options.px_per_cm)
    return scale_by_hand(*in.options.px_per_cm, in.options.px_per_cm_u, in.width_px, in.height_px);
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
  if (const auto note = in.card_moved(moved)) scale->notes.push_back(*note);
  return *scale;
}

}  // namespace risetrace::scale
