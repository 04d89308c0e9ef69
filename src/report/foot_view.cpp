#include <algorithm>
#include <cmath>

#include "report/frames_clip.h"

namespace risetrace::report {
namespace {

constexpr double raise_cm = 20.0;  // the heel's rise and what is about it
constexpr double hop_cm = 38.0;    // a shoe and its way in a hop
constexpr double smooth_s = 0.25;  // to either side
constexpr int least_px = 160;
constexpr int greatest_px = 800;

int even_down(double value) { return 2 * static_cast<int>(std::floor(value / 2)); }

// Where the sticker was in each frame: as seen, else where it was seen last, before the first sight where it then was.
std::vector<Point> places(const measure::Measurement& m) {
  std::vector<Point> out(static_cast<std::size_t>(std::max<std::int64_t>(0, m.clip.frames)));
  const auto& samples = m.track.samples;
  const auto first = std::find_if(samples.begin(), samples.end(), [](const auto& s) { return s.seen; });
  if (first == samples.end()) return {};
  Point last = first->px;
  auto next = first;
  for (std::size_t frame = 0; frame < out.size(); ++frame) {
    while (next != samples.end() && next->frame < static_cast<std::int64_t>(frame)) ++next;
    if (next != samples.end() && next->frame == static_cast<std::int64_t>(frame) && next->seen) last = next->px;
    out[frame] = last;
  }
  return out;
}

// The mean over `reach` frames to either side, fewer at the ends.
std::vector<Point> smoothed(const std::vector<Point>& places, std::ptrdiff_t reach) {
  std::vector<Point> out(places.size());
  Point sum;
  const auto count = static_cast<std::ptrdiff_t>(places.size());
  std::ptrdiff_t from = 0;
  std::ptrdiff_t to = 0;
  for (std::ptrdiff_t i = 0; i < count; ++i) {
    for (; to < count && to <= i + reach; ++to) {
      sum.x += places[static_cast<std::size_t>(to)].x;
      sum.y += places[static_cast<std::size_t>(to)].y;
    }
    for (; from < i - reach; ++from) {
      sum.x -= places[static_cast<std::size_t>(from)].x;
      sum.y -= places[static_cast<std::size_t>(from)].y;
    }
    const auto used = static_cast<double>(to - from);
    out[static_cast<std::size_t>(i)] = {sum.x / used, sum.y / used};
  }
  return out;
}

}  // namespace

FootView foot_view(const measure::Measurement& m) {
  FootView view;
  const bool hops = m.asked.test == Test::hop;
  const int most = std::min({greatest_px, m.clip.width_px, m.clip.height_px});
  if (most < 32) return view;
  const std::vector<Point> middle = smoothed(places(m), std::lround(smooth_s * std::max(1.0, m.clip.frame_rate_hz)));
  if (middle.empty()) return view;
  const double ppc = px_per_cm_about(m);
  view.size_px = even_down(
      std::clamp((hops ? hop_cm : raise_cm) * ppc, std::min<double>(least_px, most), static_cast<double>(most)));
  const double forward_px = hops ? m.forward.value_or(0.0) * 12 * ppc : 0.0;  // the shoe lies ahead of its heel
  const double floor_px = hops && m.clearance.floor_row_px > 0 ? m.clearance.floor_row_px - 0.3 * view.size_px : 0.0;
  const auto corner = [&](double middle_px, int picture_px) {
    return even_down(std::clamp(middle_px - view.size_px / 2.0, 0.0, static_cast<double>(picture_px - view.size_px)));
  };
  for (const Point& at : middle) {
    view.corners.push_back(
        {corner(at.x + forward_px, m.clip.width_px), corner(floor_px > 0 ? floor_px : at.y, m.clip.height_px)});
  }
  return view;
}

}  // namespace risetrace::report
