#include "beat/hear_beat.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "sounds.h"

namespace risetrace {
namespace {

bool has_note(const beat::Beats& beats, const std::string& code) {
  for (const Note& note : beats.notes) {
    if (note.code == code) return true;
  }
  return false;
}

RC_GTEST_PROP(HearBeat, HearsWhatWasMade, ()) {
  beat::ClickTrackPlan plan;
  double bpm = *rc::gen::inRange(60, 240);
  const int steps = *rc::gen::inRange(1, 4);
  for (int i = 0; i < steps && bpm >= 30.0; ++i) {
    plan.steps.push_back({bpm, *rc::gen::inRange(9, 15)});
    bpm -= *rc::gen::inRange(2, 15);
  }
  const auto track = beat::make_click_track(plan);
  RC_ASSERT(track.ok());
  const beat::Beats beats = test::heard_in(test::as_sound(*track));
  RC_ASSERT(beats.clicks.size() == track->beats.size());
  for (std::size_t i = 0; i < beats.clicks.size(); ++i) {
    RC_ASSERT(std::abs(beats.clicks[i].time_s - track->beats[i].time_s) < 0.0004);
    RC_ASSERT(beats.clicks[i].accent == (track->beats[i].kind == beat::BeatKind::accent));
  }
  RC_ASSERT(beats.steps.size() == plan.steps.size());
  for (std::size_t s = 0; s < plan.steps.size(); ++s) {
    RC_ASSERT(std::abs(beats.steps[s].bpm - plan.steps[s].bpm) < 0.03);
    // The run-in has the first step's tempo: heard alone, it belongs to that step.
    RC_ASSERT(beats.steps[s].beats == plan.steps[s].beats + (s == 0 ? beat::run_in_beats : 0));
    RC_ASSERT(beats.steps[s].heard == beats.steps[s].beats);
    if (s > 0) RC_ASSERT(beats.steps[s].from_s >= beats.steps[s - 1].to_s - 1e-9);
  }
  RC_ASSERT(beats.bpm.has_value() == (plan.steps.size() == 1));
  RC_ASSERT(beats.notes.empty());
  RC_ASSERT(beats.thuds.empty());
}

RC_GTEST_PROP(HearBeat, AnyMetronomeLouderOrSofterLaterOrEarlier, ()) {
  const double bpm = *rc::gen::inRange(300, 2400) / 10.0;
  test::Strike how;
  how.tone_hz = *rc::gen::inRange(800, 6000);
  how.decay_s = *rc::gen::inRange(2, 30) / 1000.0;
  how.attack_s = *rc::gen::inRange(0, 20) / 10000.0;
  how.level = std::pow(10.0, -*rc::gen::inRange(0, 50) / 20.0);
  const auto times_s = test::even_times(0.7, bpm, 12);
  test::Sound sound = test::silence(times_s.back() + 1.0);
  for (const double at_s : times_s) test::strike(sound, at_s, how);
  const beat::Beats beats = test::heard_in(sound, -3.2);
  RC_ASSERT(beats.steps.size() == 1U);
  RC_ASSERT(beats.bpm.has_value());
  RC_ASSERT(std::abs(*beats.bpm / bpm - 1.0) < 3e-4);
  RC_ASSERT(beats.clicks.size() == times_s.size());
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    RC_ASSERT(std::abs(beats.clicks[i].time_s - (times_s[i] - 3.2)) < 0.001);
  }
}

// How late a slow attack is given is within three of the stated uncertainties.
TEST(HearBeat, ASlowAttackIsStatedToBeLessSure) {
  for (const double attack_s : {0.0, 0.001, 0.002, 0.005}) {
    const auto times_s = test::even_times(1.0, 72.3, 30);
    test::Sound sound = test::silence(27.0);
    for (const double at_s : times_s) test::strike(sound, at_s, {1000.0, 0.03, attack_s, 0.5});
    const beat::Beats beats = test::heard_in(sound);
    const test::Errors errors = test::errors_of(beats, times_s);
    ASSERT_EQ(errors.found, 30);
    for (const beat::Click& click : beats.clicks) EXPECT_LT(errors.most_ms, 3000.0 * click.time_s_u) << attack_s;
    // A band 1 kHz wide takes about a millisecond to fill: 1 / sqrt(12) ms is 0.3 ms even for the sharpest.
    EXPECT_LT(beats.clicks[0].time_s_u, 0.0005 + 0.4 * attack_s);
  }
}

TEST(HearBeat, NoBeatIsSaidAndNoneInvented) {
  const auto expect_none = [](const test::Sound& sound, const char* what, const char* code) {
    const beat::Beats beats = test::heard_in(sound);
    EXPECT_TRUE(beats.steps.empty()) << what;
    EXPECT_TRUE(beats.clicks.empty()) << what;
    EXPECT_FALSE(beats.bpm) << what;
    EXPECT_TRUE(has_note(beats, code)) << what;
  };
  expect_none({}, "no sound", "no-sound");
  expect_none(test::silence(10.0), "silence", "sound-silent");
  for (unsigned seed = 1; seed <= 5; ++seed) {
    expect_none(test::white(30.0, seed), "white", "no-beat");
    expect_none(test::pink(30.0, seed), "pink", "no-beat");
    expect_none(test::babble(30.0, seed, 1), "a voice", "no-beat");
    expect_none(test::babble(30.0, seed, 3), "voices", "no-beat");
    expect_none(test::music(30.0, seed, 110.0, 0.02), "music played by hand", "no-beat");
    expect_none(test::landings(30.0, test::even_times(0.5, 150.0, 70), 0.006, seed), "a good hopper", "no-beat");
    expect_none(test::landings(30.0, test::even_times(0.5, 150.0, 70), 0.015, seed), "a hopper", "no-beat");
  }
}

TEST(HearBeat, ThudsAreApartFromClicks) {
  const auto times_s = test::even_times(1.0, 150.0, 60);
  test::Sound sound = test::silence(26.0);
  for (const double at_s : times_s) test::strike(sound, at_s, {});
  std::vector<double> landing_s;
  for (std::size_t i = 0; i < times_s.size(); ++i) landing_s.push_back(times_s[i] + 0.11);
  test::add(sound, test::landings(26.0, landing_s, 0.0, 3));
  const beat::Beats beats = test::heard_in(sound);
  EXPECT_EQ(beats.clicks.size(), 60U);
  ASSERT_EQ(beats.thuds.size(), 60U);
  for (std::size_t i = 0; i < 60; ++i) EXPECT_NEAR(beats.thuds[i].time_s, landing_s[i], 0.006);
}

TEST(HearBeat, LandingsNearTheBeatDoNotMoveIt) {
  const auto times_s = test::even_times(1.0, 150.0, 100);
  test::Sound sound = test::silence(42.0);
  for (const double at_s : times_s) test::strike(sound, at_s, {});
  test::add(sound, test::landings(42.0, times_s, 0.008, 3));  // nearly as loud, 8 ms about the click
  const beat::Beats beats = test::heard_in(sound);
  ASSERT_EQ(beats.steps.size(), 1U);
  EXPECT_NEAR(beats.steps[0].bpm, 150.0, 0.01);
  const double last_s = beats.steps[0].first_s + (beats.steps[0].beats - 1) * 60.0 / beats.steps[0].bpm;
  const double phase = (last_s - 1.0) / 0.4;
  EXPECT_LT(std::abs(phase - std::round(phase)) * 400.0, 1.0);  // ms
  EXPECT_GE(beats.steps[0].heard, 85);
}

TEST(HearBeat, MissingClicksAreBridgedAndCounted) {
  const auto times_s = test::even_times(1.0, 100.0, 100);
  test::Sound sound = test::silence(62.0);
  int struck = 0;
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    if (i % 10 == 3 || i % 10 == 4 || i % 10 == 8 || (i > 40 && i < 55)) continue;
    test::strike(sound, times_s[i], {});
    ++struck;
  }
  const beat::Beats beats = test::heard_in(sound);
  ASSERT_EQ(beats.steps.size(), 1U);
  EXPECT_EQ(beats.steps[0].beats, 100);
  EXPECT_EQ(beats.steps[0].heard, struck);
  EXPECT_NEAR(beats.steps[0].bpm, 100.0, 0.002);
  EXPECT_TRUE(has_note(beats, "beat-patchy"));
}

TEST(HearBeat, ABeatThatSlidesIsSaidAndHasNoTempo) {
  for (const double per_beat : {0.0002, 0.001, 0.004}) {
    std::vector<double> times_s;
    double at_s = 1.0;
    for (int i = 0; i < 100; ++i) {
      times_s.push_back(at_s);
      at_s += 0.5 * std::pow(1.0 + per_beat, i);
    }
    test::Sound sound = test::silence(at_s + 0.5);
    for (const double each_s : times_s) test::strike(sound, each_s, {});
    const beat::Beats beats = test::heard_in(sound);
    EXPECT_TRUE(beats.steps.empty()) << per_beat;
    EXPECT_FALSE(beats.bpm);
    EXPECT_TRUE(has_note(beats, "beat-drifts")) << per_beat;
    EXPECT_GE(beats.clicks.size(), 95U);
  }
}

TEST(HearBeat, SubdivisionsThatSoundAreBeats) {
  const auto times_s = test::even_times(1.0, 80.0, 40);
  test::Sound sound = test::silence(34.0);
  for (const double at_s : times_s) {
    test::strike(sound, at_s, {});
    test::strike(sound, at_s + 0.375, {1800.0, 0.008, 0.0, 0.2});
  }
  const beat::Beats beats = test::heard_in(sound);
  ASSERT_TRUE(beats.bpm);
  EXPECT_NEAR(*beats.bpm, 160.0, 0.01);
}

TEST(HearBeat, AccentsOfABarAreMarked) {
  const auto times_s = test::even_times(1.0, 90.0, 40);
  test::Sound sound = test::silence(29.0);
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    test::strike(sound, times_s[i], {i % 4 == 0 ? 2600.0 : 1800.0, 0.008, 0.0, i % 4 == 0 ? 0.8 : 0.3});
  }
  const beat::Beats beats = test::heard_in(sound);
  ASSERT_EQ(beats.clicks.size(), 40U);
  for (std::size_t i = 0; i < 40; ++i) EXPECT_EQ(beats.clicks[i].accent, i % 4 == 0) << i;
}

// The same sound in pieces of any size, and with a hole in it, gives the same clicks.
TEST(HearBeat, PiecesAndHolesDoNotMatter) {
  const auto times_s = test::even_times(1.0, 120.0, 60);
  test::Sound sound = test::silence(32.0);
  for (const double at_s : times_s) test::strike(sound, at_s, {});
  const beat::Beats whole = test::heard_in(sound);
  beat::BeatListener listener;
  std::size_t size = 1;
  for (std::size_t at = 0; at < sound.size(); at += size, size = size * 7 % 5003 + 1) {
    const std::size_t end = std::min(sound.size(), at + size);
    if (at > 480000 && at < 600000) continue;  // from 10 to 12.5 s
    listener.push({static_cast<double>(at) / 48000.0,
                   48000.0,
                   {sound.begin() + static_cast<long>(at), sound.begin() + static_cast<long>(end)}});
  }
  const beat::Beats holed = listener.finish();
  ASSERT_EQ(holed.steps.size(), 1U);
  EXPECT_EQ(holed.steps[0].beats, 60);
  EXPECT_NEAR(static_cast<double>(holed.steps[0].heard), 55.0, 1.0);
  EXPECT_NEAR(holed.clicks.back().time_s, whole.clicks.back().time_s, 0.00026);  // slots begin anew after the hole
}

TEST(HearBeat, OtherRatesGiveTheSameTimes) {
  for (const double rate_hz : {47990.0, 32000.0, 16000.0, 96000.0}) {
    clip::SoundPiece piece;
    piece.rate_hz = rate_hz;
    piece.samples.assign(static_cast<std::size_t>(22.0 * rate_hz), 0.0F);
    for (int k = 0; k < 40; ++k) {
      const double at_s = 1.0 + 0.5 * k;
      for (auto i = static_cast<std::size_t>(std::ceil(at_s * rate_hz)); i < (at_s + 0.05) * rate_hz; ++i) {
        const double since_s = static_cast<double>(i) / rate_hz - at_s;
        piece.samples[i] = static_cast<float>(0.5 * std::exp(-since_s / 0.008) * std::sin(6.2831853 * 1800 * since_s));
      }
    }
    beat::BeatListener listener;
    listener.push(piece);
    const beat::Beats beats = listener.finish();
    ASSERT_EQ(beats.clicks.size(), 40U) << rate_hz;
    for (int k = 0; k < 40; ++k) EXPECT_NEAR(beats.clicks[static_cast<std::size_t>(k)].time_s, 1.0 + 0.5 * k, 0.0005);
  }
}

}  // namespace
}  // namespace risetrace
