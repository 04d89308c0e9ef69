#include "measure/measure_lunge.h"

#include <algorithm>
#include <future>

#include "ankle/judge_lunge.h"
#include "ankle/read_angles.h"
#include "base/rounded.h"
#include "measure/judge_camera.h"
#include "measure/read_through.h"
#include "measure/stage_clock.h"
#include "sticker/track_lunge.h"

namespace risetrace::measure {
namespace {

constexpr double noted_strays = 0.05;  // of the frames seen

void add_scale(Measurement& m, Result<scale::Scale> scale) {
  std::string why = "none was asked for";
  if (scale) {
    m.scale = *std::move(scale);
  } else {
    why = scale.error().why;
  }
  if (m.asked.toe_px && !m.scale.cm_from_px) {
    m.notes.push_back({"no-scale",
                       "There is no scale, so no distance from toe to wall: show a card, or give --px-per-cm.",
                       std::nullopt});
  }
  // Without a scale only directions are told, by each picture's own upright: where the camera went does not matter.
  if (!m.scale.cm_from_px) m.camera = {};
  if (!m.scale.doubts.empty()) return;
  m.notes.push_back({"upright-by-picture",
                     "The vertical is the picture's, not a card's (" +
                         (m.scale.cm_from_px ? std::string("the scale was given by hand") : why) +
                         "): a phone that leans by a degree shifts the angle by a degree.",
                     std::nullopt});
}

std::optional<Error> outside(const Measurement& m) {
  const auto in = [](double value, int size) { return value >= 0 && value <= size - 1; };
  const auto& toe = m.asked.toe_px;
  const bool toe_in = !toe || (in(toe->x, m.clip.width_px) && in(toe->y, m.clip.height_px));
  if (toe_in && (!m.asked.wall_x_px || in(*m.asked.wall_x_px, m.clip.width_px))) return std::nullopt;
  return Error{Fault::option_wrong,
               std::string(toe_in ? "--wall" : "--toe") + " lies outside the picture of " +
                   std::to_string(m.clip.width_px) + " x " + std::to_string(m.clip.height_px) + " pixels",
               "give its place in the first frame, x right and y down from the top left"};
}

Outcome judge(Measurement& m, const model::Cards& cards) {
  const model::AngleRules& rules = m.asked.angles;
  const ankle::PlaneMap map(m.scale, m.clip.width_px, m.clip.height_px, cards, rules);
  const auto read = [&](double forward) {
    return ankle::read_angles(m.leg, m.camera, map, {forward, cards.view.localising_u_px, rules.stiff_within});
  };
  m.forward = ankle::facing_of_lunge(read(1.0), rules);
  if (!m.forward) return Error{Fault::no_lunge, "the shank stayed upright", ""};
  m.angles = read(*m.forward);
  Result<ankle::Lunge> lunge = ankle::judge_lunge(*m.angles, {m.asked.toe_px, m.asked.wall_x_px}, map, rules);
  if (!lunge) return lunge.error();
  m.lunge = *std::move(lunge);
  const auto strayed = static_cast<double>(m.angles->frames_strayed);
  if (strayed > noted_strays * static_cast<double>(m.angles->samples.size())) {
    m.notes.push_back({"leg-stickers-strayed",
                       "In " + std::to_string(m.angles->frames_strayed) +
                           " frames the stickers were not as far apart as in the rest; those are left out. Look at the "
                           "overlay: one may have come off, or something else was followed.",
                       std::nullopt});
  }
  return Done{};
}

void gather_notes(Measurement& m) {
  const auto take = [&](const Notes& notes) { m.notes.insert(m.notes.end(), notes.begin(), notes.end()); };
  take(m.clip.notes);
  take(m.scale.notes);
  take(m.lunge->notes);
  add_camera_notes(m);
  if (m.asked.side == Side::not_stated) {
    m.notes.push_back(
        {"side-not-stated", "One side view does not tell the left leg from the right: give --side.", std::nullopt});
  }
  std::stable_sort(m.notes.begin(), m.notes.end(),
                   [](const Note& a, const Note& b) { return a.t_s.value_or(-1) < b.t_s.value_or(-1); });
}

}  // namespace

Result<Measurement> measure_lunge(const std::string& path, const model::Cards& cards, const MeasureOptions& options,
                                  const Watcher& watcher) {
  Measurement m;
  StageClock clock(m.stage_times);
  m.asked = options.asked;
  if (auto right = scale::check(options.scale); !right) return right.error();
  Result<clip::ClipReader> opened = clip::ClipReader::open(path, for_stickers(options.read, options.scale));
  if (!opened) return opened.error();
  clip::ReadAhead reader(*std::move(opened));
  auto sha256 = std::async(std::launch::async, clip::sha256_of_file, path);
  Steps<sticker::LungeTracker> steps{
      {}, scale::ScaleFinder(cards, options.scale), sticker::LungeTracker(options.lunge_track)};
  const Outcome read = read_through(reader, steps, watcher);
  m.clip = reader.facts();
  clock.done("read and follow");
  if (!read) return read.error();
  if (const Outcome enough = long_enough(m.clip.frames); !enough) return enough.error();
  if (auto wrong = outside(m)) return *wrong;
  m.camera = steps.camera.finish();
  Result<sticker::LegTracks> leg = steps.tracker.finish();
  if (!leg) return leg.error();
  m.leg = *std::move(leg);
  m.track = *m.leg.knee;
  Result<std::string> hash = sha256.get();
  if (!hash) return hash.error();
  m.clip_sha256 = *std::move(hash);
  add_scale(m, steps.card.finish());
  if (auto judged = judge(m, cards); !judged) return judged.error();
  clock.done("judge");
  gather_notes(m);
  return m;
}

}  // namespace risetrace::measure
