#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "math/statistics.h"
#include "sole/shoe_piece.h"

namespace risetrace::sole {
namespace {

constexpr double ball_from_heel_cm = 17.0;  // sticker to where the sole no longer lifts with the heel
constexpr double tip_from_heel_cm = 27.0;   // no shoe reaches farther from its heel's sticker, give or take
constexpr double ball_behind_sticker_cm = 0.5;
constexpr double tip_from_forefoot_cm = 10.0;
constexpr double piece_height_cm = 3.2;
constexpr double toe_spring_cm = 1.6;  // how far above the ground the sole's front end may lie
constexpr double least_step = 0.035;   // of the log brightness ratio, a pixel; smaller steps are a shadow's
constexpr std::size_t most_steps = 6;
constexpr int below_edge_px = 5;
constexpr std::size_t sharp_pixels = 1300;
constexpr std::size_t soft_pixels = 800;  // blurred, neighbours say the same

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

// Each row replaced by the median of its neighbours, where at least half of them have one.
std::vector<double> smoothed(const std::vector<double>& rows) {
  constexpr int reach = 5;
  std::vector<double> out(rows.size(), std::nan(""));
  for (int i = 0; i < static_cast<int>(rows.size()); ++i) {
    std::vector<double> near;
    for (int j = std::max(0, i - reach); j <= std::min<int>(static_cast<int>(rows.size()) - 1, i + reach); ++j) {
      if (!std::isnan(rows[static_cast<std::size_t>(j)])) near.push_back(rows[static_cast<std::size_t>(j)]);
    }
    if (near.size() >= reach) out[static_cast<std::size_t>(i)] = math::upper_median(near);
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

// Of brightness about a pixel, in grey levels a pixel.
float step_at(const Plate& plate, int x, int y) {
  if (!plate.holds(x - 1, y - 1) || !plate.holds(x + 1, y + 1)) return 0;
  const float step = std::hypot(plate.at(x + 1, y) - plate.at(x - 1, y), plate.at(x, y + 1) - plate.at(x, y - 1)) / 2;
  return std::isnan(step) ? 0 : step;
}

// A sole's edge is a smooth curve; a few columns in which a shadow was taken for it stick out of the cubic through all,
// fitted with weights after Tukey.
std::vector<Point> without_outliers(const std::vector<Point>& edge, double px_per_cm) {
  constexpr double off_cm = 0.2;
  constexpr int terms = 4;
  if (edge.size() < std::size_t{4} * terms) return edge;
  const double middle = (edge.front().x + edge.back().x) / 2;
  const double half = std::max(1.0, (edge.back().x - edge.front().x) / 2);
  const auto row_of = [&](double x) {
    const double u = (x - middle) / half;
    return Eigen::Matrix<double, terms, 1>(1, u, u * u, u * u * u);
  };
  Eigen::Matrix<double, terms, 1> curve = Eigen::Matrix<double, terms, 1>::Zero();
  const auto off = [&](Point p) { return std::abs(p.y - curve.dot(row_of(p.x))) / px_per_cm; };
  for (int round = 0; round < 12; ++round) {
    // Wide at first, so that the start, which knows nothing, does not decide.
    const double reach_cm = std::max(2 * off_cm, 8.0 * std::pow(0.6, round));
    Eigen::Matrix<double, terms, terms> normal = 1e-9 * Eigen::Matrix<double, terms, terms>::Identity();
    Eigen::Matrix<double, terms, 1> right = Eigen::Matrix<double, terms, 1>::Zero();
    for (const Point& p : edge) {
      const double z = round == 0 ? 0.0 : std::min(1.0, off(p) / reach_cm);
      const double weight = (1 - z * z) * (1 - z * z);
      normal += weight * row_of(p.x) * row_of(p.x).transpose();
      right += weight * p.y * row_of(p.x);
    }
    curve = normal.ldlt().solve(right);
  }
  std::vector<Point> kept;
  std::copy_if(edge.begin(), edge.end(), std::back_inserter(kept), [&](Point p) { return off(p) <= off_cm; });
  return kept;
}

struct Cut {
  const Plate& standing;
  int height_px = 0;
  float noise_grey = 1.0F;
  double soft_px = 0.45;  // of the edge
  std::size_t most_pixels = sharp_pixels;
};

void take_column(ShoePiece& piece, std::vector<float>& steps, const Cut& cut, Point edge) {
  constexpr float blurred = 0.25F;  // of a step: a shift of a quarter of a pixel, or two pixels of motion blur
  constexpr float strongest = 15.0F;
  const int x = static_cast<int>(edge.x);
  // The last row that is all shoe.
  const int hard_row = static_cast<int>(std::floor(edge.y - 4 * cut.soft_px));
  for (int y = static_cast<int>(edge.y) - cut.height_px; y <= static_cast<int>(edge.y) + below_edge_px; ++y) {
    if (!cut.standing.holds(x, y) || !cut.standing.holds(x, hard_row)) continue;
    const auto cover = static_cast<float>(1 / (1 + std::exp((y - edge.y) / cut.soft_px)));
    const float step = step_at(cut.standing, x, y);
    piece.pixels.push_back({static_cast<float>(x - piece.pivot_px.x), static_cast<float>(y - piece.pivot_px.y),
                            cut.standing.at(x, std::min(y, hard_row)), cover,
                            std::hypot(cut.noise_grey, blurred * step)});
    steps.push_back(std::min(strongest, step));
  }
}

// A pixel says where the piece is by the steps of brightness about it: most of those kept lie on such steps, the rest
// are spread evenly, for a piece in the wrong place is also told by its plain parts.
void thin_out(std::vector<PiecePixel>& pixels, const std::vector<float>& steps, std::size_t most) {
  if (pixels.size() <= most) return;
  double sum = 0;
  for (const float step : steps) sum += step;
  const double even = 0.35 / static_cast<double>(pixels.size());
  std::vector<PiecePixel> kept;
  double owed = 0.5;
  for (std::size_t i = 0; i < pixels.size(); ++i) {
    const auto wanted = static_cast<double>(most);
    owed += wanted * std::min(1.0 / wanted, even + 0.65 * steps[i] / std::max(1e-9, sum));
    if (owed < 1) continue;
    owed -= 1;
    kept.push_back(pixels[i]);
  }
  pixels = std::move(kept);
}

std::optional<ShoePiece> piece_above(const std::vector<Point>& edge_px, const Cut& cut, double px_per_cm) {
  const double least_columns = std::max(12.0, 1.5 * px_per_cm);
  ShoePiece piece;
  // An edge known from other contacts may reach out of this one's picture.
  std::copy_if(edge_px.begin(), edge_px.end(), std::back_inserter(piece.edge_px), [&](Point p) {
    return cut.standing.holds(static_cast<int>(p.x), static_cast<int>(p.y)) &&
           cut.standing.holds(static_cast<int>(p.x), static_cast<int>(p.y) - cut.height_px / 2);
  });
  if (static_cast<double>(piece.edge_px.size()) < least_columns) return std::nullopt;
  piece.floor_row_px = lowest_row_px(piece.edge_px);
  piece.pivot_px = {piece.edge_px[piece.edge_px.size() / 2].x, piece.floor_row_px};
  std::vector<float> steps;
  for (const Point& p : piece.edge_px) take_column(piece, steps, cut, p);
  thin_out(piece.pixels, steps, cut.most_pixels);
  return piece;
}

bool same_edge(const ShoePiece& a, const ShoePiece& b) { return std::abs(a.floor_row_px - b.floor_row_px) < 1.5; }

}  // namespace

Ground blurred(const Ground& ground, int reach_px) {
  return {blurred(ground.standing, reach_px), blurred(ground.empty, reach_px)};
}

std::optional<PiecePair> cut_piece(const Ground& ground, const Ground& soft, const std::vector<Point>& rough_edge_px,
                                   const PieceCutting& cutting) {
  const std::vector<Point> edge_px = without_outliers(rough_edge_px, cutting.where.px_per_cm);
  const int height_px = static_cast<int>(piece_height_cm * cutting.where.px_per_cm);
  const float noise = std::max(0.7F, cutting.noise_grey);
  const auto sharp = piece_above(edge_px, {ground.standing, height_px, noise}, cutting.where.px_per_cm);
  const auto blurry = piece_above(edge_px, {soft.standing, height_px, noise, 0.6 * cutting.soft_reach_px, soft_pixels},
                                  cutting.where.px_per_cm);
  if (!sharp || !blurry) return std::nullopt;
  return PiecePair{*sharp, *blurry};
}

std::vector<PiecePair> cut_pieces(const Ground& ground, const Ground& soft, const PieceCutting& cutting) {
  const Box& box = ground.standing.box;
  const PieceWhere& where = cutting.where;
  const Columns columns = columns_of(where, box);
  const int top = std::max(box.y0, static_cast<int>(where.heel_px.y - 3 * where.px_per_cm));
  const int bottom = box.y0 + box.height;
  if (columns.to - columns.from < 12 || bottom - top < 12) return {};
  std::vector<std::vector<SharpStep>> steps;
  for (int x = columns.from; x < columns.to; ++x) {
    steps.push_back(sharp_steps(ground.standing, ground.empty, x, top, bottom));
  }
  std::vector<PiecePair> pieces;
  for (const Guess guess : {Guess::lowest, Guess::lowest_brighter, Guess::second}) {
    std::vector<double> rows;
    rows.reserve(steps.size());
    for (const auto& column : steps) rows.push_back(guessed_row(column, guess));
    const auto piece = cut_piece(ground, soft, ground_edge(smoothed(rows), columns.from, where.px_per_cm), cutting);
    const auto same = [&](const PiecePair& p) { return same_edge(p.sharp, piece->sharp); };
    if (piece && std::none_of(pieces.begin(), pieces.end(), same)) pieces.push_back(*piece);
  }
  std::stable_sort(pieces.begin(), pieces.end(),
                   [](const auto& a, const auto& b) { return a.sharp.floor_row_px < b.sharp.floor_row_px; });
  return pieces;
}

Point place_of(const ShoePiece& piece, const Pose& pose, Point standing_px) {
  const double c = std::cos(pose.turn_rad);
  const double s = std::sin(pose.turn_rad);
  const double dx = standing_px.x - piece.pivot_px.x;
  const double dy = standing_px.y - piece.pivot_px.y;
  return {piece.pivot_px.x + pose.right_px + c * dx - s * dy, piece.pivot_px.y + pose.down_px + s * dx + c * dy};
}

Pose at_pivot(const Pose& pose, const ShoePiece& from, const ShoePiece& to) {
  const Point gone = place_of(from, pose, to.pivot_px);
  return {gone.x - to.pivot_px.x, gone.y - to.pivot_px.y, pose.turn_rad};
}

void hide_shoe(Plate& plate, const ShoePiece& piece, const Pose& pose, double forward, double margin_px) {
  std::vector<double> lowest(static_cast<std::size_t>(plate.box.width), std::nan(""));
  for (const Point& p : piece.edge_px) {
    const Point gone = place_of(piece, pose, p);
    const int column = static_cast<int>(std::lround(gone.x)) - plate.box.x0;
    // A column's neighbours with it, for a turned edge leaves gaps; behind the piece there is more of the shoe.
    const bool rear = &p == (forward > 0 ? &piece.edge_px.front() : &piece.edge_px.back());
    const int from = rear && forward > 0 ? 0 : std::max(0, column - 1);
    const int to = rear && forward < 0 ? plate.box.width : std::min(plate.box.width, column + 2);
    for (int x = from; x < to; ++x) {
      double& row = lowest[static_cast<std::size_t>(x)];
      if (!(row >= gone.y)) row = gone.y;
    }
  }
  for (int x = 0; x < plate.box.width; ++x) {
    const double row = lowest[static_cast<std::size_t>(x)];
    if (std::isnan(row)) continue;
    const int end = std::clamp(static_cast<int>(row + margin_px) - plate.box.y0, 0, plate.box.height);
    for (int y = 0; y < end; ++y) {
      plate
          .grey[static_cast<std::size_t>(y) * static_cast<std::size_t>(plate.box.width) + static_cast<std::size_t>(x)] =
          std::numeric_limits<float>::quiet_NaN();
    }
  }
}

double lowest_row_px(const std::vector<Point>& edge_px) {
  double lowest = 0.0;
  for (const Point& p : edge_px) lowest = std::max(lowest, p.y);
  return lowest;
}

double clearance_px(const ShoePiece& piece, const Pose& pose) {
  double lowest = -1e9;
  for (const Point& p : piece.edge_px) lowest = std::max(lowest, place_of(piece, pose, p).y);
  return piece.floor_row_px - lowest;
}

}  // namespace risetrace::sole
