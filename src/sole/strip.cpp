#include "sole/strip.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

namespace risetrace::sole {

Strip strip_of(const clip::Frame& frame, Box box, Point shift_px) {
  return {frame.number, frame.time_s, clip::clipped(frame, box), clip::upright_grey(frame, box).grey, shift_px};
}

Strip blurred(const Strip& strip, int reach_px) {
  Strip out = strip;
  if (strip.grey.empty()) return out;
  const cv::Mat from(strip.box.height, strip.box.width, CV_8U, const_cast<std::uint8_t*>(strip.grey.data()));
  cv::Mat to(strip.box.height, strip.box.width, CV_8U, out.grey.data());
  cv::blur(from, to, cv::Size(2 * reach_px + 1, 2 * reach_px + 1));
  return out;
}

Plate blurred(const Plate& plate, int reach_px) {
  Plate out = plate;
  if (plate.grey.empty()) return out;
  // Blurring sums up along rows: one unknown pixel would spoil all that follow. Known ones are averaged instead.
  const cv::Mat from(plate.box.height, plate.box.width, CV_32F, const_cast<float*>(plate.grey.data()));
  const cv::Mat known = from == from;  // NOLINT(misc-redundant-expression): 255 where not NaN
  cv::Mat share;
  cv::Mat filled = from.clone();
  filled.setTo(0, known == 0);
  known.convertTo(share, CV_32F, 1.0 / 255);
  const cv::Size square(2 * reach_px + 1, 2 * reach_px + 1);
  cv::blur(filled, filled, square);
  cv::blur(share, share, square);
  cv::Mat to(plate.box.height, plate.box.width, CV_32F, out.grey.data());
  cv::divide(filled, share, to);
  to.setTo(std::numeric_limits<float>::quiet_NaN(), known == 0);
  return out;
}

namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

// A row of the still world as one strip shows it; NaN beside the strip.
void read_row(const Strip& strip, const Box& box, int y, std::vector<float>& row) {
  const double x0 = box.x0 + strip.shift_px.x - strip.box.x0;
  const double y0 = y + strip.shift_px.y - strip.box.y0;
  row.assign(static_cast<std::size_t>(box.width), unknown);
  if (!(y0 >= 0 && y0 < strip.box.height - 1)) return;
  const int line = static_cast<int>(y0);
  const int first = static_cast<int>(std::floor(x0));
  const auto down = static_cast<float>(y0 - line);
  const auto right = static_cast<float>(x0 - first);
  const std::uint8_t* top = strip.grey.data() + static_cast<std::ptrdiff_t>(line) * strip.box.width;
  const std::uint8_t* low = top + strip.box.width;
  const int from = std::max(0, -first);
  const int to = std::min(box.width, strip.box.width - 1 - first);
  for (int i = from; i < to; ++i) {
    const int at = first + i;
    const auto a = static_cast<float>(top[at]);
    const auto c = static_cast<float>(low[at]);
    const float above = a + right * (static_cast<float>(top[at + 1]) - a);
    const float below = c + right * (static_cast<float>(low[at + 1]) - c);
    row[static_cast<std::size_t>(i)] = above + down * (below - above);
  }
}

// Puts the rows in order in each column, so that the middle row holds the medians: neighbours are exchanged, as often
// as there are rows (odd-even transposition), which runs along whole rows at once.
void sort_columns(std::vector<std::vector<float>>& rows) {
  for (std::size_t round = 0; round < rows.size(); ++round) {
    for (std::size_t i = round % 2; i + 1 < rows.size(); i += 2) {
      float* a = rows[i].data();
      float* b = rows[i + 1].data();
      const std::size_t width = rows[i].size();
      for (std::size_t x = 0; x < width; ++x) {
        const float less = a[x] < b[x] ? a[x] : b[x];
        const float more = a[x] < b[x] ? b[x] : a[x];
        a[x] = less;
        b[x] = more;
      }
    }
  }
}

// Of a column that not all rows know.
float median_of_known(const std::vector<std::vector<float>>& rows, std::size_t x, std::vector<float>& scratch) {
  scratch.clear();
  for (const auto& row : rows) {
    if (!std::isnan(row[x])) scratch.push_back(row[x]);
  }
  const auto middle = scratch.begin() + static_cast<std::ptrdiff_t>(scratch.size() / 2);
  std::nth_element(scratch.begin(), middle, scratch.end());
  return scratch.empty() ? unknown : *middle;
}

}  // namespace

Plate median_plate(const std::vector<const Strip*>& strips, Box box) {
  Plate plate{box,
              std::vector<float>(static_cast<std::size_t>(box.width) * static_cast<std::size_t>(box.height), unknown)};
  if (strips.empty()) return plate;
  const auto width = static_cast<std::size_t>(box.width);
  std::vector<std::vector<float>> rows(strips.size());
  std::vector<float> sum;  // NaN where any row is
  std::vector<float> scratch;
  for (int line = 0; line < box.height; ++line) {
    float* out = plate.grey.data() + static_cast<std::ptrdiff_t>(line) * box.width;
    sum.assign(width, 0.0F);
    for (std::size_t i = 0; i < strips.size(); ++i) {
      read_row(*strips[i], box, box.y0 + line, rows[i]);
      for (std::size_t x = 0; x < width; ++x) sum[x] += rows[i][x];
    }
    for (std::size_t x = 0; x < width; ++x) {
      if (std::isnan(sum[x])) out[x] = median_of_known(rows, x, scratch);
    }
    sort_columns(rows);
    const std::vector<float>& middle = rows[rows.size() / 2];
    for (std::size_t x = 0; x < width; ++x) {
      if (!std::isnan(sum[x])) out[x] = middle[x];
    }
  }
  return plate;
}

}  // namespace risetrace::sole
