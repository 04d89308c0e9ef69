#include "measure/height_budget.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "measure/time_budget.h"
#include "path/build_path.h"

namespace risetrace::measure {
namespace {

constexpr double px_per_cm = 10;
constexpr double scale_u = 0.01;  // relative, of the one doubt there is
constexpr double noise_cm = 0.01;

math::Homography up_in_cm(double px_a_cm) { return {{1 / px_a_cm, 0, 0, 0, -1 / px_a_cm, 0, 0, 0, 1}}; }

// Raised cosines of 2 s, 60 frames a second, heights as given, standing at 0.
Measurement set_of(const std::vector<double>& heights_cm) {
  Measurement m;
  m.clip.frame_rate_hz = 60;
  m.clip.width_px = 1000;
  m.clip.height_px = 1000;
  m.asked.protocol.smooth_cutoff_hz = 10;
  m.asked.protocol.reference_reps = 2;
  m.scale.px_per_cm = px_per_cm;
  m.scale.cm_from_px = up_in_cm(px_per_cm);
  scale::ScaleDoubt doubt;
  doubt.from = scale::DoubtFrom::plane_offset;
  doubt.cm_from_px = up_in_cm(px_per_cm / (1 + scale_u));
  m.scale.doubts = {doubt};
  m.path.noise_cm = noise_cm;
  for (std::size_t i = 0; i < heights_cm.size() * 120; ++i) {
    path::PathSample s;
    s.time_s = static_cast<double>(i) / 60;
    s.up_cm = heights_cm[i / 120] * (1 - std::cos(M_PI * s.time_s)) / 2;
    s.seen = true;
    m.path.samples.push_back(s);
    m.track.samples.push_back({static_cast<std::int64_t>(i), s.time_s, {500, 500 - px_per_cm * s.up_cm}, true});
  }
  m.raises.emplace();
  raise::RepSet& set = *m.raises;
  set.reference_height_cm = (heights_cm[0] + heights_cm[1]) / 2;
  set.total_height_cm = 0;
  for (std::size_t i = 0; i < heights_cm.size(); ++i) {
    raise::Rep rep;
    rep.n = static_cast<int>(i) + 1;
    rep.start_s = 2.0 * static_cast<double>(i) + 0.11;
    rep.peak_s = 2.0 * static_cast<double>(i) + 1;
    rep.end_s = 2.0 * static_cast<double>(i) + 1.89;
    rep.height_cm = heights_cm[i];
    rep.of_reference = heights_cm[i] / *set.reference_height_cm;
    rep.counted = true;
    *set.total_height_cm += rep.height_cm;
    set.greatest_height_cm = std::max(set.greatest_height_cm.value_or(0), rep.height_cm);
    set.reps.push_back(rep);
  }
  return m;
}

model::ViewPriors priors(double localising_u_px) {
  model::ViewPriors out;
  out.localising_u_px = localising_u_px;
  return out;
}

// White noise through the path's own filter.
TEST(NoiseShares, AreWhatThePathDoes) {
  scale::Scale scale;
  scale.cm_from_px = math::Homography{};
  for (const double rate_hz : {30.0, 60.0, 120.0, 240.0}) {
    std::mt19937 random(3);
    std::normal_distribution<double> normal(0, 1);
    path::PathBuilder builder(scale, {10, rate_hz});
    std::vector<path::PathSample> out;
    const auto take = [&](const std::vector<path::PathSample>& more) {
      out.insert(out.end(), more.begin(), more.end());
    };
    for (int i = 0; i < 20000; ++i) take(builder.push({i, i / rate_hz, {0, normal(random)}, true}));
    take(builder.finish());
    double kept = 0;
    double taken = 0;
    for (const path::PathSample& s : out) {
      kept += s.up_cm * s.up_cm / static_cast<double>(out.size());
      taken += std::pow(s.up_raw_cm - s.up_cm, 2) / static_cast<double>(out.size());
    }
    const NoiseShares shares = noise_shares(10, rate_hz);
    EXPECT_NEAR(shares.kept, kept, 0.05 * kept) << rate_hz;
    EXPECT_NEAR(shares.taken, taken, 0.05 * taken) << rate_hz;
  }
}

TEST(HeightBudget, ScaleAddsUpAndPeaksAverageOut) {
  Measurement m = set_of({10, 9, 8, 7});
  m.asked.mass_kg = 70;
  m.work_j = 70 * 9.80665 * 0.34;
  add_height_uncertainties(m, priors(0));
  const raise::RepSet& set = *m.raises;
  const double reading_cm = smooth_noise_cm(m);
  EXPECT_NEAR(reading_cm, noise_cm * std::sqrt(2 * 10.38 / 60), 0.02 * noise_cm);
  EXPECT_NEAR(*set.reps[0].height_cm_u_own, std::sqrt(2.0) * reading_cm, 1e-12);
  EXPECT_NEAR(*set.reps[0].height_cm_u, std::hypot(10 * scale_u, std::sqrt(2.0) * reading_cm), 1e-9);
  // 34 cm in all; four peaks of their own, one standing level four times.
  EXPECT_NEAR(*set.total_height_cm_u, std::hypot(34 * scale_u, 2 * reading_cm, 4 * reading_cm), 1e-9);
  EXPECT_NEAR(*m.work_j_u, 70 * 9.80665 * *set.total_height_cm_u / 100, 1e-9);
  EXPECT_NEAR(*set.reference_height_cm_u, std::hypot(9.5 * scale_u, std::sqrt(0.5) * reading_cm, reading_cm), 1e-9);
  EXPECT_DOUBLE_EQ(*set.greatest_height_cm_u, *set.reps[0].height_cm_u);
  ASSERT_EQ(m.scale_parts.size(), 1U);
  EXPECT_NEAR(m.scale_parts[0].relative_u, scale_u, 1e-9);
}

TEST(HeightBudget, ARatioIsFreeOfTheScale) {
  Measurement m = set_of({10, 9, 8, 7});
  add_height_uncertainties(m, priors(0));
  const raise::RepSet& set = *m.raises;
  const double reading_cm = smooth_noise_cm(m);
  const double ratio = 8 / 9.5;
  // Its peak, the two of the reference, and the standing level, which lowers both.
  const double expected = std::hypot(reading_cm, ratio * reading_cm / std::sqrt(2.0), (1 - ratio) * reading_cm) / 9.5;
  EXPECT_NEAR(*set.reps[2].of_reference_u, expected, 1e-9);
  // A rep of the reference shares its own peak with it.
  const double first = 10 / 9.5;
  EXPECT_NEAR(*set.reps[0].of_reference_u,
              std::hypot((1 - first / 2) * reading_cm, first / 2 * reading_cm, (1 - first) * reading_cm) / 9.5, 1e-9);
}

// A sway of 20 px from side to side, a sine, has a standard deviation of 20 / sqrt 2 px; 2 % of it stay in each
// reading, at 10 px/cm 0.0283 cm.
TEST(HeightBudget, WhatIsLeftOfAHandsSwayIsInIt) {
  Measurement m = set_of({10, 9});
  model::ViewPriors left = priors(0);
  left.sway_left = 0.02;
  m.camera.witness = camera::Witness::card;
  for (std::size_t i = 0; i < m.track.samples.size(); ++i) {
    camera::View view;
    view.ref_from_px.shift = {0, 20 * std::sin(2 * M_PI * static_cast<double>(i) / 60)};
    m.camera.views.push_back(view);
  }
  add_height_uncertainties(m, left);
  EXPECT_NEAR(*m.raises->reps[0].height_cm_u_own, std::sqrt(2.0) * smooth_noise_cm(m), 1e-12);  // never seen to move
  m.camera.moved_s = 0.1;
  add_height_uncertainties(m, left);
  EXPECT_NEAR(*m.raises->reps[0].height_cm_u_own, std::sqrt(2.0) * std::hypot(smooth_noise_cm(m), 0.0283), 1e-4);
}

TEST(HeightBudget, WithoutTheScalesDoubtsOnlyTheOwnPartIsKnown) {
  Measurement m = set_of({10, 9});
  m.scale.doubts.clear();
  add_height_uncertainties(m, priors(0.035));
  EXPECT_NEAR(*m.raises->reps[0].height_cm_u_own, std::sqrt(2.0) * std::hypot(smooth_noise_cm(m), 0.0035), 1e-12);
  EXPECT_FALSE(m.raises->reps[0].height_cm_u.has_value());
  EXPECT_FALSE(m.raises->reps[0].of_reference_u.has_value());
  EXPECT_FALSE(m.raises->total_height_cm_u.has_value());
  EXPECT_TRUE(m.scale_parts.empty());
}

void hide(Measurement& m, double from_s, double to_s) {
  for (path::PathSample& s : m.path.samples) s.seen = s.seen && (s.time_s < from_s || s.time_s > to_s);
}

TEST(HeightBudget, OfABridgedPeakAndWhatRestsOnItNothingIsKnown) {
  Measurement m = set_of({10, 9, 8, 7});
  m.asked.mass_kg = 70;
  m.work_j = 70 * 9.80665 * 0.34;
  hide(m, 4.95, 5.05);
  Measurement first = m;
  add_height_uncertainties(m, priors(0));
  const raise::RepSet& set = *m.raises;
  EXPECT_FALSE(set.reps[2].height_cm_u || set.reps[2].height_cm_u_own || set.reps[2].of_reference_u);
  EXPECT_FALSE(set.total_height_cm_u || m.work_j_u);
  EXPECT_TRUE(set.reps[3].height_cm_u && set.reps[3].of_reference_u);
  EXPECT_TRUE(set.reference_height_cm_u && set.greatest_height_cm_u);
  hide(first, 0.95, 1.05);
  add_height_uncertainties(first, priors(0));
  EXPECT_FALSE(first.raises->reference_height_cm_u || first.raises->greatest_height_cm_u);
  EXPECT_FALSE(first.raises->reps[3].of_reference_u);
  EXPECT_TRUE(first.raises->reps[3].height_cm_u);
}

TEST(HeightBudget, HowFarTheHeelSeemsToHaveSunkIsInTheRepAfterIt) {
  Measurement m = set_of({10, 10, 10});
  m.raises->reps[1].floor_cm = -0.2;
  m.raises->reps[2].floor_cm = -0.9;
  add_height_uncertainties(m, priors(0));
  EXPECT_NEAR(*m.raises->reps[1].height_cm_u_own, *m.raises->reps[0].height_cm_u_own, 1e-9);
  EXPECT_NEAR(*m.raises->reps[2].height_cm_u_own, std::hypot(0.9, *m.raises->reps[0].height_cm_u_own), 0.01);
  EXPECT_GT(*m.raises->reps[2].height_cm_u, 0.9);
}

// One sticker that slipped makes all heights after it too low, not each in its own way.
TEST(HeightBudget, WhatSankTheHeelDoesNotAverageOut) {
  Measurement m = set_of({10, 10, 10, 10});
  for (const std::size_t rep : {1U, 2U, 3U}) m.raises->reps[rep].floor_cm = -1;
  add_height_uncertainties(m, priors(0));
  EXPECT_NEAR(*m.raises->total_height_cm_u, std::hypot(3, 40 * scale_u), 0.02);
}

TEST(HeightBudget, AGapBesideThePeakTakesNothingAway) {
  Measurement m = set_of({10, 9});
  hide(m, 1.1, 1.3);
  add_height_uncertainties(m, priors(0));
  EXPECT_TRUE(m.raises->reps[0].height_cm_u && m.raises->total_height_cm_u);
}

TEST(TimeBudget, NoiseOverSlope) {
  Measurement m = set_of({10, 9});
  m.raises->set_end.why = raise::EndWhy::low_height;
  m.raises->set_end.after_rep = 2;
  model::ViewPriors still;
  add_time_uncertainties(m, still);
  const raise::Rep& rep = m.raises->reps[0];
  // h = 5 (1 - cos pi t): at 0.11 s the slope is 5 pi sin(0.11 pi) = 5.32 cm/s.
  const double slope = 5 * M_PI * std::sin(0.11 * M_PI);
  const double bend = 5 * M_PI * M_PI * std::cos(0.11 * M_PI);
  const double straight_cm = 0.0913 * bend / 3600;
  EXPECT_NEAR(*rep.start_s_u, std::hypot(std::sqrt(2.0) * smooth_noise_cm(m), straight_cm) / slope, 1e-4);
  EXPECT_GT(*rep.peak_s_u, 0.5 * smooth_noise_cm(m) / (5 * M_PI * std::sin(0.045 * M_PI)));
  EXPECT_LT(*rep.peak_s_u, 1.5 * smooth_noise_cm(m) / (5 * M_PI * std::sin(0.045 * M_PI)));
  EXPECT_DOUBLE_EQ(*m.raises->set_end.t_s_u, *m.raises->reps[1].end_s_u);
}

TEST(TimeBudget, ARepThatWasThereBeforeTheStickerHasNoKnownStart) {
  Measurement m = set_of({10, 9});
  m.path.samples.erase(m.path.samples.begin(), m.path.samples.begin() + 24);
  m.raises->reps[0].start_s = m.path.samples.front().time_s;
  add_time_uncertainties(m, {});
  EXPECT_FALSE(m.raises->reps[0].start_s_u.has_value());
  EXPECT_TRUE(m.raises->reps[0].end_s_u.has_value());
}

// A top of 0.5 % lasts from 0.045 s before the peak to 0.045 s after it.
TEST(TimeBudget, AnInstantThatWasNotSeenHasNone) {
  Measurement m = set_of({10, 9, 8, 7});
  hide(m, 0.91, 1.09);
  hide(m, 3.02, 3.16);
  hide(m, 3.80, 3.95);
  hide(m, 5.2, 5.4);
  hide(m, 6.99, 7.01);
  add_time_uncertainties(m, {});
  const std::vector<raise::Rep>& reps = m.raises->reps;
  EXPECT_FALSE(reps[0].peak_s_u) << "the top itself";
  EXPECT_TRUE(reps[0].start_s_u && reps[0].end_s_u);
  EXPECT_FALSE(reps[1].peak_s_u) << "one side of the top";
  EXPECT_FALSE(reps[1].end_s_u);
  EXPECT_TRUE(reps[2].start_s_u && reps[2].peak_s_u && reps[2].end_s_u) << "a gap elsewhere";
  EXPECT_TRUE(reps[3].peak_s_u) << "a single frame, bridged as good as seen";
}

TEST(TimeBudget, APathThatEndsAtTheTopHasNoKnownPeak) {
  Measurement m = set_of({10, 9});
  std::erase_if(m.path.samples, [](const path::PathSample& s) { return s.time_s > 3.02; });
  add_time_uncertainties(m, {});
  EXPECT_TRUE(m.raises->reps[0].peak_s_u.has_value());
  EXPECT_FALSE(m.raises->reps[1].peak_s_u.has_value());
  EXPECT_FALSE(m.raises->reps[1].end_s_u.has_value());
}

TEST(TimeBudget, TheReadoutCountsAwayFromTheMiddle) {
  Measurement still = set_of({10, 9});
  Measurement rolling = still;
  model::ViewPriors priors;
  add_time_uncertainties(still, priors);
  priors.readout_most_s = 0.03;
  add_time_uncertainties(rolling, priors);
  // At the peak the sticker is 100 of 1000 rows above the middle.
  const double row_s = 0.1 * 0.03 / std::sqrt(3.0);
  EXPECT_NEAR(*rolling.raises->reps[0].peak_s_u, std::hypot(*still.raises->reps[0].peak_s_u, row_s), 1e-5);
  EXPECT_FALSE(rolling.raises->set_end.t_s_u.has_value());
}

}  // namespace
}  // namespace risetrace::measure
