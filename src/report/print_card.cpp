#include "report/print_card.h"

#include <array>
#include <cmath>
#include <string>

#include "report/paper.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr double title_top_mm = 10.0;
constexpr double card_top_mm = 32.0;
constexpr double foot_mm = 38.0;
constexpr double ruler_y_mm = 1.5;  // below the card's middle

// Draws in the card's frame: mm, origin the card's middle, x right, y DOWN.
class CardFace {
 public:
  CardFace(const Ink& ink, const model::TagCard& card) : ink_(ink), card_(card), half_mm_(card.side_cm * 5) {}

  void draw() const {
    draw_cut_line();
    for (const model::TagPattern& tag : card_.tags) draw_tag(tag);
    draw_ruler();
    draw_arrow();
    ink_.text(0, 48, "risetrace", {.size = 4.4, .bold = true, .colour = text_grey, .align = Align::centre});
    ink_.text(0, 54.5, "card of " + fixed(card_.side_cm * 10, 0) + " mm",
              {.size = 2.6, .colour = text_grey, .align = Align::centre});
    ink_.text(0, 58.5, card_.family + ", " + fixed(card_.tag_side_cm * 10, 0) + " mm",
              {.size = 2.6, .colour = text_grey, .align = Align::centre});
  }

 private:
  // Three sides: the fourth is folded, not cut.
  void draw_cut_line() const {
    cairo_t* cr = ink_.context();
    ink_.use(cut_grey);
    cairo_set_line_width(cr, hairline_mm);
    cairo_move_to(cr, -half_mm_, half_mm_);
    cairo_line_to(cr, -half_mm_, -half_mm_);
    cairo_line_to(cr, half_mm_, -half_mm_);
    cairo_line_to(cr, half_mm_, half_mm_);
    cairo_stroke(cr);
  }

  // One path for all modules of a row that touch: no hairline of white between them on any printer.
  void draw_tag(const model::TagPattern& tag) const {
    const double side_mm = card_.tag_side_cm * 10;
    const double module_mm = side_mm / card_.modules;
    const double left = tag.centre_cm.x * 10 - side_mm / 2;
    const double top = -tag.centre_cm.y * 10 - side_mm / 2;
    ink_.fill_box(left, top, side_mm, side_mm, black);
    ink_.use(white);
    for (int row = 0; row < card_.modules; ++row) {
      for (int column = 0; column < card_.modules; ++column) {
        if (tag.black[static_cast<std::size_t>(row) * static_cast<std::size_t>(card_.modules) +
                      static_cast<std::size_t>(column)])
          continue;
        cairo_rectangle(ink_.context(), left + column * module_mm, top + row * module_mm, module_mm, module_mm);
      }
    }
    cairo_fill(ink_.context());
    // Beyond the one module of white that a tag needs round it.
    const double text_top = tag.centre_cm.y > 0 ? -half_mm_ + 0.5 : half_mm_ - 2.9;
    ink_.text(tag.centre_cm.x * 10, text_top, "id " + std::to_string(tag.id),
              {.size = 1.9, .colour = text_grey, .align = Align::centre});
  }

  void draw_ruler() const {
    const double length_mm = card_.ruler_cm * 10;
    const double left = -length_mm / 2;
    const double line_mm = 0.15;
    ink_.line(left - line_mm / 2, ruler_y_mm, -left + line_mm / 2, ruler_y_mm, line_mm, black);
    for (int mm = 0; mm <= static_cast<int>(std::lround(length_mm)); ++mm) {
      const double tick_mm = mm % 10 == 0 ? 4.6 : mm % 5 == 0 ? 3.4 : 2.2;
      ink_.line(left + mm, ruler_y_mm, left + mm, ruler_y_mm - tick_mm, line_mm, black);
      if (mm % 10 != 0) continue;
      ink_.text(left + mm, ruler_y_mm + 0.6, std::to_string(mm / 10),
                {.size = 2.8, .colour = black, .align = Align::centre});
    }
    ink_.text(-left + 3.2, ruler_y_mm + 0.6, "cm", {.size = 2.8, .colour = black});
    ink_.text(0, ruler_y_mm + 5.2, "Measure me: " + fixed(length_mm, 0) + " mm",
              {.size = 2.8, .colour = text_grey, .align = Align::centre});
  }

  void draw_arrow() const {
    cairo_t* cr = ink_.context();
    ink_.use(black);
    cairo_new_path(cr);
    const std::array<std::array<double, 2>, 7> corners = {
        {{0, -68}, {7, -58}, {2.5, -58}, {2.5, -48}, {-2.5, -48}, {-2.5, -58}, {-7, -58}}};
    for (const auto& corner : corners) cairo_line_to(cr, corner[0], corner[1]);
    cairo_close_path(cr);
    cairo_fill(cr);
    ink_.text(0, -46.5, "UP", {.size = 4.4, .bold = true, .colour = black, .align = Align::centre});
  }

  const Ink& ink_;
  const model::TagCard& card_;
  double half_mm_;
};

void draw_heading(const Ink& ink, double left, double width) {
  ink.text(left, title_top_mm, "Calibration card", {.size = 6.4, .bold = true, .colour = black});
  ink.text(left, title_top_mm + 9.6,
           "Print at 100 % (“actual size”), not “fit to page”. Then measure the ruler on the card: it must be 100 mm "
           "long, to half a millimetre. If not, print again.",
           {.size = 3.2, .colour = text_grey, .width = width, .leading = 1.05});
}

// A flap below the card that folds back and is weighed down, so that the card stands by itself.
void draw_foot(const Ink& ink, double left, double top, double width) {
  ink.dash(2, 1.4);
  ink.line(left, top, left + width, top, 0.25, text_grey);
  ink.dash(0, 0);
  ink.use(cut_grey);
  cairo_set_line_width(ink.context(), hairline_mm);
  cairo_move_to(ink.context(), left, top);
  cairo_line_to(ink.context(), left + 6, top + foot_mm);
  cairo_line_to(ink.context(), left + width - 6, top + foot_mm);
  cairo_line_to(ink.context(), left + width, top);
  cairo_stroke(ink.context());
  ink.text(left + width / 2, top + 3, "fold back along the dashed line",
           {.size = 2.8, .colour = text_grey, .align = Align::centre});
  ink.text(left + width / 2, top + 15, "FOOT",
           {.size = 4.4, .bold = true, .colour = text_grey, .align = Align::centre});
  ink.text(left + width / 2, top + 21.5, "lies on the floor behind the card; put a weight on it",
           {.size = 2.8, .colour = text_grey, .align = Align::centre});
}

void draw_steps(const Ink& ink, double left, double top, double width) {
  const std::array steps = {
      "Glue the sheet to stiff cardboard and cut along the thin line; the card must stay flat.",
      "Stand it upright on the floor beside the foot, arrow up, in the plane of the heel sticker: as far from the "
      "camera as the sticker. At 2 m, each centimetre nearer or farther makes heights 0.5 % wrong.",
      "Turn it to face the camera squarely, wholly in view and in even light, and leave it there while filming.",
  };
  double y = top;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    ink.text(left, y, std::to_string(i + 1), {.size = 3.2, .bold = true, .colour = black});
    y += ink.text(left + 5, y, steps.at(i), {.size = 3.2, .colour = text_grey, .width = width - 5, .leading = 1.05})
             .height;
    y += 1.2;
  }
}

}  // namespace

Outcome write_card_pdf(const std::filesystem::path& file, const model::Cards& cards, Paper paper) {
  const PaperSize size = size_of(paper);
  PdfPage page(size.width_mm * pt_from_mm, size.height_mm * pt_from_mm, "Calibration card", sheet_date);
  const Ink ink = page.ink();
  cairo_t* cr = ink.context();
  cairo_scale(cr, pt_from_mm, pt_from_mm);
  const double side_mm = cards.tags.side_cm * 10;
  const double left = (size.width_mm - side_mm) / 2;
  draw_heading(ink, left, side_mm);
  draw_foot(ink, left, card_top_mm + side_mm, side_mm);
  draw_steps(ink, left, card_top_mm + side_mm + foot_mm + 4, side_mm);
  cairo_save(cr);
  cairo_translate(cr, size.width_mm / 2, card_top_mm + side_mm / 2);
  CardFace(ink, cards.tags).draw();
  cairo_restore(cr);
  return page.write(file);
}

}  // namespace risetrace::report
