#include <algorithm>
#include <cmath>

#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

constexpr double ball_from_heel_cm = 16.0;  // sticker to where the sole no longer lifts with the heel
constexpr double tip_from_heel_cm = 27.0;   // no shoe reaches farther from its heel's sticker, give or take
constexpr double ball_behind_sticker_cm = 2.5;
constexpr double tip_from_forefoot_cm = 10.0;
constexpr double piece_height_cm = 3.2;
constexpr double toe_spring_cm = 1.6;  // how far above the ground the sole's front end may lie
constexpr double least_step = 0.035;   // of the log brightness ratio, a pixel; smaller steps are a shadow's
constexpr std::size_t most_steps = 6;
constexpr int below_edge_px = 5;
constexpr std::size_t most_pixels = 1300;

struct Columns {
  int from = 0;
  int to = 0;  // past the last
};

Columns columns_of(const PieceWhere& where, const Box& box) {
  const double start = where.forefoot_px
                           ? where.forefoot_px->x - where.forward * ball_behind_sticker_cm * where.px_per_cm
                           : where.heel_px.x + where.forward * ball_from_heel_cm * where.px_per_cm;
  const double end = where.forefoot_px ? where.forefoot_px->x + where.forward * tip_from_forefoot_cm * where.px_per_cm
                                       : where.heel_px.x + where.forward * tip_from_heel_cm * where.px_per_cm;
  Columns c{static_cast<int>(std::min(start, end)), static_cast<int>(std::max(start, end))};
  c.from = std::max(c.from, box.x0 + 3);
  c.to = std::min(c.to, box.x0 + box.width - 3);
  return c;
}

double ratio_at(const Plate& standing, const Plate& empty, int x, int y) {
  double a = 0;
  double b = 0;
  for (int i = -2; i <= 2; ++i) {
    a += standing.at(x + i, y);
    b += empty.at(x + i, y);
  }
  constexpr double dark = 40;  // five pixels' black level: keeps the ratio of noise near one
  return std::log((a + dark) / (b + dark));
}

struct SharpStep {
  double row_px = 0.0;
  bool brighter_above = false;
};

// The sharp steps of a column, the lowest first, each to a part of a pixel.
std::vector<SharpStep> sharp_steps(const Plate& standing, const Plate& empty, int x, int top, int bottom) {
  std::vector<double> ratio;
  for (int y = top; y < bottom; ++y) ratio.push_back(ratio_at(standing, empty, x, y));
  const auto slope = [&](int i) {  // upwards
    if (i < 1 || i + 1 >= static_cast<int>(ratio.size())) return 0.0;
    return (ratio[static_cast<std::size_t>(i) - 1] - ratio[static_cast<std::size_t>(i) + 1]) / 2;
  };
  std::vector<SharpStep> steps;
  for (int i = bottom - top - 2; i >= 1 && steps.size() < most_steps; --i) {
    const double here = std::abs(slope(i));
    const double above = std::abs(slope(i - 1));
    const double below = std::abs(slope(i + 1));
    if (!(here >= least_step) || here < above || here <= below) continue;
    if (std::abs(slope(i + 4)) > 0.5 * here) continue;  // not a step but a slope: a soft shadow
    const double bend = above - 2 * here + below;
    steps.push_back({top + i + (bend < 0 ? 0.5 * (above - below) / bend : 0.0), slope(i) > 0});
  }
  return steps;
}

// Which of a column's steps is the shoe's edge: a hard shadow has edges too, and it lies below the shoe.
enum class Guess { lowest, lowest_brighter, second };

double guessed_row(const std::vector<SharpStep>& steps, Guess guess) {
  if (guess == Guess::second) return steps.size() > 1 ? steps[1].row_px : std::nan("");
  for (const SharpStep& step : steps) {
    if (guess == Guess::lowest || step.brighter_above) return step.row_px;
  }
  return std::nan("");
}

double middle_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Each row replaced by the median of its neighbours, where at least half of them have one.
std::vector<double> smoothed(const std::vector<double>& rows) {
  constexpr int reach = 5;
  std::vector<double> out(rows.size(), std::nan(""));
  for (int i = 0; i < static_cast<int>(rows.size()); ++i) {
    std::vector<double> near;
    for (int j = std::max(0, i - reach); j <= std::min<int>(static_cast<int>(rows.size()) - 1, i + reach); ++j) {
      if (!std::isnan(rows[static_cast<std::size_t>(j)])) near.push_back(rows[static_cast<std::size_t>(j)]);
    }
    if (near.size() >= reach) out[static_cast<std::size_t>(i)] = middle_of(near);
  }
  return out;
}

// The columns whose edge lies near enough to the ground.
std::vector<Point> ground_edge(const std::vector<double>& rows, int first_column, double px_per_cm) {
  std::vector<double> known;
  for (const double row : rows) {
    if (!std::isnan(row)) known.push_back(row);
  }
  if (known.size() < 12) return {};
  std::sort(known.begin(), known.end());
  const double lowest = known[known.size() * 9 / 10];
  std::vector<Point> edge;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (std::isnan(rows[i]) || rows[i] < lowest - toe_spring_cm * px_per_cm || rows[i] > lowest + 0.4 * px_per_cm)
      continue;
    edge.push_back({static_cast<double>(first_column) + static_cast<double>(i), rows[i]});
  }
  return edge;
}

void take_column(ShoePiece& piece, std::vector<float>& steps, const Plate& standing, Point edge, int height_px) {
  const int x = static_cast<int>(edge.x);
  const int hard_row = static_cast<int>(std::floor(edge.y)) - 2;  // the last row that is all shoe
  for (int y = static_cast<int>(edge.y) - height_px; y <= static_cast<int>(edge.y) + below_edge_px; ++y) {
    if (!standing.holds(x, y) || !standing.holds(x, hard_row)) continue;
    const auto cover = static_cast<float>(1 / (1 + std::exp((y - edge.y) / 0.45)));
    piece.pixels.push_back({static_cast<float>(x - piece.pivot_px.x), static_cast<float>(y - piece.pivot_px.y),
                            standing.at(x, std::min(y, hard_row)), cover});
    const bool whole = standing.holds(x - 1, y - 1) && standing.holds(x + 1, y + 1);
    steps.push_back(whole ? std::min(30.0F, std::hypot(standing.at(x + 1, y) - standing.at(x - 1, y),
                                                       standing.at(x, y + 1) - standing.at(x, y - 1)))
                          : 0.0F);
  }
}

// A pixel says where the piece is by the steps of brightness about it: most of those kept lie on such steps, the rest
// are spread evenly, for a piece in the wrong place is also told by its plain parts.
void thin_out(std::vector<PiecePixel>& pixels, const std::vector<float>& steps) {
  if (pixels.size() <= most_pixels) return;
  double sum = 0;
  for (const float step : steps) sum += step;
  const double even = 0.35 / static_cast<double>(pixels.size());
  std::vector<PiecePixel> kept;
  double owed = 0.5;
  for (std::size_t i = 0; i < pixels.size(); ++i) {
    owed += most_pixels * std::min(1.0 / most_pixels, even + 0.65 * steps[i] / std::max(1e-9, sum));
    if (owed < 1) continue;
    owed -= 1;
    kept.push_back(pixels[i]);
  }
  pixels = std::move(kept);
}

std::optional<ShoePiece> piece_above(std::vector<Point> edge_px, const Plate& standing, double px_per_cm) {
  const double least_columns = std::max(12.0, 1.5 * px_per_cm);
  if (static_cast<double>(edge_px.size()) < least_columns) return std::nullopt;
  ShoePiece piece;
  piece.edge_px = std::move(edge_px);
  for (const Point& p : piece.edge_px) piece.floor_row_px = std::max(piece.floor_row_px, p.y);
  piece.pivot_px = {piece.edge_px[piece.edge_px.size() / 2].x, piece.floor_row_px};
  std::vector<float> steps;
  for (const Point& p : piece.edge_px)
    take_column(piece, steps, standing, p, static_cast<int>(piece_height_cm * px_per_cm));
  thin_out(piece.pixels, steps);
  return piece;
}

bool same_edge(const ShoePiece& a, const ShoePiece& b) {
  return std::abs(a.floor_row_px - b.floor_row_px) < 1.5 && std::abs(a.pivot_px.x - b.pivot_px.x) < 8;
}

}  // namespace

std::vector<ShoePiece> cut_pieces(const Plate& standing, const Plate& empty, const PieceWhere& where,
                                  float noise_grey) {
  const Columns columns = columns_of(where, standing.box);
  const int top = std::max(standing.box.y0, static_cast<int>(where.heel_px.y - 3 * where.px_per_cm));
  const int bottom = standing.box.y0 + standing.box.height;
  if (columns.to - columns.from < 12 || bottom - top < 12) return {};
  std::vector<std::vector<SharpStep>> steps;
  for (int x = columns.from; x < columns.to; ++x) steps.push_back(sharp_steps(standing, empty, x, top, bottom));
  std::vector<ShoePiece> pieces;
  for (const Guess guess : {Guess::lowest, Guess::lowest_brighter, Guess::second}) {
    std::vector<double> rows;
    for (const auto& column : steps) rows.push_back(guessed_row(column, guess));
    auto piece = piece_above(ground_edge(smoothed(rows), columns.from, where.px_per_cm), standing, where.px_per_cm);
    if (!piece || std::any_of(pieces.begin(), pieces.end(), [&](const auto& p) { return same_edge(p, *piece); }))
      continue;
    piece->noise_grey = std::max(0.7F, noise_grey);
    pieces.push_back(*std::move(piece));
  }
  return pieces;
}

double clearance_px(const ShoePiece& piece, const Pose& pose) {
  const double c = std::cos(pose.turn_rad);
  const double s = std::sin(pose.turn_rad);
  double lowest = -1e9;
  for (const Point& p : piece.edge_px) {
    lowest =
        std::max(lowest, piece.pivot_px.y + pose.down_px + s * (p.x - piece.pivot_px.x) + c * (p.y - piece.pivot_px.y));
  }
  return piece.floor_row_px - lowest;
}

}  // namespace risetrace::sole
