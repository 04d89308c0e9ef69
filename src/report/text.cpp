#include "report/text.h"

#include <pango/pangocairo.h>

#include <array>
#include <cmath>
#include <numbers>

namespace risetrace::report {
namespace {

struct ObjectFreer {
  void operator()(gpointer object) const { g_object_unref(object); }
};
struct FontFreer {
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
using Layout = std::unique_ptr<PangoLayout, ObjectFreer>;

PangoAlignment pango_align(Align align) {
  if (align == Align::centre) return PANGO_ALIGN_CENTER;
  return align == Align::right ? PANGO_ALIGN_RIGHT : PANGO_ALIGN_LEFT;
}

Layout layout_of(cairo_t* cr, const std::string& text, const TextStyle& style) {
  Layout layout(pango_cairo_create_layout(cr));
  const std::unique_ptr<PangoFontDescription, FontFreer> font(pango_font_description_new());
  pango_font_description_set_family_static(font.get(), "DejaVu Sans");
  pango_font_description_set_weight(font.get(), style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  // Absolute: a point must not become 96/72 of one because a screen says so.
  pango_font_description_set_absolute_size(font.get(), style.size * PANGO_SCALE);
  pango_layout_set_font_description(layout.get(), font.get());
  // Glyph positions must not snap to a grid, or text would be spaced by the resolution.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(pango_layout_get_context(layout.get()), options);
  pango_context_set_round_glyph_positions(pango_layout_get_context(layout.get()), FALSE);
  cairo_font_options_destroy(options);
  pango_layout_context_changed(layout.get());
  if (style.width > 0) {
    pango_layout_set_width(layout.get(), static_cast<int>(style.width * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_alignment(layout.get(), pango_align(style.align));
  }
  pango_layout_set_line_spacing(layout.get(), static_cast<float>(style.leading));
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  return layout;
}

TextSize size_of(PangoLayout* layout) {
  int width = 0;
  int height = 0;
  pango_layout_get_size(layout, &width, &height);
  return {static_cast<double>(width) / PANGO_SCALE, static_cast<double>(height) / PANGO_SCALE};
}

}  // namespace

TextSize Ink::text(double x, double y, const std::string& text, const TextStyle& style) const {
  const Layout layout = layout_of(cr_, text, style);
  const TextSize size = size_of(layout.get());
  double left = x;
  if (style.width <= 0 && style.align == Align::centre) left -= size.width / 2;
  if (style.width <= 0 && style.align == Align::right) left -= size.width;
  use(style.colour);
  const double down =
      style.on_baseline ? static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE : 0.0;
  cairo_move_to(cr_, left, y - down);
  pango_cairo_show_layout(cr_, layout.get());
  return size;
}

TextSize Ink::measure(const std::string& text, const TextStyle& style) const {
  return size_of(layout_of(cr_, text, style).get());
}

std::string Ink::fitted(const std::string& text, const TextStyle& style, double most_height) const {
  if (measure(text, style).height <= most_height) return text;
  std::string words = text;
  while (!words.empty() && measure(words + " …", style).height > most_height) {
    if (const std::size_t space = words.find_last_of(' '); space != std::string::npos) {
      words.erase(space);
      continue;
    }
    const auto continues = [](char c) { return (static_cast<unsigned char>(c) & 0xc0U) == 0x80U; };
    while (words.size() > 1 && continues(words.back())) words.pop_back();  // one letter of the only word left
    words.pop_back();
  }
  return words + " …";
}

void Ink::use(const Colour& colour) const {
  cairo_set_source_rgba(cr_, colour.red, colour.green, colour.blue, colour.alpha);
}

void Ink::line(double x0, double y0, double x1, double y1, double width, const Colour& colour) const {
  use(colour);
  cairo_set_line_width(cr_, width);
  cairo_move_to(cr_, x0, y0);
  cairo_line_to(cr_, x1, y1);
  cairo_stroke(cr_);
}

void Ink::fill_box(double x, double y, double width, double height, const Colour& colour) const {
  use(colour);
  cairo_rectangle(cr_, x, y, width, height);
  cairo_fill(cr_);
}

void Ink::frame_box(double x, double y, double width, double height, double line_width, const Colour& colour) const {
  use(colour);
  cairo_set_line_width(cr_, line_width);
  cairo_rectangle(cr_, x, y, width, height);
  cairo_stroke(cr_);
}

void Ink::fill_disc(double x, double y, double radius, const Colour& colour) const {
  use(colour);
  cairo_new_path(cr_);
  cairo_arc(cr_, x, y, radius, 0, 2 * std::numbers::pi);
  cairo_fill(cr_);
}

void Ink::ring(double x, double y, double radius, double line_width, const Colour& colour) const {
  use(colour);
  cairo_set_line_width(cr_, line_width);
  cairo_new_path(cr_);
  cairo_arc(cr_, x, y, radius, 0, 2 * std::numbers::pi);
  cairo_stroke(cr_);
}

void Ink::fill_tip_down(double x, double y, double size, const Colour& colour) const {
  use(colour);
  cairo_move_to(cr_, x, y);
  cairo_line_to(cr_, x - size / 2, y - size);
  cairo_line_to(cr_, x + size / 2, y - size);
  cairo_close_path(cr_);
  cairo_fill(cr_);
}

void Ink::dash(double on, double off) const {
  const std::array<double, 2> lengths = {on, off};
  cairo_set_dash(cr_, lengths.data(), on > 0 ? 2 : 0, 0);
}

}  // namespace risetrace::report
