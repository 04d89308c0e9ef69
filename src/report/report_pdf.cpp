#include "report/report_pdf.h"

#include <algorithm>
#include <cctype>
#include <vector>

#include "report/palette.h"
#include "report/pdf_page.h"
#include "report/plot.h"
#include "report/report_table.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr double page_width = 595.276;  // A4
constexpr double page_height = 841.890;
constexpr double left = 40.0;
constexpr double width = page_width - 2 * left;
constexpr double bottom = page_height - 38.0;

// Cautions of the trade, from memory and common practice; docs/result.md says the same at length.
constexpr const char* caution_text =
    "Not a medical device: it measures and decides nothing. Local rules and the licensed clinician come first. "
    "Do not test, but refer, on a suspected or recent Achilles rupture or repair without clearance, acute calf strain, "
    "recent fracture or surgery, bone stress injury (no hops), acute ankle sprain, unstable heart or blood pressure, "
    "new "
    "numbness or weakness. Refer the same day: one calf swollen, warm and tender, or a “pop” with no raise possible. "
    "Care with fluoroquinolones, steroids, poor balance and pregnancy. Stop at pain over 5/10, giddiness or loss of "
    "balance.";

constexpr const char* work_text =
    "Work = m·g·Σh. A heel marker overstates the body’s work by 21–25 %; the sides’ ratio "
    "holds (Andreasen et al. 2021, KSSTA 29:1604).";

struct Row {
  std::string name;
  std::string text;
};

double draw_header(const Ink& ink, const measure::Measurement& m, const std::string& version, const std::string& date) {
  ink.text(left, 30, "Single-leg heel raise", {.size = 18, .bold = true, .colour = palette::ink});
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
  ink.text(left + after + 10, 54, file, {.size = 9.5, .colour = palette::soft_ink});
  return 72;
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

struct Tile {
  std::string name;
  std::string figure;
  std::string unit;
  std::string below;
};

std::string u_text(std::optional<double> u) { return u ? "± " + fixed(u, 2) + " cm" : ""; }

std::vector<Tile> tiles_of(const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  const model::RaiseProtocol& protocol = m.asked.protocol;
  const auto reps_per_min = set.rep_period_s ? std::optional(60 / *set.rep_period_s) : std::nullopt;
  std::string beat = "asked " + fixed(protocol.beat_bpm / 2, 0) + " (" + fixed(protocol.beat_bpm, 0) + " beats)";
  if (set.on_beat_share) beat += "\n" + percent(*set.on_beat_share) + " on the beat";
  const std::string reference_of = "mean of the first " + std::to_string(protocol.reference_reps);
  const std::string reference_u = u_text(reference_u_cm(set, protocol.reference_reps));
  return {{"Count", std::to_string(set.count), "reps", "of " + std::to_string(set.reps.size()) + " seen"},
          {"Reference height", fixed(set.reference_height_cm, 2), "cm", reference_u + "\n" + reference_of},
          {"Greatest height", fixed(set.greatest_height_cm, 2), "cm", u_text(greatest_u_cm(set))},
          {"Reps per minute", fixed(reps_per_min, 1), "", beat},
          {"Total height", fixed(set.total_height_cm, 0), "cm", "of the counted reps"},
          {"Work", fixed(m.work_j, 0), m.work_j ? "J" : "", m.work_j ? "read the note below" : "body mass not given"}};
}

double draw_tiles(const Ink& ink, double y, const std::vector<Tile>& tiles) {
  const double pitch = width / static_cast<double>(tiles.size());
  for (std::size_t i = 0; i < tiles.size(); ++i) {
    const Tile& tile = tiles[i];
    const double x = left + static_cast<double>(i) * pitch;
    if (i > 0) ink.line(x - 6, y + 1, x - 6, y + 50, 0.5, palette::rule);
    ink.text(x, y, tile.name, {.size = 7.2, .colour = palette::soft_ink});
    const TextStyle big{.size = i == 0 ? 27.0 : 19.0, .bold = true, .colour = palette::ink, .on_baseline = true};
    const double figure = ink.text(x, y + 33, tile.figure, big).width;
    ink.text(x + figure + 3, y + 33, tile.unit, {.size = 8.2, .colour = palette::ink, .on_baseline = true});
    ink.text(x, y + 38, tile.below, {.size = 6.6, .colour = palette::soft_ink, .width = pitch - 8, .leading = 1.0});
  }
  return y + 60;
}

double draw_ending(const Ink& ink, double y, const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  std::string counts = "Counted by other limits: ";
  for (std::size_t i = 0; i < set.count_at.size(); ++i) {
    counts += (i == 0 ? "" : ", ") + std::to_string(set.count_at[i].count) + " at " + percent(set.count_at[i].fraction);
  }
  const std::string ending = "The set " + how_it_ended(set, m.asked.protocol) + ".";
  y += ink.text(left, y, ending, {.size = 8.8, .bold = true, .colour = palette::ink, .width = width}).height + 1.5;
  y += ink.text(left, y, counts + " of the reference.", {.size = 7.6, .colour = palette::ink}).height + 1.0;
  if (m.work_j) y += ink.text(left, y, work_text, {.size = 6.9, .colour = palette::soft_ink, .width = width}).height;
  return y + 7;
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

std::vector<Row> rules(const model::RaiseProtocol& p) {
  return {
      {"Filter", "two-pass Butterworth, " + fixed(p.smooth_cutoff_hz, 0) + " Hz"},
      {"Rules", "a rep is low under " + percent(p.end_fraction) + " of the reference; " + std::to_string(p.end_after) +
                    " in a row, or " + fixed(p.end_pause_s, 0) +
                    "\u00a0s without a rise, end the set. The limit is a setting; only 50 % has a source (Lunsford & "
                    "Perry 1995, from memory)"}};
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

// As many notes as fit above `lowest`; the last line says how many were left out.
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

// Notes get what the table leaves, and the plots what is left then, up to a height that is pleasant to read.
void draw_raises(const Ink& ink, double y, const measure::Measurement& m) {
  y = draw_tiles(ink, y, tiles_of(m));
  y = draw_ending(ink, y, m);
  const double table = table_height(m.raises->reps.size());
  const double notes = m.notes.empty() ? 0 : 20 + 10.0 * static_cast<double>(std::min<std::size_t>(m.notes.size(), 5));
  const double room = bottom - y - table - notes - 48;
  const double trace = std::clamp(room * 0.57, 120.0, 230.0);
  const double bars = std::clamp(room * 0.43, 100.0, 160.0);

  draw_trace(ink, {left, y, width, trace}, m, height_samples(m));
  y += trace;
  draw_legend(ink, left + 24, y - 3, m);
  y += 14;
  const double half = width * 0.52;
  draw_heading(ink, left, y, "Height of each rep");
  draw_bars(ink, {left, y + 14, half, bars}, *m.raises, m.asked.protocol.end_fraction);
  draw_heading(ink, left + half + 12, y, "How it was measured");
  double rows_end = draw_rows(ink, left + half + 12, y + 14, width - half - 12, how_measured(m));
  rows_end = draw_rows(ink, left + half + 12, rows_end, width - half - 12, rules(m.asked.protocol));
  y = std::max(y + 14 + bars + 4, rows_end + 2);
  draw_table(ink, left, y, width, *m.raises);
  draw_notes(ink, y + table + 3, bottom, m.notes);
}

void draw_pixels_only(const Ink& ink, double y, const measure::Measurement& m) {
  ink.text(left, y, "No scale, so no heights and no reps: only the sticker’s place in pixels.",
           {.size = 11, .bold = true, .colour = palette::ink});
  draw_trace(ink, {left, y + 24, width, 220}, m, height_samples(m));
  y += 260;
  draw_heading(ink, left, y, "How it was measured");
  y = draw_rows(ink, left, y + 14, width, how_measured(m));
  draw_notes(ink, y + 12, bottom, m.notes);
}

}  // namespace

Outcome write_report(const std::filesystem::path& file, const measure::Measurement& measurement,
                     const std::string& program_version, const std::string& date) {
  PdfPage page(page_width, page_height, "Single-leg heel raise: " + readable(measurement.clip.file), date);
  const Ink ink = page.ink();
  double y = draw_header(ink, measurement, program_version, date);
  y = draw_caution(ink, y);
  if (measurement.raises) {
    draw_raises(ink, y, measurement);
  } else {
    draw_pixels_only(ink, y, measurement);
  }
  ink.line(left, bottom + 5, left + width, bottom + 5, 0.5, palette::rule);
  ink.text(
      left, bottom + 9,
      "Heights are of the heel sticker above standing. ± is one standard uncertainty (JCGM 100). All values are in "
      "result.json, every frame in trace.csv.",
      {.size = 6.4, .colour = palette::soft_ink});
  return page.write(file);
}

}  // namespace risetrace::report
