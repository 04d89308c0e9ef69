#include "report/report_pdf.h"

#include <algorithm>
#include <vector>

#include "report/hop_report.h"
#include "report/lunge_report.h"
#include "report/palette.h"
#include "report/pdf_page.h"
#include "report/plot.h"
#include "report/report_page.h"
#include "report/report_table.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::bottom;
using report_page::left;
using report_page::width;

constexpr const char* raises_foot =
    "Heights are of the heel sticker above standing. ± is one standard uncertainty (JCGM 100). All values are in "
    "result.json, every frame in trace.csv.";
constexpr const char* hops_foot =
    "Contact: any part of the foot on the ground. ± is one standard uncertainty (JCGM 100). All values are in "
    "result.json, every frame in trace.csv.";

constexpr const char* lunge_foot =
    "± is one standard uncertainty (JCGM 100). All values are in result.json, every frame in trace.csv.";

constexpr const char* work_text =
    "Work = m·g·Σh. A heel marker overstates the body’s work by 21–25 %; the sides’ ratio "
    "holds (Andreasen et al. 2021, KSSTA 29:1604).";

std::string u_text(std::optional<double> u) { return u ? "± " + fixed(u, 2) + " cm" : ""; }

std::vector<Tile> tiles_of(const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  const model::RaiseProtocol& protocol = m.asked.protocol;
  const auto reps_per_min = set.rep_period_s ? std::optional(60 / *set.rep_period_s) : std::nullopt;
  std::string beat = "asked " + fixed(protocol.beat_bpm / 2, 0) + " (" + fixed(protocol.beat_bpm, 0) + " beats)";
  if (set.on_beat_share) beat += "\n" + percent(*set.on_beat_share) + " on the beat";
  const std::string reference_of = "mean of the first " + std::to_string(protocol.reference_reps);
  const std::string reference_u = u_text(set.reference_height_cm_u);
  const std::string total_u = set.total_height_cm_u ? "± " + fixed(set.total_height_cm_u, 1) + " cm\n" : "";
  return {{"Count", std::to_string(set.count), "reps", "of " + std::to_string(set.reps.size()) + " seen"},
          {"Reference height", fixed(set.reference_height_cm, 2), "cm", reference_u + "\n" + reference_of},
          {"Greatest height", fixed(set.greatest_height_cm, 2), "cm", u_text(set.greatest_height_cm_u)},
          {"Reps per minute", fixed(reps_per_min, 1), "", beat},
          {"Total height", fixed(set.total_height_cm, 0), "cm", total_u + "of the counted reps"},
          {"Work", fixed(m.work_j, 0), m.work_j ? "J" : "", m.work_j ? "read the note below" : "body mass not given"}};
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
  if (const std::string knee = knee_in_words(m); !knee.empty()) {
    y += ink.text(left, y, "The knee was " + knee + ".", {.size = 7.6, .colour = palette::ink, .width = width}).height;
    y += 1.0;
  }
  if (m.work_j) y += ink.text(left, y, work_text, {.size = 6.9, .colour = palette::soft_ink, .width = width}).height;
  return y + 7;
}

std::vector<Row> rules(const model::RaiseProtocol& p) {
  return {
      {"Filter", "two-pass Butterworth, " + fixed(p.smooth_cutoff_hz, 0) + " Hz"},
      {"Rules", "a rep is low under " + percent(p.end_fraction) + " of the reference; " + std::to_string(p.end_after) +
                    " in a row, or " + fixed(p.end_pause_s, 0) +
                    "\u00a0s without a rise, end the set. The limit is a setting; only 50 % has a source (Lunsford & "
                    "Perry 1995, from memory)"}};
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
  const bool hops = measurement.asked.test == Test::hop;
  const bool lunge = measurement.lunge.has_value() && measurement.angles;
  const std::string title = hops ? "Pogo hops" : lunge ? "Weight-bearing lunge, knee to wall" : "Single-leg heel raise";
  PdfPage page(report_page::page_width, report_page::page_height, title + ": " + readable(measurement.clip.file), date);
  const Ink ink = page.ink();
  double y = draw_header(ink, title, measurement, program_version, date);
  y = draw_caution(ink, y);
  if (hops) {
    draw_hops(ink, y, measurement);
  } else if (lunge) {
    draw_lunge(ink, y, measurement);
  } else if (measurement.raises) {
    draw_raises(ink, y, measurement);
  } else {
    draw_pixels_only(ink, y, measurement);
  }
  draw_foot(ink, hops ? hops_foot : lunge ? lunge_foot : raises_foot);
  return page.write(file);
}

}  // namespace risetrace::report
