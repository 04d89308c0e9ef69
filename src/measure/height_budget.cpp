#include "measure/height_budget.h"

#include <algorithm>
#include <cmath>

#include "base/gravity.h"
#include "math/uncertainty.h"
#include "measure/camera_sway.h"
#include "path/build_path.h"

namespace risetrace::measure {
namespace {

using math::Effects;

const path::PathSample& sample_at(const path::Path& path, double time_s) {
  const auto after = std::lower_bound(path.samples.begin(), path.samples.end(), time_s,
                                      [](const path::PathSample& s, double t) { return s.time_s < t; });
  return after == path.samples.end() ? path.samples.back() : *after;
}

// Where in the picture the heel stood and where it was at the top of a rep.
struct HeightInPicture {
  Point standing_px;
  Point peak_px;
};

// The inputs' effects, in cm, in this order: the scale's doubts, the standing level, each rep's peak, how far the heel
// has sunk: what sank it is one thing, and does not average out over the reps after it.
class Budget {
 public:
  Budget(const Measurement& m, double reading_u_cm) : m_(m), reading_u_cm_(reading_u_cm) {
    if (m.scale.cm_from_px) px_from_cm_ = m.scale.cm_from_px->inverse();
  }

  [[nodiscard]] bool scale_known() const { return px_from_cm_ && !m_.scale.doubts.empty(); }

  [[nodiscard]] Effects of_height(const raise::Rep& rep) const {
    Effects effects = own(rep);
    if (!scale_known()) return effects;
    const HeightInPicture seen = in_picture(rep);
    for (std::size_t i = 0; i < m_.scale.doubts.size(); ++i) {
      const scale::ScaleDoubt& doubt = m_.scale.doubts[i];
      effects[i] = doubt.map(seen.peak_px).y - doubt.map(seen.standing_px).y - rep.height_cm;
    }
    return effects;
  }

  // Without the scale's part.
  [[nodiscard]] Effects own(const raise::Rep& rep) const {
    const std::size_t doubts = m_.scale.doubts.size();
    Effects effects(doubts + 1 + m_.raises->reps.size() + 1, 0.0);
    effects[doubts] = -reading_u_cm_;
    effects[doubts + static_cast<std::size_t>(rep.n)] = reading_u_cm_;
    if (rep.floor_cm < -raise::sunk_cm) effects.back() = rep.floor_cm;
    return effects;
  }

 private:
  [[nodiscard]] HeightInPicture in_picture(const raise::Rep& rep) const {
    const double standing_cm = m_.raises->standing_cm;
    const double foot_cm = sample_at(m_.path, m_.raises->reps.front().start_s).across_cm;
    const double toes_cm = sample_at(m_.path, rep.peak_s).across_cm;
    return {px_from_cm_->map({foot_cm, standing_cm}), px_from_cm_->map({toes_cm, standing_cm + rep.height_cm})};
  }

  const Measurement& m_;
  double reading_u_cm_;
  std::optional<math::Homography> px_from_cm_;
};

std::vector<ScalePart> parts_of(const std::vector<scale::ScaleDoubt>& doubts, const Effects& effects,
                                double height_cm) {
  std::vector<ScalePart> parts;
  for (std::size_t i = 0; i < doubts.size(); ++i) {
    auto part = std::find_if(parts.begin(), parts.end(), [&](const ScalePart& p) { return p.from == doubts[i].from; });
    if (part == parts.end()) part = parts.insert(parts.end(), {doubts[i].from, 0.0});
    part->relative_u = std::hypot(part->relative_u, effects[i] / height_cm);
  }
  return parts;
}

// Of the whole set, from those of its reps.
void add_set_uncertainties(Measurement& m, const std::vector<Effects>& heights) {
  raise::RepSet& set = *m.raises;
  Effects total;
  bool all_known = true;
  std::size_t greatest = 0;
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    if (!set.reps[i].counted) continue;
    all_known = all_known && set.reps[i].height_cm_u;
    total = math::plus(total, 1, heights[i]);
    if (!set.reps[greatest].counted || set.reps[i].height_cm > set.reps[greatest].height_cm) greatest = i;
  }
  if (set.total_height_cm && all_known) set.total_height_cm_u = math::standard_u(total);
  if (set.greatest_height_cm) set.greatest_height_cm_u = set.reps[greatest].height_cm_u;
  if (m.work_j && set.total_height_cm_u) m.work_j_u = *m.asked.mass_kg * gravity_m_s2 * *set.total_height_cm_u / 100;
  m.scale_parts = parts_of(m.scale.doubts, heights[greatest], set.reps[greatest].height_cm);
}

}  // namespace

NoiseShares noise_shares(double cutoff_hz, double frame_rate_hz) {
  scale::Scale as_it_is;
  as_it_is.cm_from_px = math::Homography{};
  path::PathBuilder builder(as_it_is, {cutoff_hz, frame_rate_hz});
  const auto reach = static_cast<std::size_t>(std::ceil(frame_rate_hz));  // a second to either side
  std::vector<path::PathSample> answer;
  const auto take = [&](const std::vector<path::PathSample>& more) {
    answer.insert(answer.end(), more.begin(), more.end());
  };
  for (std::size_t i = 0; i <= 2 * reach; ++i) {
    const double time_s = static_cast<double>(i) / frame_rate_hz;
    take(builder.push({static_cast<std::int64_t>(i), time_s, {0, i == reach ? 1.0 : 0.0}, true}));
  }
  take(builder.finish());
  NoiseShares shares{0, 0};
  for (const path::PathSample& s : answer) shares.kept += s.up_cm * s.up_cm;
  shares.taken = 1 - 2 * answer.at(reach).up_cm + shares.kept;
  return shares;
}

double smooth_noise_cm(const Measurement& m) {
  return m.path.noise_cm * std::sqrt(noise_shares(m.asked.protocol.smooth_cutoff_hz, m.clip.frame_rate_hz).kept);
}

double reading_u_cm(const Measurement& m, const model::ViewPriors& priors) {
  if (!m.scale.px_per_cm || m.track.samples.empty()) return smooth_noise_cm(m);
  // A camera that never moved by a pixel is at rest: its sway is the noise of looking for it.
  const std::optional<double> sway = m.camera.moved_s ? sway_px(m.camera, m.track.samples.front().px) : std::nullopt;
  const double slow_px = std::hypot(priors.localising_u_px, priors.sway_left * sway.value_or(0));
  return std::hypot(smooth_noise_cm(m), slow_px / *m.scale.px_per_cm);
}

bool seen_about(const path::Path& path, double time_s, double frame_s) {
  // Over a frame or two the bridge between its neighbours is as good as a frame; over a movement it is a guess.
  const double reach_s = std::max(1.25 * frame_s, 0.06);
  bool before = false;
  bool after = false;
  for (const path::PathSample& s : path.samples) {
    if (!s.seen || std::abs(s.time_s - time_s) > reach_s) continue;
    before = before || s.time_s <= time_s;
    after = after || s.time_s >= time_s;
  }
  return before && after;
}

void add_height_uncertainties(Measurement& m, const model::ViewPriors& priors) {
  if (!m.raises || m.raises->reps.empty() || m.path.samples.empty()) return;
  raise::RepSet& set = *m.raises;
  const Budget budget(m, reading_u_cm(m, priors));
  std::vector<Effects> heights;
  for (raise::Rep& rep : set.reps) {
    heights.push_back(budget.of_height(rep));
    if (!seen_about(m.path, rep.peak_s, 1 / m.clip.frame_rate_hz)) continue;
    rep.height_cm_u_own = math::standard_u(budget.own(rep));
    if (budget.scale_known()) rep.height_cm_u = math::standard_u(heights.back());
  }
  if (!budget.scale_known() || !set.reference_height_cm) return;
  const std::size_t used = std::min(set.reps.size(), static_cast<std::size_t>(m.asked.protocol.reference_reps));
  Effects reference;
  bool reference_known = true;
  for (std::size_t i = 0; i < used; ++i) {
    reference = math::plus(reference, 1 / static_cast<double>(used), heights[i]);
    reference_known = reference_known && set.reps[i].height_cm_u;
  }
  if (reference_known) set.reference_height_cm_u = math::standard_u(reference);
  for (std::size_t i = 0; i < set.reps.size(); ++i) {
    if (!reference_known || !set.reps[i].height_cm_u) continue;
    const Effects apart = math::plus(heights[i], -*set.reps[i].of_reference, reference);
    set.reps[i].of_reference_u = math::standard_u(apart) / *set.reference_height_cm;
  }
  add_set_uncertainties(m, heights);
}

}  // namespace risetrace::measure
