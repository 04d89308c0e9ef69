#include "report/picture_canvas.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "report/frame_format.h"

namespace risetrace::report {
namespace {

// libswscale fills rows in whole vector registers: the last one may be written to beyond its end.
constexpr std::size_t spare = 64;

int even(double length) { return std::max(2, 2 * static_cast<int>(std::lround(length / 2))); }

}  // namespace

struct PictureCanvas::Scalers {
  SwsContext* in = nullptr;
  SwsContext* out = nullptr;

  Scalers() = default;
  Scalers(const Scalers&) = delete;
  Scalers& operator=(const Scalers&) = delete;
  ~Scalers() {
    sws_freeContext(in);
    sws_freeContext(out);
  }
};

PictureCanvas::PictureCanvas(const clip::Frame& first, int least_px, int most_px)
    : scalers_(std::make_unique<Scalers>()) {
  const int longest = std::max({first.width_px, first.height_px, 1});
  const double scale = static_cast<double>(std::clamp(longest, least_px, most_px)) / longest;
  width_ = even(first.width_px * scale);
  height_ = even(first.height_px * scale);
  scale_x_ = static_cast<double>(width_) / std::max(first.width_px, 1);
  scale_y_ = static_cast<double>(height_) / std::max(first.height_px, 1);
  surface_.reset(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_, height_));
  context_.reset(cairo_create(surface_.get()));
  planes_.resize(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_) * 3 / 2 + spare);
}

PictureCanvas::~PictureCanvas() = default;

Point PictureCanvas::from_upright(Point px) const { return {(px.x + 0.5) * scale_x_, (px.y + 0.5) * scale_y_}; }

Outcome PictureCanvas::scale_into(const clip::Frame& frame, std::uint8_t* to, int stride, int width, int height) {
  const AVPixelFormat format = format_of(frame);
  if (format == AV_PIX_FMT_NONE) {
    return Error{Fault::defect, "a picture of " + std::to_string(frame.bits) + " bits cannot be drawn upon", ""};
  }
  scalers_->in = sws_getCachedContext(scalers_->in, frame.luma.width, frame.luma.height, format, width, height,
                                      AV_PIX_FMT_BGR0, SWS_BILINEAR, nullptr, nullptr, nullptr);
  if (scalers_->in == nullptr) return Error{Fault::defect, "libswscale cannot scale this picture", ""};
  sws_setColorspaceDetails(scalers_->in, sws_getCoefficients(colour_matrix(frame)), frame.full_range ? 1 : 0,
                           sws_getCoefficients(SWS_CS_ITU709), 1, 0, whole_colour, whole_colour);
  const std::array<const std::uint8_t*, 4> planes = {frame.luma.data, frame.chroma[0].data, frame.chroma[1].data,
                                                     nullptr};
  const std::array<int, 4> strides = {static_cast<int>(frame.luma.stride_bytes),
                                      static_cast<int>(frame.chroma[0].stride_bytes),
                                      static_cast<int>(frame.chroma[1].stride_bytes), 0};
  const std::array<std::uint8_t*, 4> to_planes = {to, nullptr, nullptr, nullptr};
  const std::array<int, 4> to_strides = {stride, 0, 0, 0};
  const int rows =
      sws_scale(scalers_->in, planes.data(), strides.data(), 0, frame.luma.height, to_planes.data(), to_strides.data());
  if (rows != height) return Error{Fault::defect, "libswscale gave up in the middle of a picture", ""};
  return Done{};
}

// stored_ to the surface: mirrored first, then turned clockwise, as clip::Orientation says. The way through stored_ is
// linear in the column, so each row is a start and a step. Done in narrow bands of columns: a turned picture is read
// down its columns, and a band's lines stay in the cache from one row to the next.
void PictureCanvas::turn_upright(const clip::Orientation& orientation, int stored_width, int stored_height) {
  unsigned char* data = cairo_image_surface_get_data(surface_.get());
  const int row_bytes = cairo_image_surface_get_stride(surface_.get());
  const auto index_of = [&](int x, int y) {
    int from_x = x;
    int from_y = y;
    switch (orientation.quarter_turns_cw & 3) {
      case 1:
        from_x = y, from_y = stored_height - 1 - x;
        break;
      case 2:
        from_x = stored_width - 1 - x, from_y = stored_height - 1 - y;
        break;
      case 3:
        from_x = stored_width - 1 - y, from_y = x;
        break;
      default:
        break;
    }
    if (orientation.mirrored) from_x = stored_width - 1 - from_x;
    return static_cast<std::ptrdiff_t>(from_y) * stored_width + from_x;
  };
  const std::ptrdiff_t step = index_of(1, 0) - index_of(0, 0);
  constexpr int band = 64;
  for (int x0 = 0; x0 < width_; x0 += band) {
    const int x1 = std::min(x0 + band, width_);
    for (int y = 0; y < height_; ++y) {
      auto* row = reinterpret_cast<std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * row_bytes);
      const std::uint32_t* from = stored_.data() + index_of(x0, y);
      for (int x = x0; x < x1; ++x, from += step) row[x] = *from;
    }
  }
}

Outcome PictureCanvas::load(const clip::Frame& frame) {
  const bool turned = (frame.orientation.quarter_turns_cw & 1) != 0;
  const int stored_width = turned ? height_ : width_;
  const int stored_height = turned ? width_ : height_;
  stored_.resize(static_cast<std::size_t>(stored_width) * static_cast<std::size_t>(stored_height) + spare);
  auto scaled =
      scale_into(frame, reinterpret_cast<std::uint8_t*>(stored_.data()), stored_width * 4, stored_width, stored_height);
  if (!scaled) return scaled;
  cairo_surface_flush(surface_.get());
  turn_upright(frame.orientation, stored_width, stored_height);
  cairo_surface_mark_dirty(surface_.get());
  return Done{};
}

Result<PictureView> PictureCanvas::picture() {
  cairo_surface_flush(surface_.get());
  scalers_->out = sws_getCachedContext(scalers_->out, width_, height_, AV_PIX_FMT_BGR0, width_, height_,
                                       AV_PIX_FMT_YUV420P, SWS_FAST_BILINEAR, nullptr, nullptr, nullptr);
  if (scalers_->out == nullptr) return Error{Fault::defect, "libswscale cannot convert the overlay", ""};
  sws_setColorspaceDetails(scalers_->out, sws_getCoefficients(SWS_CS_ITU709), 1, sws_getCoefficients(SWS_CS_ITU709), 0,
                           0, whole_colour, whole_colour);
  const int half_width = width_ / 2;
  const int half_height = height_ / 2;
  std::uint8_t* y = planes_.data();
  std::uint8_t* cb = y + static_cast<std::ptrdiff_t>(width_) * height_;
  std::uint8_t* cr = cb + static_cast<std::ptrdiff_t>(half_width) * half_height;
  const std::array<const std::uint8_t*, 4> from = {cairo_image_surface_get_data(surface_.get()), nullptr, nullptr,
                                                   nullptr};
  const std::array<int, 4> from_strides = {cairo_image_surface_get_stride(surface_.get()), 0, 0, 0};
  const std::array<std::uint8_t*, 4> to = {y, cb, cr, nullptr};
  const std::array<int, 4> to_strides = {width_, half_width, half_width, 0};
  if (sws_scale(scalers_->out, from.data(), from_strides.data(), 0, height_, to.data(), to_strides.data()) != height_) {
    return Error{Fault::defect, "libswscale gave up in the middle of the overlay", ""};
  }
  PictureView view;
  view.luma = {y, width_, width_, height_};
  view.chroma = {clip::Plane{cb, half_width, half_width, half_height},
                 clip::Plane{cr, half_width, half_width, half_height}};
  return view;
}

}  // namespace risetrace::report
