// The camera: a place in the scene to a stored pixel, at the instant that pixel's row is exposed.
#pragma once

#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "base/geometry.h"
#include "synth/scene.h"

namespace risetrace::synth {

// In the scene's frame, cm: x right, y up, z towards the camera.
struct Spot {
  double x = 0.0;
  double y = 0.0;
  double z = 0.0;
};

// Where something that may move was caught.
struct Caught {
  Point stored_px;
  double time_s = 0.0;  // the middle of the exposure of its own row
};

class View {
 public:
  explicit View(const Scene& scene);

  [[nodiscard]] int stored_width() const { return stored_width_; }
  [[nodiscard]] int stored_height() const { return stored_height_; }
  [[nodiscard]] bool sways() const { return !camera_.sway.empty(); }
  [[nodiscard]] bool moves() const { return !camera_.sway.empty() || camera_.floor_shake_px > 0.0; }
  [[nodiscard]] double focal_px() const { return focal_px_; }

  // Empty for what lies behind the camera or nearer than 5 cm.
  [[nodiscard]] std::optional<Point> stored_px(Spot spot_cm, double time_s) const;
  // `spot_at(time_s)` gives the Spot; `time_s` is the instant of the middle row. Solves for the instant at which the
  // row that the spot falls on is exposed.
  template <typename SpotAt>
  [[nodiscard]] std::optional<Caught> caught(const SpotAt& spot_at, double time_s) const {
    std::optional<Point> px = stored_px(spot_at(time_s), time_s);
    double row_time_s = time_s;
    if (camera_.readout_s == 0.0) return px ? std::optional<Caught>({*px, row_time_s}) : std::nullopt;
    // Each round shrinks the error by the row's speed over the readout's speed, a few per cent at most.
    for (int round = 0; px && round < 6; ++round) {
      const double before_s = row_time_s;
      row_time_s = time_s + row_delay_s(px->y);
      if (std::abs(row_time_s - before_s) < close_s_) break;
      px = stored_px(spot_at(row_time_s), row_time_s);
    }
    return px ? std::optional<Caught>({*px, row_time_s}) : std::nullopt;
  }
  // When a stored row is exposed, after the middle row.
  [[nodiscard]] double row_delay_s(double stored_row) const;

  [[nodiscard]] Point upright_px(Point stored_px) const;
  [[nodiscard]] Point stored_from_upright(Point upright_px) const;
  // Where the pixel's line of sight meets the plane z = const; empty if it runs away from it.
  [[nodiscard]] std::optional<Spot> sight_on_plane(Point stored_px, double z_cm, double time_s) const;

 private:
  using Turn = std::array<double, 9>;  // row-major, scene from camera axes
  [[nodiscard]] Turn turn_at(double time_s) const;
  [[nodiscard]] Spot place_at(double time_s) const;
  [[nodiscard]] double bulge_at(double radius) const;
  [[nodiscard]] double shake_px(double time_s) const;

  Camera camera_;
  FileForm file_;
  Spot place_cm_;
  double focal_px_ = 0.0;
  double straight_from_ = 1e9;
  double close_s_ = 0.0;  // instants so close need no further round
  int stored_width_ = 0;
  int stored_height_ = 0;
  Turn still_turn_{};
  std::vector<double> blows_s_;  // each shakes the camera from then on
};

}  // namespace risetrace::synth
