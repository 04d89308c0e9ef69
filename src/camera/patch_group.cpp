#include "camera/patch_group.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "math/statistics.h"

namespace risetrace::camera {
namespace {

using math::Similarity;

constexpr int side = 2 * patch_half + 1;
constexpr std::size_t area = static_cast<std::size_t>(side) * side;
constexpr double visible_share = 0.4;     // of a patch's contrast left unexplained: beyond, something else is there
constexpr double worst_start = 1.6;       // share unexplained of a patch not yet in place: beyond, it is not there
constexpr double wide_cut_px = 0.5;       // first look: patches so far from the middle of all steps may still agree
constexpr double agree_px = 0.3;          // beyond, a patch moves otherwise than the others
constexpr double neighbours_alike = 3.0;  // compression leaves errors that so many pixels in a row share
constexpr double settled_px = 0.005;
constexpr std::size_t least_agreeing = 3;
constexpr int least_to_bend = 12;  // fewer patches and a free bend agree with a leg as well as with what stands still
constexpr std::size_t most_searched = 6;
constexpr double least_likeness = 0.6;  // mean normalised correlation

double length(Point p) { return std::hypot(p.x, p.y); }

constexpr double bend_unit = 1e-6;  // keeps the six numbers of a step of about the same size

// What a small change of the map does to a place: column order shift x, shift y, turn, growth (about the patches'
// middle), bend x, bend y (about the picture's).
using Step = Eigen::Matrix<double, 6, 1>;
Eigen::Matrix<double, 2, 6> effects(Point from_middle, Point from_picture_middle) {
  const Point at = from_middle;
  const Point u = from_picture_middle;
  Eigen::Matrix<double, 2, 6> j;
  j << 1, 0, -at.y, at.x, bend_unit * u.x * u.x, bend_unit * u.x * u.y,  //
      0, 1, at.x, at.y, bend_unit * u.x * u.y, bend_unit * u.y * u.y;
  return j;
}

}  // namespace

Point GroupMap::map(Point ref, Point middle_px) const {
  const Point p = px_from_ref.map(ref);
  const Point u{p.x - middle_px.x, p.y - middle_px.y};
  const double along = bend.x * u.x + bend.y * u.y;
  return {p.x + along * u.x, p.y + along * u.y};
}

Similarity GroupMap::about(Point ref, Point middle_px) const {
  const Point p = px_from_ref.map(ref);
  const Point u{p.x - middle_px.x, p.y - middle_px.y};
  const double along = bend.x * u.x + bend.y * u.y;
  // The slopes of u (bend . u) are (bend . u) I + u bend^T; a similarity keeps half of the second's trace and turn.
  const Similarity local{1 + 1.5 * along, (bend.x * u.y - bend.y * u.x) / 2, {}};
  Similarity out = math::after(local, px_from_ref);
  const Point there = map(ref, middle_px);
  const Point here = out.map(ref);
  out.shift = {out.shift.x + there.x - here.x, out.shift.y + there.y - here.y};
  return out;
}

struct PatchGroup::Seen {
  bool inside = false;  // the window holds it
  double bx = 0.0;      // slopes times what is different
  double by = 0.0;
  double unlike = 2.0;    // share of its contrast that is not explained
  Point px;               // its middle in the frame
  Point from_middle;      // of all patches in the frame
  Point step_px;          // where it would go by itself
  double off_px = 0.0;    // from where the others take it
  double moved_px = 0.0;  // how far these take it
  bool used = false;
};

void PatchGroup::add(MarkedPatch patch, const Similarity& ref_from_cut) {
  Watched watched;
  watched.ref_from_cut = ref_from_cut;
  watched.ref = ref_from_cut.map(patch.centre_px);
  for (const float grey : patch.grey) watched.mean += grey / static_cast<double>(area);
  for (const float grey : patch.grey) {
    watched.square += (grey - watched.mean) * (grey - watched.mean) / static_cast<double>(area);
  }
  watched.patch = std::move(patch);
  patches_.push_back(std::move(watched));
  measure_spread();
}

void PatchGroup::drop_inside(Box ref_box) {
  std::erase_if(patches_, [&](const Watched& w) {
    return w.ref.x >= ref_box.x0 && w.ref.x < ref_box.x0 + ref_box.width && w.ref.y >= ref_box.y0 &&
           w.ref.y < ref_box.y0 + ref_box.height;
  });
  measure_spread();
}

PatchGroup PatchGroup::outermost() const {
  PatchGroup out;
  out.bends_about_ = bends_about_;
  for (const Point corner : {Point{-1, -1}, Point{1, -1}, Point{1, 1}, Point{-1, 1}}) {
    const auto farthest = std::max_element(patches_.begin(), patches_.end(), [&](const Watched& a, const Watched& b) {
      return a.ref.x * corner.x + a.ref.y * corner.y < b.ref.x * corner.x + b.ref.y * corner.y;
    });
    if (farthest != patches_.end()) out.patches_.push_back(*farthest);
  }
  out.measure_spread();
  return out;
}

void PatchGroup::measure_spread() {
  middle_ = {};
  spread_px_ = 0;
  if (patches_.empty()) return;
  const auto count = static_cast<double>(patches_.size());
  for (const Watched& w : patches_) middle_ = {middle_.x + w.ref.x / count, middle_.y + w.ref.y / count};
  double square = 0;
  for (const Watched& w : patches_) square += std::pow(length({w.ref.x - middle_.x, w.ref.y - middle_.y}), 2) / count;
  spread_px_ = std::sqrt(square);
}

namespace {

struct Sampled {
  std::array<float, area> grey{};
  double mean = 0.0;
  double square = 0.0;  // mean square about the mean
};

// The window's grey levels at the patch's own pixels, its middle at `at` in the window. The window must hold them.
Sampled sampled(const clip::Patch& window, Point at, const Similarity& px_from_cut) {
  Sampled out;
  const auto width = static_cast<std::size_t>(window.box.width);
  std::size_t i = 0;
  for (int row = -patch_half; row <= patch_half; ++row) {
    double x = at.x - px_from_cut.a * patch_half - px_from_cut.b * row;
    double y = at.y - px_from_cut.b * patch_half + px_from_cut.a * row;
    for (int column = 0; column < side; ++column, ++i, x += px_from_cut.a, y += px_from_cut.b) {
      const int c = static_cast<int>(x);
      const int r = static_cast<int>(y);
      const auto fx = static_cast<float>(x - c);
      const auto fy = static_cast<float>(y - r);
      const float* top = &window.grey[static_cast<std::size_t>(r) * width + static_cast<std::size_t>(c)];
      const float* low = top + width;
      const float above = top[0] + fx * (top[1] - top[0]);
      out.grey[i] = above + fy * (low[0] + fx * (low[1] - low[0]) - above);
      out.mean += out.grey[i];
      out.square += out.grey[i] * out.grey[i];
    }
  }
  out.mean /= static_cast<double>(area);
  out.square = std::max(1.0, out.square / static_cast<double>(area) - out.mean * out.mean);
  return out;
}

}  // namespace

PatchGroup::Seen PatchGroup::look(const Watched& watched, const clip::Patch& window, const GroupMap& map) const {
  const MarkedPatch& patch = watched.patch;
  const Similarity px_from_cut = math::after(map.px_from_ref, watched.ref_from_cut);
  Seen seen;
  seen.px = map.map(watched.ref, middle_px());
  const double room = patch_half * (std::abs(px_from_cut.a) + std::abs(px_from_cut.b)) + 1;
  const Point at{seen.px.x - window.box.x0, seen.px.y - window.box.y0};
  if (!(at.x >= room && at.y >= room && at.x < window.box.width - 1 - room && at.y < window.box.height - 1 - room)) {
    return seen;
  }
  seen.inside = true;
  const Sampled now = sampled(window, at, px_from_cut);
  const auto gain = static_cast<float>(std::clamp(std::sqrt(watched.square / now.square), 0.4, 2.5));
  const auto offset = static_cast<float>(watched.mean - gain * now.mean);
  float rest = 0;
  float bx = 0;
  float by = 0;
  for (std::size_t i = 0; i < area; ++i) {
    const float d = patch.grey[i] - (gain * now.grey[i] + offset);
    bx += d * patch.slope_x[i];
    by += d * patch.slope_y[i];
    rest += d * d;
  }
  seen.bx = bx;
  seen.by = by;
  seen.unlike = rest / (static_cast<double>(area) * watched.square);
  const double det = patch.xx * patch.yy - patch.xy * patch.xy;
  seen.step_px = {(patch.yy * bx - patch.xy * by) / det, (patch.xx * by - patch.xy * bx) / det};
  return seen;
}

struct PatchGroup::CommonStep {
  Similarity px_from_px;
  Point bend;
  double farthest_px = 0.0;
};

namespace {

// Marks as used what lies within `times` the middle distance, or within `least_px`.
template <typename Things, typename Distance>
std::size_t keep_near(Things& seen, const Distance& distance, double times, double least_px) {
  std::vector<double> off;
  for (const auto& s : seen) {
    if (s.used) off.push_back(distance(s));
  }
  if (off.empty()) return 0;
  const double cut = std::max(least_px, times * math::upper_median(off));
  std::size_t count = 0;
  for (auto& s : seen) {
    s.used = s.inside && s.unlike < worst_start && distance(s) < cut;
    count += s.used ? 1 : 0;
  }
  return count;
}

}  // namespace

std::optional<PatchGroup::CommonStep> PatchGroup::common_step(const Looked& looked, std::vector<Seen>& seen) const {
  Point middle;
  std::vector<double> xs;
  std::vector<double> ys;
  for (Seen& s : seen) {
    s.used = s.inside && s.unlike < worst_start;
    if (!s.used) continue;
    middle = {middle.x + s.px.x, middle.y + s.px.y};
    xs.push_back(s.step_px.x);
    ys.push_back(s.step_px.y);
  }
  if (xs.size() < least_agreeing) return std::nullopt;
  const auto count = static_cast<double>(xs.size());
  middle = {middle.x / count, middle.y / count};
  const Point usual{math::upper_median(xs), math::upper_median(ys)};
  const auto from_usual = [&](const Seen& s) { return length({s.step_px.x - usual.x, s.step_px.y - usual.y}); };
  if (keep_near(seen, from_usual, 2.0, wide_cut_px) < least_agreeing) return std::nullopt;
  const auto effects_at = [&](Point px) {
    const Point whole = middle_px();
    return effects({px.x - middle.x, px.y - middle.y}, {px.x - whole.x, px.y - whole.y});
  };
  Step step = Step::Zero();
  for (int pass = 0; pass < 3; ++pass) {
    Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
    Step right = Step::Zero();
    int used = 0;
    for (std::size_t i = 0; i < seen.size(); ++i) {
      if (!seen[i].used) continue;
      ++used;
      const Eigen::Matrix<double, 2, 6> j = effects_at(seen[i].px);
      const MarkedPatch& p = looked[i]->patch;
      const Eigen::Matrix2d slopes{{p.xx, p.xy}, {p.xy, p.yy}};
      normal += j.transpose() * slopes * j;
      right += j.transpose() * Eigen::Vector2d(seen[i].bx, seen[i].by);
    }
    step.setZero();
    const int numbers = bends_about_ && used >= least_to_bend ? 6 : 4;
    step.head(numbers) = normal.topLeftCorner(numbers, numbers).ldlt().solve(right.head(numbers));
    if (!step.allFinite()) return std::nullopt;
    for (Seen& s : seen) {
      const Eigen::Vector2d moved = effects_at(s.px) * step;
      s.off_px = length({s.step_px.x - moved.x(), s.step_px.y - moved.y()});
      s.moved_px = moved.norm();
    }
    if (keep_near(
            seen, [](const Seen& s) { return s.off_px; }, 2.5, agree_px) < least_agreeing)
      return std::nullopt;
  }
  CommonStep out;
  const Similarity turn{1 + step(3), step(2), {}};
  const Point back = turn.map(middle);
  out.px_from_px = {turn.a, turn.b, {middle.x + step(0) - back.x, middle.y + step(1) - back.y}};
  out.bend = {bend_unit * step(4), bend_unit * step(5)};
  for (const Seen& s : seen) {
    if (s.used) out.farthest_px = std::max(out.farthest_px, s.moved_px);
  }
  return out;
}

std::optional<GroupFit> PatchGroup::fit(const clip::Frame& frame, const GroupMap& about,
                                        const FitEffort& effort) const {
  Looked looked;
  std::vector<clip::Patch> windows;
  for (const Watched& watched : patches_) {
    const Point px = about.map(watched.ref, middle_px());
    const int reach = patch_half + effort.reach_px + 2;
    windows.push_back(
        clip::upright_patch(frame, {static_cast<int>(std::lround(px.x)) - reach,
                                    static_cast<int>(std::lround(px.y)) - reach, 2 * reach + 1, 2 * reach + 1}));
    looked.push_back(&watched);
  }
  GroupFit fit{.map = about, .agreeing = {}};
  std::vector<Seen> seen(looked.size());
  for (int round = 0; round < effort.rounds; ++round) {
    for (std::size_t i = 0; i < looked.size(); ++i) seen[i] = look(*looked[i], windows[i], fit.map);
    const auto step = common_step(looked, seen);
    if (!step) return std::nullopt;
    fit.map.px_from_ref = math::after(step->px_from_px, fit.map.px_from_ref);
    fit.map.bend = {fit.map.bend.x + step->bend.x, fit.map.bend.y + step->bend.y};
    if (step->farthest_px < settled_px) break;
  }
  double off_squares = 0;
  double unexplained = 0;  // mean squares of grey levels
  double strength = 0;
  for (std::size_t i = 0; i < looked.size(); ++i) {
    if (!seen[i].inside || seen[i].unlike > visible_share) continue;
    ++fit.visible;
    if (seen[i].off_px > agree_px) continue;
    fit.agreeing.push_back(looked[i]->ref);
    off_squares += seen[i].off_px * seen[i].off_px;
    const Watched& w = *looked[i];
    unexplained += seen[i].unlike * w.square;
    strength += w.patch.weaker();
  }
  if (fit.agreeing.size() < least_agreeing) return std::nullopt;
  const auto count = static_cast<double>(fit.agreeing.size());
  const double scattered_px = std::sqrt(off_squares / (count - 2) / count);  // two places fix the map
  fit.noise_px = std::hypot(scattered_px, neighbours_alike * std::sqrt(unexplained / count / strength));
  return fit;
}

std::optional<GroupMap> PatchGroup::search(const clip::Frame& frame, const GroupMap& about, int reach_px) const {
  cv::Mat sum;
  int count = 0;
  const std::size_t every = std::max<std::size_t>(1, patches_.size() / most_searched);
  const int reach = patch_half + reach_px;
  for (std::size_t i = 0; i < patches_.size(); i += every) {
    const Point px = about.map(patches_[i].ref, middle_px());
    const clip::Patch window =
        clip::upright_patch(frame, {static_cast<int>(std::lround(px.x)) - reach,
                                    static_cast<int>(std::lround(px.y)) - reach, 2 * reach + 1, 2 * reach + 1});
    if (window.box.width != 2 * reach + 1 || window.box.height != 2 * reach + 1) continue;
    const cv::Mat whole(window.box.height, window.box.width, CV_32F, const_cast<float*>(window.grey.data()));
    const cv::Mat wanted(side, side, CV_32F, const_cast<float*>(patches_[i].patch.grey.data()));
    cv::Mat small;
    cv::Mat small_wanted;
    cv::resize(whole(cv::Rect(0, 0, whole.cols - 1, whole.rows - 1)), small, {}, 0.5, 0.5, cv::INTER_AREA);
    cv::resize(wanted(cv::Rect(0, 0, side - 1, side - 1)), small_wanted, {}, 0.5, 0.5, cv::INTER_AREA);
    cv::Mat likeness;
    cv::matchTemplate(small, small_wanted, likeness, cv::TM_CCOEFF_NORMED);
    if (sum.empty()) {
      sum = likeness;
    } else {
      sum += likeness;
    }
    ++count;
  }
  if (count < static_cast<int>(least_agreeing)) return std::nullopt;
  double best = 0;
  cv::Point at;
  cv::minMaxLoc(sum, nullptr, &best, nullptr, &at);
  if (best < least_likeness * count) return std::nullopt;
  GroupMap found = about;
  Point& shift = found.px_from_ref.shift;
  shift = {shift.x + 2 * at.x - reach_px, shift.y + 2 * at.y - reach_px};
  return found;
}

}  // namespace risetrace::camera
