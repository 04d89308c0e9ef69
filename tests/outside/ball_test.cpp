// A thrown ball followed by the sticker code, against the track its filmers published with the clip (BMClab/BMC,
// courses/ BiomechanicsI_2022, CC BY 4.0; see the data folder's README).
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "clip/read_clip.h"
#include "place.h"
#include "sticker/find_blobs.h"
#include "sticker/follow.h"

namespace risetrace {
namespace {

struct Row {
  double t_s = 0;
  double x_m = 0;
  double y_m = 0;
};

std::vector<Row> published_track(const std::filesystem::path& file) {
  std::vector<Row> rows;
  std::ifstream in(file);
  for (std::string line; std::getline(in, line);) {
    std::istringstream fields(line);
    Row row;
    if (fields >> row.t_s >> row.x_m >> row.y_m) rows.push_back(row);
  }
  return rows;
}

// Least squares: published metres as a similarity (scale, turn, shift, y up) of measured pixels; RMS of what is left,
// m.
double left_over_m(const std::vector<Point>& px, const std::vector<Row>& rows, double* px_per_m) {
  const double n = static_cast<double>(px.size());
  Point pm;
  Row rm;
  for (std::size_t i = 0; i < px.size(); ++i) {
    pm = {pm.x + px[i].x / n, pm.y - px[i].y / n};
    rm.x_m += rows[i].x_m / n;
    rm.y_m += rows[i].y_m / n;
  }
  double a = 0;
  double b = 0;
  double spread = 0;
  for (std::size_t i = 0; i < px.size(); ++i) {
    const double x = px[i].x - pm.x;
    const double y = -px[i].y - pm.y;
    a += x * (rows[i].x_m - rm.x_m) + y * (rows[i].y_m - rm.y_m);
    b += x * (rows[i].y_m - rm.y_m) - y * (rows[i].x_m - rm.x_m);
    spread += x * x + y * y;
  }
  a /= spread;
  b /= spread;
  *px_per_m = 1 / std::hypot(a, b);
  double squares = 0;
  for (std::size_t i = 0; i < px.size(); ++i) {
    const double x = px[i].x - pm.x;
    const double y = -px[i].y - pm.y;
    squares +=
        std::pow(a * x - b * y - (rows[i].x_m - rm.x_m), 2) + std::pow(b * x + a * y - (rows[i].y_m - rm.y_m), 2);
  }
  return std::sqrt(squares / n);
}

struct Follow {
  std::vector<Point> px;
  std::vector<Row> rows;
};

// Every spot of the frame is followed; the ball is the one that travels farthest.
std::vector<sticker::TrackSample> follow_ball(const std::filesystem::path& clip) {
  struct Spot {
    sticker::Follower follower;
    std::vector<sticker::TrackSample> samples;
  };
  std::vector<Spot> spots;
  auto reader = clip::ClipReader::open(clip.string(), {});
  EXPECT_TRUE(reader);
  while (true) {
    auto frame = reader->next();
    EXPECT_TRUE(frame);
    if (!frame || !*frame) break;
    if (spots.empty()) {
      for (const auto& fit : sticker::find_blobs(clip::upright_picture(**frame), {})) {
        spots.push_back({sticker::Follower(fit, (*frame)->time_s), {}});
      }
    }
    for (Spot& spot : spots) spot.samples.push_back(spot.follower.follow(**frame));
  }
  const Spot* ball = nullptr;
  double farthest = 0;
  for (const Spot& spot : spots) {
    double travel = 0;
    for (const auto& s : spot.samples) {
      if (s.seen) travel = std::max(travel, std::hypot(s.px.x - spot.samples[0].px.x, s.px.y - spot.samples[0].px.y));
    }
    if (travel > farthest) {
      farthest = travel;
      ball = &spot;
    }
  }
  return ball == nullptr ? std::vector<sticker::TrackSample>{} : ball->samples;
}

// The published times run beside the frames' own by a constant: where the ball was at each of them, shifted by
// `shift_s`. Between two frames it flies 5 to 35 pixels on a parabola, so that a straight line is right to 0.2 pixels.
Follow matched(const std::vector<sticker::TrackSample>& samples, const std::vector<Row>& rows, double shift_s) {
  Follow out;
  for (const Row& row : rows) {
    const double t_s = row.t_s + shift_s;
    for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
      const auto& a = samples[i];
      const auto& b = samples[i + 1];
      if (!a.seen || !b.seen || t_s < a.time_s || t_s >= b.time_s) continue;
      const double share = (t_s - a.time_s) / (b.time_s - a.time_s);
      out.px.push_back({a.px.x + share * (b.px.x - a.px.x), a.px.y + share * (b.px.y - a.px.y)});
      out.rows.push_back(row);
    }
  }
  return out;
}

// Standard deviation of white noise on an even series, from its fourth differences (70 times its variance).
template <typename Value>
double noise_of(std::size_t count, Value value) {
  double squares = 0;
  for (std::size_t i = 2; i + 2 < count; ++i) {
    const double d = value(i - 2) - 4 * value(i - 1) + 6 * value(i) - 4 * value(i + 1) + value(i + 2);
    squares += d * d / static_cast<double>(count - 4);
  }
  return std::sqrt(squares / 70);
}

TEST(Ball, IsFollowedAsItsFilmersFollowedIt) {
  const auto clip = test::data_folder() / "clips/ball-throw-120fps.mp4";
  const auto track = test::data_folder() / "clips/ball-throw-120fps.track.tsv";
  RISETRACE_NEEDS_DATA(clip);
  RISETRACE_NEEDS_DATA(track);
  auto rows = published_track(track);
  ASSERT_GE(rows.size(), 20U);
  rows.erase(rows.begin(), rows.begin() + 3);  // still in the hand, set 45 mm off the ball
  const auto samples = follow_ball(clip);
  EXPECT_EQ(std::count_if(samples.begin(), samples.end(), [](const auto& s) { return s.seen; }), 138);
  double left_m = 1;
  double px_per_m = 0;
  double shift_frames = 0;
  for (int tenth = -60; tenth <= 20; ++tenth) {
    double scale = 0;
    const Follow ball = matched(samples, rows, tenth / 10.0 / 120);
    if (ball.px.size() < rows.size() * 9 / 10) continue;
    const double left = left_over_m(ball.px, ball.rows, &scale);
    if (left < left_m) {
      left_m = left;
      px_per_m = scale;
      shift_frames = tenth / 10.0;
    }
  }
  RecordProperty("shift_frames", std::to_string(shift_frames));
  RecordProperty("left_over_mm", std::to_string(1000 * left_m));
  RecordProperty("px_per_m", std::to_string(px_per_m));
  // The filmers' scale is about 583 px/m by regression (README of the data).
  EXPECT_NEAR(px_per_m, 583, 3);
  // What is left is theirs: their series scatters about itself by 3 mm an axis, ours by 0.2 px = 0.3 mm.
  EXPECT_LT(left_m, 0.008);
  const double ours_px = noise_of(samples.size(), [&](std::size_t i) { return samples[i].px.y; });
  const double theirs_px = px_per_m * noise_of(rows.size(), [&](std::size_t i) { return rows[i].y_m; });
  RecordProperty("noise_ours_px", std::to_string(ours_px));
  RecordProperty("noise_theirs_px", std::to_string(theirs_px));
  EXPECT_LT(ours_px, 0.25);
  EXPECT_LT(ours_px, theirs_px / 5);
}

}  // namespace
}  // namespace risetrace
