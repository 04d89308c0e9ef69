#include "report/grey_picture.h"

#include <cstring>

namespace risetrace::report {
namespace {

Surface surface_of(const clip::GreyPicture& picture) {
  Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
  cairo_surface_flush(surface.get());
  unsigned char* data = cairo_image_surface_get_data(surface.get());
  const std::ptrdiff_t stride = cairo_image_surface_get_stride(surface.get());
  for (int y = 0; data != nullptr && y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      const std::size_t at =
          static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(x);
      const std::uint32_t grey = at < picture.grey.size() ? picture.grey[at] : 0U;
      const std::uint32_t pixel = grey << 16U | grey << 8U | grey;
      std::memcpy(data + y * stride + 4 * static_cast<std::ptrdiff_t>(x), &pixel, 4);
    }
  }
  cairo_surface_mark_dirty(surface.get());
  return surface;
}

}  // namespace

void draw_grey_picture(const Ink& ink, double x, double y, double width, double height,
                       const clip::GreyPicture& picture) {
  if (picture.width <= 0 || picture.height <= 0) return;
  const Surface surface = surface_of(picture);
  cairo_t* cr = ink.context();
  cairo_save(cr);
  cairo_translate(cr, x, y);
  cairo_scale(cr, width / picture.width, height / picture.height);
  cairo_set_source_surface(cr, surface.get(), 0, 0);
  cairo_pattern_set_extend(cairo_get_source(cr), CAIRO_EXTEND_PAD);
  cairo_rectangle(cr, 0, 0, picture.width, picture.height);
  cairo_fill(cr);
  cairo_restore(cr);
}

}  // namespace risetrace::report
