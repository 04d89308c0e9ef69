// How long nothing may be known of the heel, and whom it is put down to.
#include "measure/judge.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "measure/heel_path.h"
#include "measure/judge_camera.h"

namespace risetrace::measure {
namespace {

constexpr double rate_hz = 60;

// Ten seconds of a heel that rises and falls every two, all seen.
Measurement ten_seconds() {
  Measurement m;
  m.clip.frame_rate_hz = rate_hz;
  m.asked.protocol.step_across_cm = 8;
  m.scale.cm_from_px = math::Homography{{0.1, 0, 0, 0, -0.1, 0, 0, 0, 1}};
  for (std::int64_t i = 0; i < 600; ++i) {
    const double time_s = static_cast<double>(i) / rate_hz;
    m.track.samples.push_back({i, time_s, {500, 500 - 50 * (1 - std::cos(M_PI * time_s))}, true});
    camera::View view;
    view.frame = i;
    view.time_s = time_s;
    m.camera.views.push_back(view);
  }
  m.raises.emplace();
  return m;
}

void hide(Measurement& m, double from_s, double to_s) {
  for (sticker::TrackSample& s : m.track.samples) s.seen = s.seen && (s.time_s < from_s || s.time_s > to_s);
}

void lose_camera(Measurement& m, double from_s, double to_s) {
  for (camera::View& v : m.camera.views) v.known = v.known && (v.time_s < from_s || v.time_s > to_s);
}

std::optional<Error> judged(Measurement m) {
  m.path = heel_path(m, 10);
  return lost_too_long(m);
}

TEST(LostTooLong, ShortGapsApartHideNoRep) {
  Measurement m = ten_seconds();
  EXPECT_FALSE(judged(m));
  hide(m, 2, 2.5);
  lose_camera(m, 4, 4.5);
  EXPECT_FALSE(judged(m));
}

TEST(LostTooLong, AGapOfTheStickerOrOfTheCameraAlone) {
  Measurement hidden = ten_seconds();
  hide(hidden, 2, 2.7);
  ASSERT_TRUE(judged(hidden));
  EXPECT_EQ(judged(hidden)->fault, Fault::sticker_lost);
  EXPECT_EQ(judged(hidden)->why.find("camera"), std::string::npos) << judged(hidden)->why;
  Measurement moved = ten_seconds();
  lose_camera(moved, 2, 2.7);
  ASSERT_TRUE(judged(moved));
  EXPECT_EQ(judged(moved)->fault, Fault::camera_lost);
  EXPECT_EQ(judged(moved)->why.find("sticker"), std::string::npos) << judged(moved)->why;
}

// Neither is 0.6 s long, together they are 0.9.
TEST(LostTooLong, AdjoiningGapsAreOneAndTheLargerPartIsNamed) {
  Measurement m = ten_seconds();
  hide(m, 2, 2.5);
  lose_camera(m, 2.5, 2.9);
  ASSERT_TRUE(judged(m));
  EXPECT_EQ(judged(m)->fault, Fault::sticker_lost);
  EXPECT_NE(judged(m)->why.find("camera"), std::string::npos) << judged(m)->why;
  EXPECT_NE(judged(m)->why.find("from 2.0 s to 2.9 s"), std::string::npos) << judged(m)->why;
  Measurement other = ten_seconds();
  lose_camera(other, 2, 2.5);
  hide(other, 2.5, 2.9);
  ASSERT_TRUE(judged(other));
  EXPECT_EQ(judged(other)->fault, Fault::camera_lost);
  EXPECT_NE(judged(other)->why.find("sticker"), std::string::npos) << judged(other)->why;
}

// Two seconds cut out, and not a frame in which the sticker was not seen; or a few frames at their begin.
TEST(LostTooLong, MissingPicturesAreNotPutDownToTheSticker) {
  for (const double hidden_s : {0.0, 0.1}) {
    Measurement m = ten_seconds();
    hide(m, 3.9 - hidden_s, 3.9);
    std::erase_if(m.track.samples, [](const sticker::TrackSample& s) { return s.time_s > 3.9 && s.time_s < 5.9; });
    std::erase_if(m.camera.views, [](const camera::View& v) { return v.time_s > 3.9 && v.time_s < 5.9; });
    const auto error = judged(m);
    ASSERT_TRUE(error) << hidden_s;
    EXPECT_NE(error->why.find("hardly a picture from 3."), std::string::npos) << error->why;
    EXPECT_EQ(error->what_to_do.find("hands"), std::string::npos) << error->what_to_do;
  }
}

TEST(LostTooLong, WhatIsShownAfterTheSetMayBeCutOff) {
  Measurement m = ten_seconds();
  hide(m, 8, 20);
  ASSERT_TRUE(judged(m));
  EXPECT_NE(judged(m)->what_to_do.find("cut off what is shown after the set"), std::string::npos);
}

TEST(LostTooLong, AfterTheSetOrTheFootHasLeftNothingIsMissing) {
  Measurement m = ten_seconds();
  hide(m, 7.5, 8.0);
  lose_camera(m, 8.0, 20);
  EXPECT_TRUE(judged(m)) << "to the clip's end";
  Measurement over = m;
  over.raises->set_end.why = raise::EndWhy::pause;
  over.raises->set_end.t_s = 7;
  EXPECT_FALSE(judged(over));
  Measurement left = m;
  for (sticker::TrackSample& s : left.track.samples) s.px.x += s.time_s > 7 ? 100 : 0;
  EXPECT_FALSE(judged(left));
}

// The card is carried away from 3 s to 6 s; meanwhile the camera moves by so much.
Notes notes_without_card(double moved_px) {
  Measurement m = ten_seconds();
  m.camera.witness = camera::Witness::card;
  for (camera::View& v : m.camera.views) {
    v.card_seen = v.time_s < 3 || v.time_s > 6;
    if (v.time_s > 4) v.ref_from_px.shift.x = moved_px;
  }
  add_camera_notes(m);
  return m.notes;
}

TEST(CardOutOfSight, IsSaidWhereTheCameraMovedMeanwhile) {
  const auto said = [](const Notes& notes) { return has_note(notes, "card-out-of-sight"); };
  EXPECT_TRUE(said(notes_without_card(8)));
  EXPECT_FALSE(said(notes_without_card(0.2))) << "somebody before the card of a camera on a stand";
}

// So many pixels lower from `from_s` to `to_s`, ten of them a centimetre.
Measurement lower(double px, double from_s, double to_s) {
  Measurement m = ten_seconds();
  for (sticker::TrackSample& s : m.track.samples) s.px.y += s.time_s > from_s && s.time_s < to_s ? px : 0;
  m.path = heel_path(m, 10);
  m.raises->standing_cm = -50;
  add_notes(m);
  return m;
}

// A sticker that slips down a sock.
TEST(HeelBelowStanding, IsSaidFromWhenAndByHowMuch) {
  const auto said = [](const Measurement& m) {
    const auto at = std::find_if(m.notes.begin(), m.notes.end(),
                                 [](const Note& note) { return note.code == "heel-below-standing"; });
    return at == m.notes.end() ? std::optional<Note>() : std::optional(*at);
  };
  EXPECT_FALSE(said(lower(0, 0, 20)));
  EXPECT_FALSE(said(lower(2.5, 5, 20))) << "a soft sole";
  EXPECT_FALSE(said(lower(20, 3.95, 4.05))) << "a jolt";
  const auto slipped = said(lower(14, 5, 20));
  ASSERT_TRUE(slipped);
  EXPECT_NEAR(slipped->t_s.value_or(0), 5.8, 0.2) << "when the heel is next down";
  EXPECT_NE(slipped->text.find("up to 1.4 cm lower"), std::string::npos) << slipped->text;
}

TEST(StickerFoundLate, WhereTheFirstSecondsWereNotFollowed) {
  for (const double from_s : {0.0, 1.1, 3.0}) {
    Measurement m = ten_seconds();
    std::erase_if(m.track.samples, [&](const sticker::TrackSample& s) { return s.time_s < from_s; });
    m.path = heel_path(m, 10);
    m.raises->standing_cm = -50;
    add_notes(m);
    EXPECT_EQ(has_note(m.notes, "sticker-found-late"), from_s > 2) << from_s;
  }
}

TEST(TurnToBlame, TellsWhichWayTheCardLies) {
  scale::Scale scale;
  EXPECT_FALSE(turn_to_blame(scale)) << "no card";
  const auto lying = [&](double clockwise_deg) {
    const double turn = clockwise_deg * M_PI / 180;
    const auto corner = [&](double x, double y) {
      return Point{300 + x * std::cos(turn) - y * std::sin(turn), 200 + x * std::sin(turn) + y * std::cos(turn)};
    };
    scale.card_outline_px = {corner(-50, -50), corner(50, -50), corner(50, 50), corner(-50, 50)};
    const auto error = turn_to_blame(scale);
    return error ? error->why.substr(0, error->why.find(',')) : "";
  };
  EXPECT_EQ(lying(0), "");
  EXPECT_EQ(lying(-40), "");
  EXPECT_EQ(lying(40), "");
  EXPECT_EQ(lying(90), "in the picture the card stands on its right side");
  EXPECT_EQ(lying(-85), "in the picture the card stands on its left side");
  EXPECT_EQ(lying(180), "in the picture the card stands on its head");
}

TEST(PeakUnseen, SaysOfWhichRepTheHeightIsOnlyBridged) {
  for (const int hidden : {0, 1, 2}) {
    Measurement m = ten_seconds();
    m.raises->standing_cm = -50;
    m.raises->reps.assign(3, raise::Rep{});
    for (int i = 0; i < 3; ++i) {
      raise::Rep& rep = m.raises->reps[static_cast<std::size_t>(i)];
      rep.n = i + 1;
      rep.peak_s = 2 + 2 * i;
      if (i == 0 || i > hidden) rep.height_cm_u_own = 0.02;
    }
    add_notes(m);
    const auto note =
        std::find_if(m.notes.begin(), m.notes.end(), [](const Note& n) { return n.code == "peak-unseen"; });
    ASSERT_EQ(note != m.notes.end(), hidden > 0);
    if (hidden == 0) continue;
    EXPECT_EQ(*note->t_s, 4);
    EXPECT_EQ(note->text.rfind(hidden == 1 ? "The top of rep 2 was" : "The tops of 2 reps, the first of them rep 2", 0),
              0U)
        << note->text;
  }
}

// Through frames whose camera is unknown no sticker can be followed: that it was not found is not its fault.
TEST(CameraToBlame, WhereManyFramesHaveNoMap) {
  for (const std::size_t lost : {0U, 5U, 20U, 21U, 100U}) {
    camera::CameraPath path;
    path.views.resize(100);
    for (std::size_t i = 0; i < path.views.size(); ++i) path.views[i].known = i >= lost;
    const auto error = camera_to_blame(path);
    ASSERT_EQ(error.has_value(), lost > 20) << lost;
    if (!error) continue;
    EXPECT_EQ(error->fault, Fault::camera_lost);
    EXPECT_NE(error->why.find(std::to_string(lost) + " of 100 frames"), std::string::npos) << error->why;
  }
  EXPECT_FALSE(camera_to_blame({}));
}

}  // namespace
}  // namespace risetrace::measure
