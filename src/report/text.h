// Drawing with cairo and writing with pango, as the documents here need it.
#pragma once

#include <cairo.h>

#include <memory>
#include <string>

namespace risetrace::report {

struct Colour {
  double red = 0.0;  // 0 .. 1, sRGB
  double green = 0.0;
  double blue = 0.0;
  double alpha = 1.0;

  [[nodiscard]] Colour with_alpha(double share) const { return {red, green, blue, share}; }
};

struct SurfaceFreer {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextFreer {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceFreer>;
using Context = std::unique_ptr<cairo_t, ContextFreer>;

enum class Align { left, centre, right };

struct TextStyle {
  double size = 8.0;  // of the em, in the context's own unit
  bool bold = false;
  Colour colour;
  Align align = Align::left;  // centre and right: about the x given, or within `width` where that is set
  double width = 0.0;         // wrapped to it; 0: one line
  double leading = 1.0;       // distance of lines over the font's own
  bool on_baseline = false;   // y is the first line's baseline, not its top
};

struct TextSize {
  double width = 0.0;
  double height = 0.0;
};

// A context that draws with plain calls. Does not own it.
class Ink {
 public:
  explicit Ink(cairo_t* context) : cr_(context) {}

  // The text's top left corner (its top, for the other alignments) at x, y. Returns what it took.
  TextSize text(double x, double y, const std::string& text, const TextStyle& style) const;
  [[nodiscard]] TextSize measure(const std::string& text, const TextStyle& style) const;
  // As many of the text's words as take at most this height, with an ellipsis where some were left out.
  [[nodiscard]] std::string fitted(const std::string& text, const TextStyle& style, double most_height) const;

  void use(const Colour& colour) const;
  void line(double x0, double y0, double x1, double y1, double width, const Colour& colour) const;
  void fill_box(double x, double y, double width, double height, const Colour& colour) const;
  void frame_box(double x, double y, double width, double height, double line_width, const Colour& colour) const;
  void fill_disc(double x, double y, double radius, const Colour& colour) const;
  void ring(double x, double y, double radius, double line_width, const Colour& colour) const;
  // Pointing down, its tip at x, y.
  void fill_tip_down(double x, double y, double size, const Colour& colour) const;
  // On and off lengths for the lines that follow; 0: solid.
  void dash(double on, double off) const;
  [[nodiscard]] cairo_t* context() const { return cr_; }

 private:
  cairo_t* cr_;
};

}  // namespace risetrace::report
