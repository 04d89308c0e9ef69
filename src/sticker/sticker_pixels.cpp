#include "sticker/sticker_pixels.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace risetrace::sticker {
namespace {

Pixels pixels_of(const std::vector<float>& xyg) {
  const auto all = Eigen::Map<const Eigen::Array<float, 3, Eigen::Dynamic>>(xyg.data(), 3,
                                                                            static_cast<Eigen::Index>(xyg.size() / 3));
  return {all.row(0), all.row(1), all.row(2)};
}

void add_pixel(const clip::Patch& patch, int column, int row, std::vector<float>& xyg) {
  xyg.insert(xyg.end(), {static_cast<float>(patch.box.x0 + column), static_cast<float>(patch.box.y0 + row),
                         patch.at(column, row)});
}

// Those of which wanted(dx, dy, column, row) is true; dx and dy from the centre.
template <class Wanted>
Pixels gathered(const clip::Patch& patch, Point centre, const Wanted& wanted) {
  std::vector<float> xyg;
  xyg.reserve(3 * patch.grey.size());
  for (int row = 0; row < patch.box.height; ++row) {
    for (int column = 0; column < patch.box.width; ++column) {
      const double x = patch.box.x0 + column;
      const double y = patch.box.y0 + row;
      if (!wanted(x - centre.x, y - centre.y, column, row)) continue;
      add_pixel(patch, column, row, xyg);
    }
  }
  return pixels_of(xyg);
}

// One pixel in `sparing`, on a slanted lattice: a square grid would meet a sharp round edge in step with itself.
class Lattice {
 public:
  explicit Lattice(int sparing)
      : sparing_(std::max(1, sparing)), slant_(static_cast<int>(std::lround(0.382 * sparing_))) {
    while (std::gcd(slant_, sparing_) != 1) ++slant_;  // from the golden section, which spreads the lattice evenly
  }
  [[nodiscard]] bool holds(int column, int row) const { return (column + slant_ * row) % sparing_ == 0; }
  // The columns that it holds in a row: the first, and from one to the next.
  [[nodiscard]] int first_column(int row) const { return (sparing_ - slant_ * row % sparing_) % sparing_; }
  [[nodiscard]] int sparing() const { return sparing_; }

 private:
  int sparing_;
  int slant_;
};

// To either side of an edge: within `telling` lie 99 % of what its pixels tell of its place (the square of its bell),
// within `showing` it shows at all. Beyond that, `ground_px` of bare ground tell its level.
struct Band {
  explicit Band(const Look& look) {
    const double half_way_px = 0.5 * std::hypot(look.motion_px.x, look.motion_px.y);
    telling_px = 1.3 * look.soft_px + half_way_px + 0.5;
    showing_px = 2.3 * look.soft_px + half_way_px + 1.0;
  }
  double telling_px;
  double showing_px;
};
constexpr double ground_px = 1.5;

}  // namespace

double reach_beyond_px(const Look& look) { return Band(look).showing_px + ground_px; }

Pixels sampled_pixels(const clip::Patch& patch, Point centre, double reach_px, int most) {
  const Lattice lattice(static_cast<int>(std::ceil(M_PI * reach_px * reach_px / most)));
  std::vector<float> xyg;
  xyg.reserve(static_cast<std::size_t>(4 * most));
  for (int row = 0; row < patch.box.height; ++row) {
    const double dy = patch.box.y0 + row - centre.y;
    for (int column = lattice.first_column(row); column < patch.box.width; column += lattice.sparing()) {
      const double dx = patch.box.x0 + column - centre.x;
      if (dx * dx + dy * dy <= reach_px * reach_px) add_pixel(patch, column, row, xyg);
    }
  }
  return pixels_of(xyg);
}

Pixels edge_pixels(const clip::Patch& patch, Point centre, const Look& look) {
  const Band band(look);
  const double outer = look.outer_radius_px;
  const double inner = look.inner_share * outer;
  const double reach = outer + reach_beyond_px(look);
  const Lattice sparse(3);
  return gathered(patch, centre, [&](double dx, double dy, int column, int row) {
    const double ux = (1 + look.stretch) * dx + look.shear * dy;
    const double uy = look.shear * dx + (1 - look.stretch) * dy;
    const double r = std::sqrt(ux * ux + uy * uy);
    if (r > reach) return false;
    return std::abs(r - outer) < band.telling_px || std::abs(r - inner) < band.telling_px || sparse.holds(column, row);
  });
}

}  // namespace risetrace::sticker
