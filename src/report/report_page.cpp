#include "report/report_page.h"

#include <algorithm>
#include <cctype>

#include "report/palette.h"
#include "report/words.h"

namespace risetrace::report {

using report_page::bottom;
using report_page::left;
using report_page::width;

namespace {

// Cautions of the trade, from memory and common practice; docs/result.md says the same at length.
constexpr const char* caution_text =
    "Not a medical device: it measures and decides nothing. Local rules and the licensed clinician come first. "
    "Do not test, but refer, on a suspected or recent Achilles rupture or repair without clearance, acute calf strain, "
    "recent fracture or surgery, bone stress injury (no hops), acute ankle sprain, unstable heart or blood pressure, "
    "new "
    "numbness or weakness. Refer the same day: one calf swollen, warm and tender, or a “pop” with no raise possible. "
    "Care with fluoroquinolones, steroids, poor balance and pregnancy. Stop at pain over 5/10, giddiness or loss of "
    "balance.";

}  // namespace

double draw_header(const Ink& ink, const std::string& title, const measure::Measurement& m, const std::string& version,
                   const std::string& date) {
  ink.text(left, 30, title, {.size = 18, .bold = true, .colour = palette::ink});
  const TextStyle small{.size = 7.2, .colour = palette::soft_ink, .align = Align::right};
  ink.text(left + width, 33, "made " + date.substr(0, 10) + " by risetrace " + version, small);
  ink.text(left + width, 43, "clip " + m.clip_sha256.substr(0, 12), small);
  std::string who = who_was_tested(m.asked);
  if (who.empty()) who = "side and knee not stated";
  if (m.asked.mass_kg) who += ", " + plain(*m.asked.mass_kg, 1) + " kg";
  who[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(who[0])));
  const double after = ink.text(left, 54, who, {.size = 9.5, .bold = true, .colour = palette::ink}).width;
  std::string file = readable(m.clip.file);
  if (file.size() > 60) file = readable(file.substr(0, 57)) + "…";
  const TextStyle style{.size = 9.5, .colour = palette::soft_ink};
  const double room = width - after - 10;
  for (std::size_t length = 56; ink.measure(file, style).width > room && length > 0; --length) {
    file = readable(readable(m.clip.file).substr(0, length)) + "…";  // wide letters
  }
  ink.text(left + after + 10, 54, file, style);
  const std::string corrected = corrected_in_words(m);
  if (corrected.empty()) return 72;
  const TextStyle bold{.size = 8.6, .bold = true, .colour = palette::ink, .width = width};
  return 70 + ink.text(left, 68, "Corrected by hand " + corrected, bold).height + 4;
}

double draw_caution(const Ink& ink, double y) {
  const double name_width = 56;
  const TextStyle style{.size = 6.9, .colour = palette::ink, .width = width - name_width - 14, .leading = 1.02};
  const double height = ink.measure(caution_text, style).height + 10;
  ink.fill_box(left, y, width, height, palette::caution_fill);
  ink.fill_box(left, y, 3, height, palette::ink);
  ink.text(left + 10, y + 5, "Caution", {.size = 8.6, .bold = true, .colour = palette::ink});
  ink.text(left + name_width, y + 5, caution_text, style);
  return y + height + 9;
}

double draw_tiles(const Ink& ink, double y, const std::vector<Tile>& tiles, double figure_size) {
  const double pitch = width / static_cast<double>(tiles.size());
  for (std::size_t i = 0; i < tiles.size(); ++i) {
    const Tile& tile = tiles[i];
    const double x = left + static_cast<double>(i) * pitch;
    if (i > 0) ink.line(x - 6, y + 1, x - 6, y + 50, 0.5, palette::rule);
    ink.text(x, y, tile.name, {.size = 7.2, .colour = palette::soft_ink});
    const TextStyle big{.size = i == 0 ? 27.0 : figure_size, .bold = true, .colour = palette::ink, .on_baseline = true};
    const double figure = ink.text(x, y + 33, tile.figure, big).width;
    ink.text(x + figure + 3, y + 33, tile.unit, {.size = 8.2, .colour = palette::ink, .on_baseline = true});
    ink.text(x, y + 38, tile.below, {.size = 6.6, .colour = palette::soft_ink, .width = pitch - 8, .leading = 1.0});
  }
  return y + 60;
}

std::vector<Row> how_measured(const measure::Measurement& m) {
  const scale::Scale& scale = m.scale;
  std::string scale_text = scale_in_words(scale);
  if (scale.px_per_cm) scale_text += ", " + with_u(scale.px_per_cm, scale.px_per_cm_u, 2, "px/cm");
  if (scale.tilt_deg) scale_text += ", tilted " + fixed(scale.tilt_deg, 1) + "°";
  if (scale.fit_rms_px) scale_text += ", fit " + fixed(scale.fit_rms_px, 2) + " px";
  const std::string found = m.track.found_by == sticker::FoundBy::search ? "found by itself" : "pointed out by hand";
  std::string noise;
  if (m.track.noise_px > 0) noise = ", noise " + fixed(m.track.noise_px, 2) + " px";
  if (m.path.noise_cm > 0) noise += " = " + fixed(m.path.noise_cm * 10, 2) + " mm";
  std::string rate_from = m.clip.frame_rate_from == clip::FrameRateFrom::given ? " (as given)" : "";
  if (m.clip.stretch > 1.001) rate_from += ", slow motion undone";
  return {{"Scale", scale_text},
          {"Sticker", found + ", radius " + fixed(m.track.radius_px, 1) + " px, seen in " +
                          std::to_string(m.track.frames_seen) + " of " + std::to_string(m.track.samples.size()) +
                          " frames, " + std::to_string(m.track.frames_bridged) + " bridged" + noise},
          {"Clip", std::to_string(m.clip.width_px) + " × " + std::to_string(m.clip.height_px) + ", " +
                       fixed(m.clip.frame_rate_hz, 1) + " frames per second" + rate_from + ", " +
                       readable(m.clip.codec) + ", " + fixed(m.clip.duration_s, 1) + " s" +
                       (m.clip.timing_irregular ? ", irregular frame times" : "")}};
}

double draw_rows(const Ink& ink, double x, double y, double row_width, const std::vector<Row>& rows) {
  for (const Row& row : rows) {
    ink.text(x, y, row.name, {.size = 7.0, .bold = true, .colour = palette::ink});
    y += ink.text(x + 36, y, row.text, {.size = 7.0, .colour = palette::ink, .width = row_width - 36, .leading = 1.0})
             .height;
    y += 2.2;
  }
  return y;
}

void draw_heading(const Ink& ink, double x, double y, const std::string& text) {
  ink.text(x, y, text, {.size = 8.6, .bold = true, .colour = palette::ink});
}

void draw_notes(const Ink& ink, double y, double lowest, const Notes& notes) {
  if (notes.empty()) return;
  draw_heading(ink, left, y, "Notes");
  y += 12;
  const TextStyle style{.size = 7.0, .colour = palette::ink, .width = width - 36, .leading = 1.0};
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const std::string text = readable(notes[i].text);
    const double height = ink.measure(text, style).height;
    const double kept_back = i + 1 < notes.size() ? 9.0 : 0.0;
    if (y + height + kept_back > lowest) {
      ink.text(left + 36, y, std::to_string(notes.size() - i) + " more in result.json", style);
      return;
    }
    const std::string when = notes[i].t_s ? fixed(notes[i].t_s, 1) + " s" : "";
    ink.text(left, y, when, {.size = 7.0, .colour = palette::soft_ink});
    ink.text(left + 36, y, text, style);
    y += height + 1.0;
  }
}

void draw_foot(const Ink& ink, const std::string& text) {
  ink.line(left, bottom + 5, left + width, bottom + 5, 0.5, palette::rule);
  ink.text(left, bottom + 9, text, {.size = 6.4, .colour = palette::soft_ink});
}

}  // namespace risetrace::report
