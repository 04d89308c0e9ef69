// The colour of one pixel of a canvas.
#pragma once

#include <cairo.h>

#include <cstddef>
#include <cstdint>
#include <cstring>

#include "report/picture_canvas.h"

namespace risetrace::test {

struct Rgb {
  int red = 0;
  int green = 0;
  int blue = 0;
};

inline Rgb colour_at(const report::PictureCanvas& canvas, double x, double y) {
  cairo_surface_t* surface = cairo_get_target(canvas.ink().context());
  cairo_surface_flush(surface);
  const unsigned char* row =
      cairo_image_surface_get_data(surface) + static_cast<std::ptrdiff_t>(y) * cairo_image_surface_get_stride(surface);
  std::uint32_t pixel = 0;
  std::memcpy(&pixel, row + 4 * static_cast<std::ptrdiff_t>(x), 4);
  return {static_cast<int>(pixel >> 16U & 0xffU), static_cast<int>(pixel >> 8U & 0xffU),
          static_cast<int>(pixel & 0xffU)};
}

}  // namespace risetrace::test
