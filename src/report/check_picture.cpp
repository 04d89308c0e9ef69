#include "report/check_picture.h"

#include <algorithm>
#include <limits>

#include "report/check_words.h"
#include "report/overlay_look.h"
#include "report/picture_canvas.h"
#include "report/text.h"

namespace risetrace::report {
namespace {

using namespace overlay_look;  // NOLINT(google-build-using-namespace): its few names fill this file

constexpr int least_px = 960;
constexpr int most_px = 1920;
constexpr std::size_t most_findings = 5;

void draw_card(const Ink& ink, const PictureCanvas& canvas, const measure::CardSeen& card, double unit) {
  for (std::size_t i = 0; i < 4; ++i) {
    edged_line(ink, canvas.from_upright(card.outline_px.at(i)), canvas.from_upright(card.outline_px.at((i + 1) % 4)),
               0.35 * unit, mark);
  }
}

void draw_sticker(const Ink& ink, const PictureCanvas& canvas, const sticker::Spot& spot, double unit) {
  const Point at = canvas.from_upright(spot.px);
  const double radius = spot.look.outer_radius_px * canvas.canvas_per_px() + unit;
  ink.ring(at.x, at.y, radius, 0.8 * unit, edge);
  ink.ring(at.x, at.y, radius, 0.4 * unit, mark);
}

std::string line_of(const measure::Finding& finding, const measure::Check& check) {
  const Said text = said(finding, check);
  const std::string cost = cost_in_words(finding);
  return (cost.empty() ? "" : cost + ": ") + text.what + " " + text.what_to_do;
}

// At the top: the foot and the card are in the lower part.
void draw_panel(const Ink& ink, const PictureCanvas& canvas, const measure::Check& check, double unit) {
  const double width = canvas.width() - 4 * unit;
  const TextStyle large{.size = 4.4 * unit, .bold = true, .colour = bright, .width = width - 4 * unit};
  const TextStyle small{.size = 2.6 * unit, .colour = bright, .width = width - 4 * unit};
  const std::string head = verdict_in_words(check);
  const std::size_t shown = std::min(check.findings.size(), most_findings);
  double height = ink.measure(head, large).height + 2 * unit;
  for (std::size_t i = 0; i < shown; ++i) height += ink.measure(line_of(check.findings[i], check), small).height;
  rounded_box(ink, 2 * unit, 2 * unit, width, height, 1.5 * unit, panel);
  double y = 3 * unit;
  y += ink.text(4 * unit, y, head, large).height;
  for (std::size_t i = 0; i < shown; ++i) y += ink.text(4 * unit, y, line_of(check.findings[i], check), small).height;
}

Outcome write_png(const PictureCanvas& canvas, const std::string& path) {
  const Ink ink = canvas.ink();
  const cairo_status_t status = cairo_surface_write_to_png(cairo_get_target(ink.context()), path.c_str());
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{Fault::cannot_write, path + ": " + cairo_status_to_string(status), ""};
  }
  return Done{};
}

}  // namespace

Outcome write_check_picture(const std::string& path, const measure::Check& check) {
  PictureCanvas canvas(check.first, least_px, most_px);
  if (auto loaded = canvas.load(check.first); !loaded) return loaded;
  const Ink ink = canvas.ink();
  const double unit = std::min(canvas.width(), canvas.height()) / 100.0;
  if (check.setup.card) draw_card(ink, canvas, *check.setup.card, unit);
  if (check.setup.sticker) draw_sticker(ink, canvas, check.setup.sticker->spot, unit);
  draw_panel(ink, canvas, check, unit);
  return write_png(canvas, path);
}

Outcome write_plain_picture(const std::string& path, const clip::Frame& frame) {
  PictureCanvas canvas(frame, 1, std::numeric_limits<int>::max());
  if (auto loaded = canvas.load(frame); !loaded) return loaded;
  return write_png(canvas, path);
}

}  // namespace risetrace::report
