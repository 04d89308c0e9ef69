#include "report/event_strips.h"

#include <algorithm>
#include <cmath>

#include "report/grey_picture.h"
#include "report/palette.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr double gap = 5.0;
constexpr double most_height = 56.0;  // of a picture
constexpr double least_height = 24.0;
constexpr double head_height = 12.0;
constexpr double caption_height = 12.0;

struct Cell {
  double width = 0.0;
  double height = 0.0;
};

// All pictures of a strip are shown at one size, as large as the strip's width and the height allow.
Cell cell_of(const measure::EventStrip& strip, double width, double highest) {
  const clip::GreyPicture& picture = strip.frames.front().picture;
  if (picture.width <= 0 || picture.height <= 0) return {};
  const auto all = static_cast<double>(strip.frames.size());
  const double aspect = static_cast<double>(picture.width) / picture.height;
  const double height = std::min((width - gap * (all - 1)) / all / aspect, highest);
  return {height * aspect, height};
}

bool there(const measure::EventStrip& strip) {
  return !strip.frames.empty() && strip.event < strip.frames.size() && strip.frames.front().picture.width > 0 &&
         strip.frames.front().picture.height > 0;
}

double height_of(const measure::EventStrip& strip, double width) {
  return there(strip) ? head_height + cell_of(strip, width, most_height).height + caption_height : 0.0;
}

// Two short marks at the picture's sides, level with where the shoe rests.
void draw_floor(const Ink& ink, double x, double y, const Cell& cell, const Box& box, double floor_row_px) {
  if (box.height <= 0) return;
  const double at = (floor_row_px + 0.5 - box.y0) / box.height;
  if (at < 0 || at > 1) return;
  const double row = y + at * cell.height;
  for (const double from : {x, x + cell.width - 7}) {
    ink.line(from, row, from + 7, row, 1.6, palette::ink);
    ink.line(from, row, from + 7, row, 0.7, palette::paper);
  }
}

double draw_strip(const Ink& ink, double x, double y, double width, double highest, const measure::EventStrip& strip,
                  const std::string& title, double floor_row_px) {
  if (!there(strip)) return y;
  const Cell cell = cell_of(strip, width, highest);
  const measure::EventFrame& event = strip.frames[strip.event];
  ink.text(x, y, title, {.size = 7.2, .colour = palette::ink});
  const double top = y + head_height;
  for (std::size_t i = 0; i < strip.frames.size(); ++i) {
    const measure::EventFrame& frame = strip.frames[i];
    const double left = x + static_cast<double>(i) * (cell.width + gap);
    const bool is_event = i == strip.event;
    draw_grey_picture(ink, left, top, cell.width, cell.height, frame.picture);
    if (floor_row_px > 0) draw_floor(ink, left, top, cell, strip.box, floor_row_px);
    if (is_event) ink.frame_box(left - 1, top - 1, cell.width + 2, cell.height + 2, 2.0, palette::low);
    const double after_ms = 1000 * (frame.time_s - event.time_s);
    std::string caption = "frame " + std::to_string(frame.frame);
    if (!is_event) caption = (after_ms < 0 ? "−" : "+") + fixed(std::abs(after_ms), 1) + " ms";
    ink.text(
        left + cell.width / 2, top + cell.height + 2, caption,
        {.size = 6.2, .bold = is_event, .colour = is_event ? palette::low : palette::soft_ink, .align = Align::centre});
  }
  return top + cell.height + caption_height;
}

}  // namespace

double event_strips_height(const measure::Measurement& m, double width) {
  return height_of(m.touchdown_strip, width) + height_of(m.takeoff_strip, width);
}

double draw_event_strips(const Ink& ink, double x, double y, double width, double lowest,
                         const measure::Measurement& m) {
  const double strips = (there(m.touchdown_strip) ? 1 : 0) + (there(m.takeoff_strip) ? 1 : 0);
  if (strips == 0) return y;
  const double highest = std::clamp((lowest - y) / strips - head_height - caption_height, least_height, most_height);
  const double floor_row_px = m.clearance.samples.empty() ? 0.0 : m.clearance.floor_row_px;
  const std::string marks = floor_row_px > 0 ? "; the white marks are level with the floor" : "";
  y = draw_strip(ink, x, y, width, highest, m.touchdown_strip,
                 "Touchdown of hop " + std::to_string(m.touchdown_strip.hop) +
                     ": the framed picture is the first on the ground" + marks,
                 floor_row_px);
  return draw_strip(
      ink, x, y, width, highest, m.takeoff_strip,
      "Take-off of hop " + std::to_string(m.takeoff_strip.hop) + ": the framed picture is the first off the ground",
      floor_row_px);
}

}  // namespace risetrace::report
