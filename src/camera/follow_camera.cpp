#include "camera/follow_camera.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <utility>

#include "camera/mark_card.h"
#include "camera/patch_group.h"
#include "camera/rest.h"

namespace risetrace::camera {
namespace {

using math::after;
using math::Similarity;

constexpr std::size_t most_background = 30;
constexpr std::size_t least_background = 6;
constexpr std::size_t least_card = 3;
constexpr double agreeing_share = 0.6;  // of the background that can be seen
constexpr double card_agreeing_share = 0.4;
constexpr double lever_of_card = 4.5;        // the sticker is so many times as far from a card's middle as its patches
constexpr int search_every = 12;             // frames, while it is lost
constexpr int look_behind_every = 3;         // frames, while the card leads a camera that moves
constexpr double knocked_px = 0.7;           // of the card, while
constexpr double background_still_px = 0.3;  // the background has moved by less
constexpr double knocked_turn =
    0.02;  // rad, or a share of size: no parallax turns or grows a card against its background
constexpr double knocked_spreads = 0.6;  // nor shifts it by so much of its own size
constexpr double knocked_s = 0.15;       // a card that only trembles comes back
constexpr double noted_px = 1.0;
constexpr Difference least_noise{0.05, 0.12};  // of a clean picture
constexpr double noise_sds = 3.0;

constexpr FitEffort quick{1, 3};
constexpr FitEffort thorough{8, 10};

// Two heaps of patches, such as a card and a foot, agree with some map whatever each of them does. So a map must rest
// on a heap wider than any foot, or on so many that any one can be left out. `xs`: sorted.
bool more_than_two_things(const std::vector<double>& xs, double width) {
  constexpr double between = 0.12;  // heaps; of the picture's width
  constexpr double wide = 0.4;
  constexpr double narrow = 0.25;
  double heap_from = xs.front();
  std::optional<double> without_first_from;
  double without_last_to = xs.front();
  for (std::size_t i = 1; i <= xs.size(); ++i) {
    if (i < xs.size() && xs[i] - xs[i - 1] < between * width) continue;
    if (xs[i - 1] - heap_from > wide * width) return true;
    if (i == xs.size()) break;
    if (!without_first_from) without_first_from = xs[i];
    without_last_to = xs[i - 1];
    heap_from = xs[i];
  }
  // Without one from the middle it reaches from side to side all the same.
  return without_first_from && xs.back() - *without_first_from > narrow * width &&
         without_last_to - xs.front() > narrow * width;
}

double distance(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

// A map and how far it may be wrong by noise.
struct Found {
  Similarity px_from_ref;
  Difference noise;
  bool by_card = false;
};

}  // namespace

struct CameraFollower::Inside {
  PatchGroup card;
  PatchGroup corners;  // four of the card's patches, for the quick look
  PatchGroup background;
  bool background_there = false;
  bool card_told = false;
  Rest rest;
  Similarity card_px;  // reference view -> pixels, as last seen of each
  GroupMap background_map;
  Similarity then;       // the view when the background was last looked at
  Similarity base_card;  // both as they were when the background last moved
  Similarity base_background;
  Similarity parallax;  // base_card is base_background after this
  Similarity last;      // the view's own, reference view -> pixels
  Similarity before_last;
  bool last_moving = false;             // `last` and `before_last` are of neighbouring frames
  std::optional<double> doubt_since_s;  // the card moves otherwise than the background
  int lost = 0;                         // frames in a row without a map, and without each witness
  int card_lost = 0;
  int background_lost = 0;
  int width_px = 0;
  int height_px = 0;
  CameraPath path;

  void start(const clip::Frame& frame);
  [[nodiscard]] bool card_counts() const { return card.size() >= least_card && !path.card_moved_s; }
  [[nodiscard]] Point middle() const;
  [[nodiscard]] Difference unlike(const Similarity& a, const Similarity& b) const;
  [[nodiscard]] double lever_px() const;
  [[nodiscard]] Difference noise_of(const GroupFit& fit, const PatchGroup& of) const;
  [[nodiscard]] bool looks_still(const clip::Frame& frame) const;
  [[nodiscard]] bool reliable(const GroupFit& fit) const;
  [[nodiscard]] Point picture_middle() const { return {width_px / 2.0, height_px / 2.0}; }
  [[nodiscard]] std::optional<GroupFit> find_background(const clip::Frame& frame, const GroupMap& about) const;
  std::optional<Found> find_card(const clip::Frame& frame);
  std::optional<Found> background_now(const clip::Frame& frame, const std::optional<Found>& card_now);
  void rebase(const Similarity& card_now, const Similarity& back_now);
  [[nodiscard]] Similarity predicted() const;
  std::optional<Found> by_both(const clip::Frame& frame);
  [[nodiscard]] bool card_goes_alone(const Similarity& card_now, const Similarity& background_now) const;
  std::optional<Found> by_background(const clip::Frame& frame);
  void use(View& view, const std::optional<Found>& found);
  void remember_way(const View& view);
};

void CameraFollower::Inside::start(const clip::Frame& frame) {
  width_px = frame.width_px;
  height_px = frame.height_px;
  background = PatchGroup(picture_middle());
  for (MarkedPatch& patch : mark_picture(clip::upright_picture(frame), {}, most_background)) {
    background.add(std::move(patch), {});
  }
  background_there = background.size() >= least_background;
}

Point CameraFollower::Inside::middle() const { return card.size() > 0 ? card.middle() : picture_middle(); }

Difference CameraFollower::Inside::unlike(const Similarity& a, const Similarity& b) const {
  const Point at = middle();
  return {distance(a.map(at), b.map(at)), lever_px() * std::hypot(a.a - b.a, a.b - b.b)};
}

double CameraFollower::Inside::lever_px() const {
  return card_counts() ? lever_of_card * card.spread_px() : background.spread_px();
}

Difference CameraFollower::Inside::noise_of(const GroupFit& fit, const PatchGroup& of) const {
  const double near_px = noise_sds * fit.noise_px;
  return {least_noise.near_px + near_px, least_noise.far_px + near_px * lever_px() / std::max(1.0, of.spread_px())};
}

// Patches on both sides of the picture, over several of its columns: no leg and no walker does that.
bool CameraFollower::Inside::reliable(const GroupFit& fit) const {
  const std::size_t agreeing = fit.agreeing.size();
  if (agreeing < least_background || static_cast<double>(agreeing) < agreeing_share * fit.visible) return false;
  std::vector<double> xs;
  std::transform(fit.agreeing.begin(), fit.agreeing.end(), std::back_inserter(xs), [](Point p) { return p.x; });
  std::sort(xs.begin(), xs.end());
  return xs.front() < width_px / 3.0 && xs.back() > width_px * 2 / 3.0 && more_than_two_things(xs, width_px);
}

std::optional<GroupFit> CameraFollower::Inside::find_background(const clip::Frame& frame, const GroupMap& about) const {
  auto fit = background.fit(frame, about, thorough);
  if (fit && !reliable(*fit)) fit.reset();
  return fit;
}

bool CameraFollower::Inside::looks_still(const clip::Frame& frame) const {
  if (!rest.at_rest()) return false;
  if (card_counts()) {
    const auto fit = corners.fit(frame, {rest.held(), {}}, quick);
    return fit && Rest::same(unlike(fit->map.px_from_ref, rest.held()), noise_of(*fit, corners));
  }
  const auto fit = background.fit(frame, background_map, quick);
  if (!fit || !reliable(*fit)) return false;
  const Similarity now = after(fit->map.about(middle(), picture_middle()), parallax);
  return Rest::same(unlike(now, rest.held()), noise_of(*fit, background));
}

// As it went on from the two frames before.
Similarity CameraFollower::Inside::predicted() const {
  if (!last_moving) return last;
  return after(after(last, before_last.inverse()), last);
}

std::optional<Found> CameraFollower::Inside::find_card(const clip::Frame& frame) {
  const auto whole = [&](const std::optional<GroupFit>& fit) {
    return fit && static_cast<double>(fit->agreeing.size()) >= card_agreeing_share * static_cast<double>(card.size());
  };
  auto fit = card.fit(frame, {predicted(), {}}, thorough);
  if (!whole(fit) && last_moving) fit = card.fit(frame, {last, {}}, thorough);
  if (!whole(fit) && card_lost % search_every == 0) {
    const auto about = card.search(frame, {card_px, {}}, std::max(24, width_px / 40));
    if (about) fit = card.fit(frame, *about, thorough);
  }
  card_lost = whole(fit) ? 0 : card_lost + 1;
  if (card_lost > 0) return std::nullopt;
  return Found{fit->map.px_from_ref, noise_of(*fit, card), true};
}

// Looked for where the card, or the way so far, says that it went; then where it was.
std::optional<Found> CameraFollower::Inside::background_now(const clip::Frame& frame,
                                                            const std::optional<Found>& card_now) {
  if (!background_there) return std::nullopt;
  const Similarity now = card_now ? card_now->px_from_ref : predicted();
  GroupMap gone = background_map;
  gone.px_from_ref = after(after(now, then.inverse()), gone.px_from_ref);
  std::optional<GroupFit> fit = find_background(frame, gone);
  if (!fit) fit = find_background(frame, background_map);
  if (!fit && !card_now && background_lost % search_every == 0) {
    const auto about = background.search(frame, background_map, std::max(24, width_px / 40));
    if (about) fit = find_background(frame, *about);
  }
  background_lost = fit ? 0 : background_lost + 1;
  if (!fit) return std::nullopt;
  background_map = fit->map;
  const Similarity here = background_map.about(middle(), picture_middle());
  then = card_now ? now : after(here, parallax);
  return Found{here, noise_of(*fit, background)};
}

bool CameraFollower::Inside::card_goes_alone(const Similarity& card_now, const Similarity& back_now) const {
  const Point at = card.middle();
  const Similarity expected = after(back_now, parallax);
  if (std::hypot(card_now.a - expected.a, card_now.b - expected.b) > knocked_turn) return true;
  if (distance(card_now.map(at), expected.map(at)) > knocked_spreads * card.spread_px()) return true;
  return distance(back_now.map(at), base_background.map(at)) < background_still_px &&
         distance(card_now.map(at), base_card.map(at)) > knocked_px;
}

// A card that slides slowly is seen only against where it was when the background began to stand still.
void CameraFollower::Inside::rebase(const Similarity& card_now, const Similarity& back_now) {
  const Point at = card.middle();
  if (distance(back_now.map(at), base_background.map(at)) < background_still_px) return;
  path.background_agreed = path.background_agreed || distance(card_now.map(at), at) > noted_px;
  base_card = card_now;
  base_background = back_now;
  parallax = after(back_now.inverse(), card_now);
}

// By the card, unless the background says that the card moved by itself.
std::optional<Found> CameraFollower::Inside::by_both(const clip::Frame& frame) {
  const auto card_now = find_card(frame);
  if (card_now && rest.at_rest() && Rest::same(unlike(card_now->px_from_ref, rest.held()), card_now->noise)) {
    return card_now;
  }
  const bool plain = card_now && !rest.at_rest() && !doubt_since_s;
  if (plain && frame.number % look_behind_every != 0) {
    card_px = card_now->px_from_ref;
    return card_now;
  }
  const auto back_now = background_now(frame, card_now);
  if (!back_now) {
    if (card_now) card_px = card_now->px_from_ref;
    return card_now;
  }
  const Found by_background{after(back_now->px_from_ref, parallax), back_now->noise};
  if (!card_now) return by_background;
  const Similarity card_at = card_now->px_from_ref;
  if (card_goes_alone(card_at, back_now->px_from_ref)) {
    if (!doubt_since_s) doubt_since_s = frame.time_s;
    if (frame.time_s - *doubt_since_s >= knocked_s) {
      path.card_moved_s = *doubt_since_s;
      path.card_moved_px = distance(card_at.map(card.middle()), by_background.px_from_ref.map(card.middle()));
    }
    return by_background;
  }
  doubt_since_s.reset();
  rebase(card_at, back_now->px_from_ref);
  card_px = card_at;
  return card_now;
}

std::optional<Found> CameraFollower::Inside::by_background(const clip::Frame& frame) {
  const auto now = background_now(frame, std::nullopt);
  if (!now) return std::nullopt;
  return Found{after(now->px_from_ref, parallax), now->noise};
}

void CameraFollower::Inside::use(View& view, const std::optional<Found>& found) {
  if (!found) {
    ++lost;
    view.assumed = rest.at_rest();
    view.known = view.assumed;
    view.ref_from_px = last.inverse();
    last_moving = false;
    return;
  }
  view.card_seen = found->by_card;
  const Similarity now = rest.take(found->px_from_ref, view.time_s, found->noise,
                                   [&](const Similarity& a, const Similarity& b) { return unlike(a, b); });
  last_moving = !rest.at_rest() && lost == 0;
  lost = 0;
  before_last = last;
  last = now;
  view.ref_from_px = now.inverse();
}

void CameraFollower::Inside::remember_way(const View& view) {
  const Point at = middle();
  const double away = distance(view.ref_from_px.map(at), at);
  if (view.known && away > noted_px && !path.moved_s) path.moved_s = view.time_s;
  if (view.known) path.moved_px = std::max(path.moved_px, away);
}

CameraFollower::CameraFollower() : inside_(std::make_unique<Inside>()) {}
CameraFollower::CameraFollower(CameraFollower&&) noexcept = default;
CameraFollower& CameraFollower::operator=(CameraFollower&&) noexcept = default;
CameraFollower::~CameraFollower() = default;

View CameraFollower::push(const clip::Frame& frame) {
  Inside& in = *inside_;
  View view;
  view.frame = frame.number;
  view.time_s = frame.time_s;
  if (in.path.views.empty()) {
    in.start(frame);
  } else if (!in.card_counts() && !in.background_there) {
    view.ref_from_px = in.last.inverse();
    view.assumed = true;
  } else if (in.lost == 0 && in.looks_still(frame)) {
    view.ref_from_px = in.rest.held().inverse();
    view.card_seen = in.card_counts();
    in.doubt_since_s.reset();
  } else {
    in.use(view, in.card_counts() ? in.by_both(frame) : in.by_background(frame));
  }
  view.card_stands = !in.path.card_moved_s;
  in.remember_way(view);
  in.path.views.push_back(view);
  return view;
}

bool CameraFollower::watches_card() const { return inside_->card_told; }

void CameraFollower::watch_card(const clip::Frame& frame, const std::vector<std::array<Point, 4>>& ref_quads) {
  Inside& in = *inside_;
  in.card_told = true;
  const Similarity ref_from_px = in.path.views.back().ref_from_px;
  const Similarity px_from_ref = ref_from_px.inverse();
  Point low = ref_quads.front()[0];
  Point high = low;
  std::vector<std::array<Point, 4>> quads_px = ref_quads;
  for (auto& quad : quads_px) {
    for (Point& corner : quad) {
      low = {std::min(low.x, corner.x), std::min(low.y, corner.y)};
      high = {std::max(high.x, corner.x), std::max(high.y, corner.y)};
      corner = px_from_ref.map(corner);
    }
  }
  for (MarkedPatch& patch : mark_card(clip::upright_picture(frame), quads_px))
    in.card.add(std::move(patch), ref_from_px);
  in.corners = in.card.outermost();
  in.card_px = in.base_card = px_from_ref;
  in.background.drop_inside({static_cast<int>(low.x) - patch_half, static_cast<int>(low.y) - patch_half,
                             static_cast<int>(high.x - low.x) + 2 * patch_half + 1,
                             static_cast<int>(high.y - low.y) + 2 * patch_half + 1});
  in.background_there = in.background.size() >= least_background;
}

CameraPath CameraFollower::finish() {
  CameraPath& path = inside_->path;
  const Point at = inside_->middle();
  constexpr double elsewhere_px = 1.0;
  for (auto from = path.views.begin(); from != path.views.end();) {
    const auto end = std::find_if(from, path.views.end(), [](const View& v) { return !v.assumed; });
    if (end == from) {
      ++from;
      continue;
    }
    if (end != path.views.end() &&
        (!end->known || distance(end->ref_from_px.map(at), from->ref_from_px.map(at)) > elsewhere_px)) {
      std::for_each(from, end, [](View& v) { v.known = false; });
    }
    from = end;
  }
  if (inside_->background_there) path.witness = Witness::background;
  if (inside_->card.size() >= least_card) path.witness = Witness::card;
  return std::move(path);
}

}  // namespace risetrace::camera
