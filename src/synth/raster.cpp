#include "synth/raster.h"

#include <algorithm>
#include <cmath>

namespace risetrace::synth {
namespace {

void blend_plain(const float* cover, const LinearRgb& light, LightPicture& into, int y, RowSpan span) {
  for (int plane = 0; plane < 3; ++plane) {
    float* out = into.row(plane, y);
    const float value = light[static_cast<std::size_t>(plane)];
    for (int x = span.low; x < span.high; ++x) out[x] += cover[x] * (value - out[x]);
  }
}

void blend_ramp(const float* cover, const PixelFill& fill, LightPicture& into, int y, RowSpan span) {
  const auto last = static_cast<float>(fill.ramp.size() - 1);
  const auto start = static_cast<float>(fill.at_origin + fill.y_step * y + 0.5);
  const auto step = static_cast<float>(fill.x_step);
  float* red = into.row(0, y);
  float* green = into.row(1, y);
  float* blue = into.row(2, y);
  for (int x = span.low; x < span.high; ++x) {
    if (cover[x] == 0.0F) continue;
    const float index = std::min(std::max(start + step * static_cast<float>(x), 0.0F), last);
    const LinearRgb& light = fill.ramp[static_cast<std::size_t>(static_cast<int>(index))];
    red[x] += cover[x] * (light[0] - red[x]);
    green[x] += cover[x] * (light[1] - green[x]);
    blue[x] += cover[x] * (light[2] - blue[x]);
  }
}

}  // namespace

LightPicture::LightPicture(int width, int height) : width_(width), height_(height) {
  for (auto& plane : planes_) plane.assign(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 0.0F);
}

Filler::Filler(int width, int height)
    : width_(width),
      height_(height),
      first_row_(height),
      area_(static_cast<std::size_t>(width + 2) * static_cast<std::size_t>(height), 0.0F),
      spans_(static_cast<std::size_t>(height)),
      cover_(static_cast<std::size_t>(width)) {}

void Filler::add(const std::vector<Point>& closed_px) {
  for (std::size_t i = 0; i < closed_px.size(); ++i) {
    const Point a = closed_px[i];
    const Point b = closed_px[(i + 1) % closed_px.size()];
    add_side({a.x + 0.5, a.y + 0.5}, {b.x + 0.5, b.y + 0.5});
  }
}

// Cut at the left and right borders. What runs left of the picture counts as running along its border (it still covers
// what lies to its right); what runs right of it covers nothing.
void Filler::add_side(Point a, Point b) {
  if (a.y == b.y) return;
  const double right = width_;
  std::array<double, 4> cuts{0.0, 0.0, 1.0, 1.0};
  const double dx = b.x - a.x;
  if (dx != 0.0) {
    cuts[1] = std::clamp((0.0 - a.x) / dx, 0.0, 1.0);
    cuts[2] = std::clamp((right - a.x) / dx, 0.0, 1.0);
    if (cuts[1] > cuts[2]) std::swap(cuts[1], cuts[2]);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    if (cuts[i + 1] <= cuts[i]) continue;
    const auto at = [&](double share) {
      return Point{std::clamp(a.x + dx * share, 0.0, right), a.y + (b.y - a.y) * share};
    };
    add_side_inside(at(cuts[i]), at(cuts[i + 1]));
  }
}

void Filler::add_side_inside(Point a, Point b) {
  const double sign = b.y > a.y ? 1.0 : -1.0;
  if (sign < 0) std::swap(a, b);
  const double top = std::max(0.0, a.y);
  const double bottom = std::min(static_cast<double>(height_), b.y);
  if (top >= bottom) return;
  const double slope = (b.x - a.x) / (b.y - a.y);
  const int last = std::min(height_ - 1, static_cast<int>(std::ceil(bottom)) - 1);
  for (int row = static_cast<int>(top); row <= last; ++row) {
    const double y_in = std::max(top, static_cast<double>(row));
    const double y_out = std::min(bottom, row + 1.0);
    if (y_out <= y_in) continue;
    const auto x_at = [&](double y) {
      return std::clamp(a.x + slope * (y - a.y), std::min(a.x, b.x), std::max(a.x, b.x));
    };
    add_in_row(row, sign * (y_out - y_in), x_at(y_in), x_at(y_out));
  }
}

// A side that crosses part of one row, from x_in to x_out: each column it passes gets its share of the height, split
// between the column itself (the part right of the side) and all columns after it.
void Filler::add_in_row(int row, double y_share, double x_in, double x_out) {
  const double left = std::min(x_in, x_out);
  const double right = std::max(x_in, x_out);
  float* area = area_.data() + static_cast<std::size_t>(row) * static_cast<std::size_t>(width_ + 2);
  const int first = static_cast<int>(left);
  const int last = std::max(first, static_cast<int>(std::ceil(right)) - 1);
  const double per_x = right > left ? y_share / (right - left) : 0.0;
  for (int column = first; column <= last; ++column) {
    const double from = std::max(left, static_cast<double>(column));
    const double to = std::min(right, column + 1.0);
    const double part = first == last ? y_share : per_x * (to - from);
    const double before = part * ((from + to) / 2 - column);
    area[column] += static_cast<float>(part - before);
    area[column + 1] += static_cast<float>(before);
  }
  spans_[static_cast<std::size_t>(row)].take_in(first, last + 2);
  first_row_ = std::min(first_row_, row);
  last_row_ = std::max(last_row_, row);
}

void Filler::fill(const PixelFill& fill, LightPicture& into, RowSpans* touched) {
  for (int y = first_row_; y <= last_row_; ++y) {
    RowSpan& span = spans_[static_cast<std::size_t>(y)];
    if (span.empty()) continue;
    float* area = area_.data() + static_cast<std::size_t>(y) * static_cast<std::size_t>(width_ + 2);
    const RowSpan shown{span.low, std::min(span.high, width_)};
    float running = 0.0F;
    for (int x = shown.low; x < shown.high; ++x) {
      running += area[x];
      const float cover = std::min(1.0F, std::abs(running));
      cover_[static_cast<std::size_t>(x)] = cover < 1e-5F ? 0.0F : cover * fill.cover;
    }
    std::fill(area + span.low, area + std::min(span.high, width_ + 2), 0.0F);
    span = RowSpan{};
    if (shown.empty()) continue;
    if (fill.ramp.size() == 1) {
      blend_plain(cover_.data(), fill.ramp[0], into, y, shown);
    } else {
      blend_ramp(cover_.data(), fill, into, y, shown);
    }
    if (touched != nullptr) (*touched)[static_cast<std::size_t>(y)].take_in(shown.low, shown.high);
  }
  first_row_ = height_;
  last_row_ = -1;
}

}  // namespace risetrace::synth
