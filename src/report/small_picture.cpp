#include "report/small_picture.h"

#include <algorithm>
#include <cmath>

#include "report/frame_format.h"

namespace risetrace::report {
namespace {

// libswscale fills rows in whole vector registers: the last one may be written to beyond its end.
constexpr std::size_t spare = 64;
constexpr int least_px = 16;  // what an encoder takes

int even(double length) { return std::max(least_px, 2 * static_cast<int>(std::lround(length / 2))); }

double scale_to(int width_px, int widest_px) {
  return std::min(1.0, static_cast<double>(widest_px) / std::max(width_px, 1));
}

}  // namespace

void SmallPicture::FreeScaler::operator()(SwsContext* scaler) const { sws_freeContext(scaler); }

SmallPicture::SmallPicture(const clip::Frame& first, int widest_px)
    : width_(even(first.width_px * scale_to(first.width_px, widest_px))),
      height_(even(first.height_px * scale_to(first.width_px, widest_px))),
      scale_(static_cast<double>(width_) / std::max(first.width_px, 1)),
      upright_(width_, height_) {}

Result<PictureView> SmallPicture::of(const clip::Frame& frame) {
  const AVPixelFormat format = format_of(frame);
  if (format == AV_PIX_FMT_NONE) {
    return Error{Fault::defect, "a picture of " + std::to_string(frame.bits) + " bits cannot be scaled", ""};
  }
  const bool turned = (frame.orientation.quarter_turns_cw & 1) != 0;
  const int width = turned ? height_ : width_;
  const int height = turned ? width_ : height_;
  scaler_.reset(sws_getCachedContext(scaler_.release(), frame.luma.width, frame.luma.height, format, width, height,
                                     AV_PIX_FMT_YUV420P, SWS_FAST_BILINEAR, nullptr, nullptr, nullptr));
  if (!scaler_) return Error{Fault::defect, "libswscale cannot scale this picture", ""};
  sws_setColorspaceDetails(scaler_.get(), sws_getCoefficients(colour_matrix(frame)), frame.full_range ? 1 : 0,
                           sws_getCoefficients(SWS_CS_ITU709), 0, 0, whole_colour, whole_colour);
  const auto size = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
  planes_[0].resize(size + spare);
  planes_[1].resize(size / 4 + spare);
  planes_[2].resize(size / 4 + spare);
  const std::array<const std::uint8_t*, 4> from = {frame.luma.data, frame.chroma[0].data, frame.chroma[1].data,
                                                   nullptr};
  const std::array<int, 4> from_strides = {static_cast<int>(frame.luma.stride_bytes),
                                           static_cast<int>(frame.chroma[0].stride_bytes),
                                           static_cast<int>(frame.chroma[1].stride_bytes), 0};
  const std::array<std::uint8_t*, 4> to = {planes_[0].data(), planes_[1].data(), planes_[2].data(), nullptr};
  const std::array<int, 4> to_strides = {width, width / 2, width / 2, 0};
  const int rows =
      sws_scale(scaler_.get(), from.data(), from_strides.data(), 0, frame.luma.height, to.data(), to_strides.data());
  if (rows != height) return Error{Fault::defect, "libswscale gave up in the middle of a picture", ""};
  clip::Frame small;
  small.width_px = width_;
  small.height_px = height_;
  small.orientation = frame.orientation;
  small.luma = {planes_[0].data(), width, width, height};
  for (int i = 0; i < 2; ++i) {
    small.chroma[i] = {planes_.at(static_cast<std::size_t>(i) + 1).data(), width / 2, width / 2, height / 2};
  }
  return upright_.of(small, 0, 0);
}

}  // namespace risetrace::report
