#include "bench/sticker_world.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>

namespace risetrace::bench {
namespace {

constexpr int fine = 8;  // steps of the fine grid in a pixel
constexpr double lens_px = 0.6;
constexpr double white = 225;
constexpr double black = 35;

// Where the sticker is, and how far it goes while the shutter is open, in frame k.
struct Moment {
  Point centre_px;
  Point way_px;
};

// Round a circle, at rest at first, as a person who has not begun; the shutter is open from one frame to the next, so
// that the blur is the way gone. At changing speed: up and down along a slanted line.
std::vector<Moment> moments_of(const View& c, int frames, int width, int height) {
  const double reach = 0.5 * height - c.radius_px - 0.5 * c.blur_px - 14;
  const double step = std::max(0.7317, c.blur_px);
  std::vector<Moment> out;
  double gone = 0;
  for (int k = 0; k < frames; ++k) {
    const double begun = std::min(1.0, static_cast<double>(k) / run_in_frames);
    Point at;
    Point way;
    if (c.surroundings == Surroundings::jerky) {
      const double phase = 2 * M_PI * k / 37.3;
      const double blur = begun * c.blur_px * std::cos(phase);
      at = {0.28 * reach * std::sin(phase), 0.96 * reach * std::sin(phase)};
      way = {0.28 * blur, 0.96 * blur};
    } else {
      gone += begun * step / reach;
      at = {reach * std::cos(gone), reach * std::sin(gone)};
      way = {-begun * c.blur_px * std::sin(gone), begun * c.blur_px * std::cos(gone)};
    }
    out.push_back({{0.5 * width + at.x + 0.31, 0.5 * height + at.y - 0.17}, way});
  }
  return out;
}

// A rough texture on the fine grid that repeats after `period` pixels: two layers of smooth noise.
constexpr int period = 288;
cv::Mat rough_texture() {
  std::mt19937 random(7);
  std::uniform_real_distribution<float> grey(-1, 1);
  cv::Mat texture(period * fine, period * fine, CV_32F, cv::Scalar(115));
  for (const auto& [grain_px, strength] : {std::pair{9, 32.0}, std::pair{4, 18.0}}) {
    cv::Mat coarse(period / grain_px, period / grain_px, CV_32F);
    for (float& one : cv::Mat_<float>(coarse)) one = grey(random);
    cv::Mat layer;
    cv::copyMakeBorder(coarse, coarse, 2, 2, 2, 2, cv::BORDER_WRAP);
    cv::resize(coarse, layer, {}, grain_px * fine, grain_px * fine, cv::INTER_CUBIC);
    texture += strength * layer(cv::Rect(2 * grain_px * fine, 2 * grain_px * fine, texture.cols, texture.rows));
  }
  return texture;
}

class World {
 public:
  explicit World(const View& view)
      : view_(view), texture_(view.surroundings == Surroundings::drifting ? rough_texture() : cv::Mat()) {}

  // The fine grid about a sticker at `centre`: what stands behind it, at pixel (x, y).
  [[nodiscard]] double behind(double x, double y, int frame) const {
    switch (view_.surroundings) {
      case Surroundings::pattern: {
        const int odd = static_cast<int>(std::floor(x / 17)) + static_cast<int>(std::floor(y / 17));
        return odd % 2 == 0 ? 95 : 140;
      }
      case Surroundings::drifting:
        return texture_.at<float>((static_cast<int>((y + 1) * fine) + 3 * frame) % texture_.rows,
                                  (static_cast<int>((x + 1) * fine) + 7 * frame) % texture_.cols);
      default:
        return 115 + 0.22 * (x - 100) - 0.12 * (y - 100);
    }
  }

  // What goes with the sticker: grey and cover at (dx, dy) pixels from its centre. `apart`: only the sticker itself is
  // put so much beside its place.
  [[nodiscard]] std::pair<double, double> going_along(double dx, double dy, Point apart) const {
    const auto [grey, cover] = sticker(dx - apart.x, dy - apart.y);
    if (view_.surroundings != Surroundings::seam) return {grey, cover};
    return {grey * cover + beside(dx, dy) * (1 - cover), 1};
  }

 private:
  [[nodiscard]] double beside(double dx, double dy) const {
    const double radius = view_.radius_px;
    const double seam = 0.8 * dx + 0.6 * dy - 1.3 * radius;  // a line that passes at 1.3 radii
    if (std::abs(seam) < 0.08 * radius) return 60;
    if (dy > 1.45 * radius) return 200;  // the sole
    return 105 + 0.1 * dx;
  }

  [[nodiscard]] std::pair<double, double> sticker(double dx, double dy) const {
    const double radius = view_.radius_px;
    const bool turned = view_.surroundings == Surroundings::aside;
    // Turned by 50 degrees about an axis that leans by 20 degrees.
    const double u = std::cos(0.35) * dx + std::sin(0.35) * dy;
    const double v = -std::sin(0.35) * dx + std::cos(0.35) * dy;
    const double r = turned ? std::hypot(u / std::cos(50 * M_PI / 180), v) : std::hypot(dx, dy);
    // A cell of the fine grid on an edge is part one, part the other: else the stairs of the grid show.
    const auto within = [r](double edge) { return std::clamp(0.5 + (edge - r) * fine, 0.0, 1.0); };
    const double disc = within(0.65 * radius);
    return {white * disc + black * (1 - disc), within(radius)};
  }

  View view_;
  cv::Mat texture_;
};

// The picture without its noise, in float grey levels.
cv::Mat exposed(const World& world, const View& c, const Moment& moment, int frame, int width, int height,
                Point apart = {}) {
  // Pixels in which the sticker, or what goes with it, may show; beyond them everything stands still.
  const int half =
      static_cast<int>(std::ceil((c.surroundings == Surroundings::seam ? 2.2 : 1.0) * c.radius_px + 0.5 * c.blur_px)) +
      6;
  const int left = std::max(0, static_cast<int>(moment.centre_px.x) - half);
  const int top = std::max(0, static_cast<int>(moment.centre_px.y) - half);
  const int columns = std::min(width, static_cast<int>(moment.centre_px.x) + half + 1) - left;
  const int rows = std::min(height, static_cast<int>(moment.centre_px.y) + half + 1) - top;
  cv::Mat picture(height, width, CV_32F);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) picture.at<float>(y, x) = static_cast<float>(world.behind(x, y, frame));
  }
  // What goes along, light and cover, once without its movement ...
  const int margin = (static_cast<int>(std::ceil(0.5 * c.blur_px)) + 2) * fine;
  const cv::Size size(columns * fine, rows * fine);
  cv::Mat along(size.height + 2 * margin, size.width + 2 * margin, CV_32FC2);
  for (int j = 0; j < along.rows; ++j) {
    for (int i = 0; i < along.cols; ++i) {
      const double x = left + (i - margin + 0.5) / fine - 0.5;
      const double y = top + (j - margin + 0.5) / fine - 0.5;
      const auto [grey, cover] = world.going_along(x - moment.centre_px.x, y - moment.centre_px.y, apart);
      along.at<cv::Vec2f>(j, i) = {static_cast<float>(grey * cover), static_cast<float>(cover)};
    }
  }
  // ... and then the mean over its way while the shutter is open, in steps of a quarter of a pixel.
  const int instants = std::max(1, static_cast<int>(std::ceil(std::hypot(moment.way_px.x, moment.way_px.y) * 4)));
  cv::Mat mean = cv::Mat::zeros(size, CV_32FC2);
  for (int k = 0; k < instants; ++k) {
    const double share = (k + 0.5) / instants - 0.5;
    const cv::Point from(margin - static_cast<int>(std::lround(share * moment.way_px.x * fine)),
                         margin - static_cast<int>(std::lround(share * moment.way_px.y * fine)));
    cv::accumulate(along(cv::Rect(from, size)), mean);
  }
  mean /= instants;
  cv::Mat light(size, CV_32F);
  for (int j = 0; j < size.height; ++j) {
    for (int i = 0; i < size.width; ++i) {
      const cv::Vec2f covered = mean.at<cv::Vec2f>(j, i);
      const double x = left + (i + 0.5) / fine - 0.5;
      const double y = top + (j + 0.5) / fine - 0.5;
      light.at<float>(j, i) = covered[0] + (1 - covered[1]) * static_cast<float>(world.behind(x, y, frame));
    }
  }
  cv::GaussianBlur(light, light, {}, lens_px * fine);
  cv::Mat pixels;
  cv::resize(light, pixels, {columns, rows}, 0, 0, cv::INTER_AREA);
  const int rim = 3;  // the lens's blur is cut off there
  pixels(cv::Rect(rim, rim, columns - 2 * rim, rows - 2 * rim))
      .copyTo(picture(cv::Rect(left + rim, top + rim, columns - 2 * rim, rows - 2 * rim)));
  return picture;
}

}  // namespace

std::vector<Shown> film(const View& view, int frames, int width, int height) {
  const World world(view);
  std::vector<Shown> out;
  for (const Moment& moment : moments_of(view, frames, width, height)) {
    const int k = static_cast<int>(out.size());
    out.push_back({exposed(world, view, moment, k, width, height), moment.centre_px});
  }
  return out;
}

clip::Frame frame_of(const cv::Mat& grey, int number) {
  const auto owned = std::make_shared<cv::Mat>(grey.clone());
  clip::Frame frame;
  frame.number = number;
  frame.time_s = number / world_fps;
  frame.width_px = grey.cols;
  frame.height_px = grey.rows;
  frame.full_range = true;
  frame.luma = {owned->data, static_cast<std::ptrdiff_t>(owned->step), grey.cols, grey.rows};
  frame.owner = owned;
  return frame;
}

std::vector<Shown> noisy(const std::vector<Shown>& clean, double noise_grey, unsigned seed) {
  cv::RNG random(seed);
  std::vector<Shown> out;
  for (const Shown& one : clean) {
    cv::Mat noise(one.grey.size(), CV_32F);
    random.fill(noise, cv::RNG::NORMAL, 0, noise_grey);
    cv::Mat grey;
    cv::Mat(one.grey + noise).convertTo(grey, CV_8U);
    out.push_back({grey, one.centre_px});
  }
  return out;
}

double bound_px(const View& view, int frames, int width, int height) {
  constexpr double step = 0.05;
  constexpr int sampled = 8;  // frames; their bounds differ by some percent
  const World world(view);
  const std::vector<Moment> moments = moments_of(view, frames, width, height);
  double sum = 0;
  for (int s = 0; s < sampled; ++s) {
    const int k = s * frames / sampled;
    const Moment& moment = moments[static_cast<std::size_t>(k)];
    const auto slope = [&](double x, double y) {
      return cv::Mat((exposed(world, view, moment, k, width, height, {x, y}) -
                      exposed(world, view, moment, k, width, height, {-x, -y})) /
                     (2 * step));
    };
    const cv::Mat across = slope(step, 0);
    const cv::Mat down = slope(0, step);
    const double xx = across.dot(across);
    const double yy = down.dot(down);
    const double xy = across.dot(down);
    sum += (xx + yy) / (xx * yy - xy * xy) / 2;  // mean of the diagonal of the inverse
  }
  return std::sqrt(sum / sampled);
}

std::string name_of(Surroundings surroundings) {
  switch (surroundings) {
    case Surroundings::slope:
      return "sloping light";
    case Surroundings::pattern:
      return "squares behind";
    case Surroundings::drifting:
      return "drifting texture behind";
    case Surroundings::seam:
      return "seam and sole beside";
    case Surroundings::aside:
      return "turned away by 50°";
    case Surroundings::jerky:
      return "changing speed";
  }
  return "";
}

}  // namespace risetrace::bench
