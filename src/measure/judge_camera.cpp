#include "measure/judge_camera.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string>
#include <vector>

#include "base/rounded.h"
#include "math/statistics.h"

namespace risetrace::measure {
namespace {

constexpr double noted_px = 1.0;  // under it, a tripod on a wooden floor
constexpr double noted_unseen_s = 0.6;

using Views = std::vector<camera::View>;

struct Run {
  Views::const_iterator begin;
  Views::const_iterator end;

  [[nodiscard]] double from_s() const { return begin->time_s; }
  [[nodiscard]] double to_s() const { return std::prev(end)->time_s; }
  [[nodiscard]] double lasts_s() const { return to_s() - from_s(); }
};

// The runs of frames for which `is` holds that are long enough to be noted.
template <typename Is>
std::vector<Run> long_runs(const Views& views, const Is& is) {
  std::vector<Run> runs;
  auto end = views.begin();
  while (true) {
    const auto begin = std::find_if(end, views.end(), is);
    if (begin == views.end()) return runs;
    end = std::find_if_not(begin, views.end(), is);
    if (const Run run{begin, end}; run.lasts_s() > noted_unseen_s) runs.push_back(run);
  }
}

bool unknown(const camera::View& view) { return !view.known; }
bool unseen(const camera::View& view) { return view.known && view.assumed; }

std::string in_cm(const Measurement& m, double px) {
  return m.scale.px_per_cm ? " (" + rounded(px / *m.scale.px_per_cm, 1) + " cm in the card's plane)" : "";
}

const char* what_is_told(const Measurement& m) { return m.asked.test == Test::lunge ? "angles" : "heights"; }

std::string how_sure(const Measurement& m) {
  const camera::CameraPath& camera = m.camera;
  if (camera.witness == camera::Witness::background) {
    return " It shows in what stands behind, farther away than the foot: a camera that was also carried aside is not "
           "taken "
           "out in full. A card in view is surer.";
  }
  if (camera.background_agreed) return "";
  return std::string(" Only the card shows it: if it was the card that moved, ") + what_is_told(m) +
         " are wrong from then on; look at the overlay.";
}

struct Moved {
  double px = 0.0;
  std::optional<double> first_s;  // when it first was more than noted_px
};

// Farthest that anything was moved by the camera: what the follower says, of the card or the middle, and the heel,
// which a turn about the card takes farther.
Moved farthest(const Measurement& m) {
  Moved moved{m.camera.moved_px, m.camera.moved_s};
  if (m.camera.witness == camera::Witness::none) return moved;
  for (const sticker::TrackSample& s : m.track.samples) {
    const camera::View view = camera::view_of(m.camera, s.frame);
    if (!s.seen || !view.known || view.assumed) continue;
    const Point there = view.ref_from_px.map(s.px);
    const double away_px = std::hypot(there.x - s.px.x, there.y - s.px.y);
    moved.px = std::max(moved.px, away_px);
    if (away_px > noted_px && s.time_s < moved.first_s.value_or(1e300)) moved.first_s = s.time_s;
  }
  return moved;
}

Note moved_note(const Measurement& m, const Moved& moved) {
  return {"camera-moved",
          "The camera moved, by up to " + rounded(moved.px, 1) + " pixels" + in_cm(m, moved.px) +
              ", and this was taken out of the " + what_is_told(m) + "." + how_sure(m),
          moved.first_s};
}

bool by_background(const camera::View& view) { return view.known && !view.assumed && !view.card_seen; }

// Of a place of the picture, in the reference view.
double moved_px(const Run& run, Point px) {
  const Point first = run.begin->ref_from_px.map(px);
  double most = 0;
  for (auto view = run.begin; view != run.end; ++view) {
    const Point here = view->ref_from_px.map(px);
    most = std::max(most, std::hypot(here.x - first.x, here.y - first.y));
  }
  return most;
}

// The card was measured, and for a while the camera that moved was followed without it.
void note_card_out_of_sight(Measurement& m) {
  if (m.camera.witness != camera::Witness::card || m.track.samples.empty()) return;
  const Point heel_px = m.track.samples.front().px;
  std::vector<Run> runs = long_runs(m.camera.views, by_background);
  std::erase_if(runs, [&](const Run& run) { return moved_px(run, heel_px) < noted_px; });
  const auto longest =
      std::max_element(runs.begin(), runs.end(), [](const Run& a, const Run& b) { return a.lasts_s() < b.lasts_s(); });
  if (longest == runs.end()) return;
  m.notes.push_back({"card-out-of-sight",
                     "From " + rounded(longest->from_s(), 1) + " s to " + rounded(longest->to_s(), 1) +
                         " s the card did not show how the camera moved, and what stands behind took its place. That "
                         "moves less in the picture than the foot does where a hand carries the camera aside or "
                         "nearer: " +
                         what_is_told(m) + " are then off by more than they say. Leave the card in view.",
                     longest->from_s()});
}

}  // namespace

std::optional<Error> camera_to_blame(const camera::CameraPath& camera) {
  constexpr double blamed_share = 0.2;  // then too many reps of a set are missed
  const auto lost = std::count_if(camera.views.begin(), camera.views.end(), unknown);
  if (static_cast<double>(lost) <= blamed_share * static_cast<double>(camera.views.size())) return std::nullopt;
  return Error{Fault::camera_lost,
               "or the card did: in " + std::to_string(lost) + " of " + std::to_string(camera.views.size()) +
                   " frames it could not be told how the camera stood",
               "stand phone and card so that neither moves"};
}

void add_camera_notes(Measurement& m) {
  const camera::CameraPath& camera = m.camera;
  const Views& views = camera.views;
  if (views.empty()) return;
  if (const Moved moved = farthest(m); moved.px > noted_px) m.notes.push_back(moved_note(m, moved));
  if (camera.card_moved_s && !has_note(m.scale.notes, "card-moved")) {
    m.notes.push_back(
        {"card-moved",
         "The card was moved, by " + rounded(camera.card_moved_px, 1) +
             " pixels, while what is behind it stood still: centimetres are by the card as it stood before.",
         camera.card_moved_s});
  }
  note_card_out_of_sight(m);
  const auto lost = std::count_if(views.begin(), views.end(), unknown);
  if (lost > 0) {
    m.notes.push_back({"camera-lost",
                       "In " + std::to_string(lost) + (lost == 1 ? " frame" : " frames") +
                           " the camera moved more than could be followed; " + what_is_told(m) +
                           (m.asked.test == Test::lunge ? " there are left out." : " there are bridged."),
                       std::find_if(views.begin(), views.end(), unknown)->time_s});
  }
  const bool by_a_card = m.scale.from == scale::ScaleFrom::tags || m.scale.from == scale::ScaleFrom::id_1;
  const std::string why_unseen = by_a_card ? "the card could not be seen well" : "no card was measured";
  if (const std::vector<Run> runs = long_runs(views, unseen); !runs.empty()) {
    const Run& run = runs.front();
    m.notes.push_back({"camera-unseen",
                       "From " + rounded(run.from_s(), 1) + " s to " + rounded(run.to_s(), 1) + " s " + why_unseen +
                           " and nothing else showed whether the camera moved; it is taken to have stood still.",
                       run.from_s()});
  }
  if (camera.witness == camera::Witness::none) {
    m.notes.push_back({"camera-not-checked",
                       std::string("Nothing in the picture is marked well enough to show whether the camera stood "
                                   "still: ") +
                           what_is_told(m) + " are right only if it did.",
                       std::nullopt});
  }
}

std::optional<Error> turn_to_blame(const scale::Scale& scale) {
  if (!scale.card_outline_px) return std::nullopt;
  const auto& [top_left, top_right, bottom_right, bottom_left] = *scale.card_outline_px;
  const double right = (top_left.x + top_right.x - bottom_left.x - bottom_right.x) / 2;
  const double up = (bottom_left.y + bottom_right.y - top_left.y - top_right.y) / 2;
  if (up > std::abs(right)) return std::nullopt;
  const bool on_head = -up > std::abs(right);
  const std::string way = on_head ? "on its head" : right > 0 ? "on its right side" : "on its left side";
  return Error{Fault::no_movement, "in the picture the card stands " + way + ", and the heel would rise that way",
               "turn the clip until the card stands upright in it, or stand the card upright, and measure again"};
}

bool moves_sideways(const sticker::Track& track) {
  std::vector<double> across;
  std::vector<double> down;
  for (const sticker::TrackSample& s : track.samples) {
    if (!s.seen) continue;
    across.push_back(s.px.x);
    down.push_back(s.px.y);
  }
  return !across.empty() && math::robust_sd(across) > math::robust_sd(down);
}

}  // namespace risetrace::measure
