#include "scale/card_look.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "math/homography.h"
#include "math/statistics.h"

namespace risetrace::scale {
namespace {

constexpr double skip_share = 0.15;  // of a side, at each end: the corners
constexpr int lines = 24;            // across a side, averaged
constexpr int steps_a_px = 4;        // so fine is the averaged line
constexpr double of_rise = 2.5631;   // a normal curve rises from 10 to 90 % within so many standard deviations

std::optional<double> grey_at(const clip::GreyPicture& picture, Point px) {
  const int x = static_cast<int>(std::floor(px.x));
  const int y = static_cast<int>(std::floor(px.y));
  if (!(px.x >= 0 && px.y >= 0) || x + 1 >= picture.width || y + 1 >= picture.height) return std::nullopt;
  const std::uint8_t* row = picture.grey.data() + static_cast<std::ptrdiff_t>(y) * picture.width + x;
  const double right = px.x - x;
  const double top = row[0] + right * (row[1] - row[0]);
  const double low = row[picture.width] + right * (row[picture.width + 1] - row[picture.width]);
  return top + (px.y - y) * (low - top);
}

// The mean brightness along lines that cross a side from inside of its black square outwards.
std::vector<double> profile_across(const clip::GreyPicture& picture, Point from, Point to, Point outward,
                                   double reach_px) {
  const int half = static_cast<int>(std::ceil(reach_px * steps_a_px));
  std::vector<double> profile(static_cast<std::size_t>(half) * 2 + 1, 0.0);
  for (int line = 0; line < lines; ++line) {
    const double along = skip_share + (1 - 2 * skip_share) * line / (lines - 1);
    const Point on{from.x + along * (to.x - from.x), from.y + along * (to.y - from.y)};
    for (std::size_t at = 0; at < profile.size(); ++at) {
      const double d = (static_cast<double>(at) - half) / steps_a_px;
      const auto grey = grey_at(picture, {on.x + d * outward.x, on.y + d * outward.y});
      if (!grey) return {};
      profile[at] += *grey / lines;
    }
  }
  return profile;
}

struct EdgeLook {
  double white_grey = 0.0;
  double black_grey = 0.0;
  double blur_px = 0.0;
};

std::optional<EdgeLook> look_of_edge(const std::vector<double>& profile) {
  if (profile.empty()) return std::nullopt;
  const auto black = std::min_element(profile.begin(), profile.end());
  const auto white = std::max_element(profile.begin(), profile.end());
  const double contrast = *white - *black;
  constexpr double least_contrast = 10.0;
  if (white < black || contrast < least_contrast) return std::nullopt;
  const auto crossing = [&](double share) {
    const double level = *black + share * contrast;
    for (auto at = black; at < white; ++at) {
      if (*at <= level && *(at + 1) > level) {
        return static_cast<double>(at - profile.begin()) + (level - *at) / (*(at + 1) - *at);
      }
    }
    return std::nan("");
  };
  const double rise_px = (crossing(0.9) - crossing(0.1)) / steps_a_px;
  if (!std::isfinite(rise_px)) return std::nullopt;
  return EdgeLook{*white, *black, rise_px / of_rise};
}

// Of the card's own plane, wherever it stands against the sticker's.
std::optional<math::Homography> px_from_card(const Scale& scale, const model::TagCard& card) {
  if (!scale.card_outline_px) return std::nullopt;
  const auto& px = *scale.card_outline_px;
  const double half = card.side_cm / 2;
  const auto fit =
      math::fit_homography({{-half, half}, {half, half}, {half, -half}, {-half, -half}}, {px.begin(), px.end()});
  return fit ? std::optional(fit->map) : std::nullopt;
}

}  // namespace

std::optional<CardLook> look_of_card(const clip::GreyPicture& picture, const Scale& scale, const model::TagCard& card) {
  const auto px_from_cm = px_from_card(scale, card);
  if (!px_from_cm || !scale.px_per_cm) return std::nullopt;
  // The black border is one module wide; the lines must end within it.
  const double reach_px = std::clamp(0.9 * *scale.px_per_cm * card.tag_side_cm / card.modules, 1.5, 12.0);
  std::vector<double> white;
  std::vector<double> black;
  std::vector<double> blur;
  for (const model::TagPattern& tag : card.tags) {
    const auto corners = model::tag_corners_cm(card, tag);
    for (std::size_t i = 0; i < 4; ++i) {
      const Point a = px_from_cm->map(corners.at(i));
      const Point b = px_from_cm->map(corners.at((i + 1) % 4));
      const Point middle = px_from_cm->map(tag.centre_cm);
      const double length = std::hypot(b.x - a.x, b.y - a.y);
      if (!(length > 4)) continue;
      Point outward{(b.y - a.y) / length, -(b.x - a.x) / length};
      const Point from_middle{(a.x + b.x) / 2 - middle.x, (a.y + b.y) / 2 - middle.y};
      if (outward.x * from_middle.x + outward.y * from_middle.y < 0) outward = {-outward.x, -outward.y};
      const auto edge = look_of_edge(profile_across(picture, a, b, outward, reach_px));
      if (!edge) continue;
      white.push_back(edge->white_grey);
      black.push_back(edge->black_grey);
      blur.push_back(edge->blur_px);
    }
  }
  if (blur.empty()) return std::nullopt;
  return CardLook{math::median(white), math::median(black), math::median(blur)};
}

}  // namespace risetrace::scale
