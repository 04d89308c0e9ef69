#include "synth/develop.h"

#include <algorithm>
#include <cmath>

namespace risetrace::synth {
namespace {

constexpr int tone_steps = 8192;
constexpr float fixed_per_grey = 64.0F;
constexpr float half = 0.5F;  // rounds what is never negative, faster than std::lround

std::vector<float> gaussian_kernel(double sd_px) {
  std::vector<float> kernel{1.0F};
  if (sd_px < 0.05) return kernel;
  const int reach = static_cast<int>(std::ceil(3.2 * sd_px));
  double sum = 1.0;
  for (int i = 1; i <= reach; ++i) {
    const double weight = std::exp(-0.5 * i * i / (sd_px * sd_px));
    kernel.push_back(static_cast<float>(weight));
    sum += 2 * weight;
  }
  for (float& weight : kernel) weight = static_cast<float>(weight / sum);
  return kernel;
}

std::int16_t fixed(float grey) { return static_cast<std::int16_t>(grey * fixed_per_grey + half); }

}  // namespace

Developer::Developer(const Scene& scene, int width, int height)
    : width_(width),
      height_(height),
      full_range_(scene.file.full_range),
      kernel_(gaussian_kernel(scene.camera.blur_px)),
      half_blurred_(width, height),
      blurred_(width, height) {
  // Indexed by the root of the light, in which the tone curve is nearly straight.
  const Tone tone(scene.camera);
  for (int i = 0; i <= tone_steps + 1; ++i) {
    const double root = static_cast<double>(i) / tone_steps;
    tone_of_root_.push_back(tone.display(static_cast<float>(root * root)));
  }
}

void Developer::blur(double sd_px) { kernel_ = gaussian_kernel(sd_px); }

FixedPicture Developer::blank() const {
  const auto plane = [](int width, int height) {
    return FixedPlane{width, height,
                      std::vector<std::int16_t>(static_cast<std::size_t>(width) * static_cast<std::size_t>(height))};
  };
  return {plane(width_, height_), plane(width_ / 2, height_ / 2), plane(width_ / 2, height_ / 2)};
}

RowSpans Developer::grown(const RowSpans& spans, int by) const {
  RowSpans out(spans.size());
  for (int y = 0; y < height_; ++y) {
    const RowSpan& span = spans[static_cast<std::size_t>(y)];
    if (span.empty()) continue;
    for (int to = std::max(0, y - by); to <= std::min(height_ - 1, y + by); ++to) {
      out[static_cast<std::size_t>(to)].take_in(std::max(0, span.low - by), std::min(width_, span.high + by));
    }
  }
  return out;
}

void Developer::blur_rows(const LightPicture& light, const RowSpans& wanted) {
  const int reach = static_cast<int>(kernel_.size()) - 1;
  for (int y = 0; y < height_; ++y) {
    const RowSpan span = wanted[static_cast<std::size_t>(y)];
    for (int plane = 0; !span.empty() && plane < 3; ++plane) {
      const float* in = light.row(plane, y);
      float* out = half_blurred_.row(plane, y);
      const auto edge = [&](int x) { return in[std::clamp(x, 0, width_ - 1)]; };
      const int inner_low = std::min(span.high, std::max(span.low, reach));
      const int inner_high = std::max(inner_low, std::min(span.high, width_ - reach));
      for (int x = span.low; x < span.high; ++x) {
        if (x >= inner_low && x < inner_high) continue;
        out[x] = kernel_[0] * in[x];
        for (int i = 1; i <= reach; ++i) out[x] += kernel_[static_cast<std::size_t>(i)] * (edge(x - i) + edge(x + i));
      }
      for (int x = inner_low; x < inner_high; ++x) out[x] = kernel_[0] * in[x];
      for (int i = 1; i <= reach; ++i) {
        const float weight = kernel_[static_cast<std::size_t>(i)];
        for (int x = inner_low; x < inner_high; ++x) out[x] += weight * (in[x - i] + in[x + i]);
      }
    }
  }
}

void Developer::blur_columns(const RowSpans& wanted) {
  const int reach = static_cast<int>(kernel_.size()) - 1;
  for (int y = 0; y < height_; ++y) {
    const RowSpan span = wanted[static_cast<std::size_t>(y)];
    for (int plane = 0; !span.empty() && plane < 3; ++plane) {
      const float* middle = half_blurred_.row(plane, y);
      float* out = blurred_.row(plane, y);
      for (int x = span.low; x < span.high; ++x) out[x] = kernel_[0] * middle[x];
      for (int i = 1; i <= reach; ++i) {
        const float weight = kernel_[static_cast<std::size_t>(i)];
        const float* above = half_blurred_.row(plane, std::max(0, y - i));
        const float* below = half_blurred_.row(plane, std::min(height_ - 1, y + i));
        for (int x = span.low; x < span.high; ++x) out[x] += weight * (above[x] + below[x]);
      }
    }
  }
}

void Developer::tone_row(int y, RowSpan span) {
  for (int plane = 0; plane < 3; ++plane) {
    float* row = blurred_.row(plane, y);
    for (int x = span.low; x < span.high; ++x) {
      const float index = std::sqrt(std::clamp(row[x], 0.0F, 1.0F)) * tone_steps;
      const auto below = static_cast<std::size_t>(index);
      const float share = index - static_cast<float>(below);
      row[x] = tone_of_root_[below] + share * (tone_of_root_[below + 1] - tone_of_root_[below]);
    }
  }
}

void Developer::store_luma(int y, RowSpan span, FixedPicture& into) const {
  const float black = full_range_ ? 0.0F : 16.0F;
  const float swing = full_range_ ? 255.0F : 219.0F;
  const float* red = blurred_.row(0, y);
  const float* green = blurred_.row(1, y);
  const float* blue = blurred_.row(2, y);
  std::int16_t* luma = into.luma.row(y);
  for (int x = span.low; x < span.high; ++x) {
    luma[x] = fixed(black + swing * (0.2126F * red[x] + 0.7152F * green[x] + 0.0722F * blue[x]));
  }
}

// Of the rows y and y + 1.
void Developer::store_colour(int y, RowSpan span, FixedPicture& into) const {
  const float swing = (full_range_ ? 255.0F : 224.0F) / 4.0F;
  const auto four = [&](int plane, int x) {
    const float* top = blurred_.row(plane, y);
    const float* low = blurred_.row(plane, y + 1);
    return top[x] + top[x + 1] + low[x] + low[x + 1];
  };
  std::int16_t* cb = into.cb.row(y / 2);
  std::int16_t* cr = into.cr.row(y / 2);
  for (int x = span.low; x < span.high; x += 2) {
    const float red = four(0, x);
    const float blue = four(2, x);
    const float luma = 0.2126F * red + 0.7152F * four(1, x) + 0.0722F * blue;
    cb[x / 2] = fixed(128.0F + swing * (blue - luma) / 1.8556F);
    cr[x / 2] = fixed(128.0F + swing * (red - luma) / 1.5748F);
  }
}

void Developer::develop(const LightPicture& light, RowSpans& spans, FixedPicture& into) {
  const int reach = static_cast<int>(kernel_.size()) - 1;
  spans = grown(spans, reach);
  for (int y = 0; y + 1 < height_; y += 2) {  // whole colour samples: both rows alike, from even to even
    RowSpan& top = spans[static_cast<std::size_t>(y)];
    RowSpan& low = spans[static_cast<std::size_t>(y) + 1];
    if (!low.empty()) top.take_in(low.low, low.high);
    if (!top.empty()) top = {top.low / 2 * 2, (top.high + 1) / 2 * 2};
    low = top;
  }
  blur_rows(light, grown(spans, reach));
  blur_columns(spans);
  for (int y = 0; y < height_; y += 2) {
    const RowSpan span = spans[static_cast<std::size_t>(y)];
    if (span.empty()) continue;
    for (const int row : {y, y + 1}) {
      tone_row(row, span);
      store_luma(row, span, into);
    }
    store_colour(y, span, into);
  }
}

}  // namespace risetrace::synth
