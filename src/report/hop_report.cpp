#include "report/hop_report.h"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "report/event_strips.h"
#include "report/hop_plot.h"
#include "report/palette.h"
#include "report/report_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using report_page::bottom;
using report_page::left;
using report_page::width;

constexpr std::size_t most_steps = 8;
constexpr double step_row = 9.4;
constexpr double step_head = 13.0;
constexpr std::size_t step_cells = 8;

// Sources: docs/result.md.
constexpr const char* formulas_text =
    "Height = g·t²/8 of the flight. RSI = height / contact. Stiffness from the times and the body mass (Dalleau et al. "
    "2004, IJSM 25:170, from memory): compare it at the same beat only; under 132 per minute hops are not spring-like "
    "(Farley et al. 1991).";

std::vector<Tile> tiles_of(const measure::Measurement& m) {
  const hop::HopSet& set = *m.hops;
  const auto unit = [](std::optional<double> value, const char* name) { return value ? name : ""; };
  const std::string contact_u = set.contact_ms_u ? "± " + fixed(set.contact_ms_u, 1) + " ms, " : "";
  const auto per_min = set.hop_rate_hz ? std::optional(60 * *set.hop_rate_hz) : std::nullopt;
  const std::string asked = m.asked.beat_bpm ? "asked " + plain(*m.asked.beat_bpm, 1) : "none asked";
  const std::string heard = set.heard_bpm ? "\nheard " + plain(*set.heard_bpm, 1) : "";
  const std::string over = set.steps.size() > 1 ? "over all steps" : asked + heard;
  const std::string no_step = set.steps.empty() ? "no beat to keep" : "no step was kept";
  const std::string stiffness_below =
      set.stiffness_kn_m ? "read the note below" : (m.asked.mass_kg ? "not known" : "body mass\nnot given");
  return {{"Hops counted", std::to_string(set.count), "", "of " + std::to_string(set.hops.size()) + " seen"},
          {"On the ground", fixed(set.contact_ms, 0), unit(set.contact_ms, "ms"),
           set.contact_ms ? contact_u + "median" : "not known"},
          {"In the air", fixed(set.flight_ms, 0), unit(set.flight_ms, "ms"),
           set.height_cm ? fixed(set.height_cm, 1) + " cm high" : ""},
          {"Hops per minute", fixed(per_min, 0), "", over},
          {"Lowest beat kept", set.lowest_kept_bpm ? plain(*set.lowest_kept_bpm, 0) : "–",
           unit(set.lowest_kept_bpm, "/min"), set.lowest_kept_bpm ? "see the steps" : no_step},
          {"RSI", fixed(set.rsi, 2), unit(set.rsi, "m/s"), set.rsi ? "height / contact" : ""},
          {"Stiffness", fixed(set.stiffness_kn_m, 1), unit(set.stiffness_kn_m, "kN/m"), stiffness_below}};
}

double draw_words(const Ink& ink, double y, const measure::Measurement& m) {
  const hop::HopSet& set = *m.hops;
  const std::string from = contact_from_in_words(set);
  std::string times = from.empty() ? "No time on the ground is known: the notes say why." : "Times from " + from + ".";
  if (m.contacts.common_u_s > 0 && set.contact_ms) {
    times += " Common to all touchdowns: ± " + fixed(1000 * m.contacts.common_u_s, 1) + " ms.";
  }
  const TextStyle bold{.size = 8.8, .bold = true, .colour = palette::ink, .width = width};
  const bool no_beat = m.beats.steps.empty() && !m.asked.beat_bpm;
  y += ink.text(left, y, no_beat ? "No beat was heard or asked for." : "Beat " + beat_in_words(m) + ".", bold).height +
       1.5;
  const std::string not_counted = not_counted_in_words(set);
  const TextStyle usual{.size = 7.6, .colour = palette::ink, .width = width};
  y += ink.text(left, y, times, usual).height + 1.0;
  if (!not_counted.empty()) {
    y += ink.text(left, y, ink.fitted("Not counted: " + not_counted, usual, 20), usual).height + 1.0;
  }
  if (set.flight_ms) {
    y += ink.text(left, y, formulas_text, {.size = 6.9, .colour = palette::soft_ink, .width = width}).height;
  }
  return y + 7;
}

std::string chance(std::optional<double> p) {
  if (!p) return "–";
  return *p < 0.001 ? "<0.001" : fixed(p, 3);
}

double draw_steps(const Ink& ink, double x, double y, double table_width, const hop::HopSet& set) {
  constexpr std::array<double, step_cells> right_edges = {0.10, 0.22, 0.37, 0.50, 0.61, 0.76, 0.86, 1.0};
  constexpr std::array<const char*, step_cells> heads = {"beat", "hops",   "per min", "off %",
                                                         "lock", "chance", "ms",      ""};
  for (std::size_t i = 0; i < heads.size(); ++i) {
    ink.text(x + right_edges.at(i) * table_width, y, heads.at(i),
             {.size = 6.4, .colour = palette::soft_ink, .align = Align::right});
  }
  ink.line(x, y + step_head - 3, x + table_width, y + step_head - 3, 0.6, palette::soft_ink);
  y += step_head;
  const std::size_t shown = std::min(set.steps.size(), most_steps);
  for (std::size_t row = 0; row < shown; ++row, y += step_row) {
    const hop::Step& step = set.steps[row];
    const auto per_min = step.hop_rate_hz ? std::optional(60 * *step.hop_rate_hz) : std::nullopt;
    const std::array<std::string, step_cells> cells = {
        plain(step.beat_bpm, 0),   std::to_string(step.hops), fixed(per_min, 1),         fixed(step.rate_error_pct, 1),
        fixed(step.phase_lock, 2), chance(step.phase_p),      fixed(step.contact_ms, 0), step.kept ? "kept" : "no"};
    const Colour colour = step.kept ? palette::ink : palette::low;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      ink.text(x + right_edges.at(i) * table_width, y, cells.at(i),
               {.size = 7.0, .bold = i + 1 == cells.size() && step.kept, .colour = colour, .align = Align::right});
    }
  }
  std::string foot =
      "Off: the hops’ rate against the beat. Lock: 1 keeps one phase of the beat, 0 any. Chance: of such a "
      "lock without following. ms: median on the ground.";
  if (shown < set.steps.size()) {
    foot = std::to_string(set.steps.size() - shown) + " more in result.json. " + foot;
  }
  return y + 1.5 + ink.text(x, y + 1.5, foot, {.size = 6.0, .colour = palette::soft_ink, .width = table_width}).height;
}

std::vector<Row> rows_of(const measure::Measurement& m) {
  std::vector<Row> rows = how_measured(m);
  if (m.forefoot) {
    rows[1].text += "; the forefoot’s seen in " + std::to_string(m.forefoot->frames_seen) + " of " +
                    std::to_string(m.forefoot->samples.size());
  }
  if (m.hops && m.hops->sound_offset_ms) {
    rows.push_back({"Sound", "later than the picture by " +
                                 with_u(m.hops->sound_offset_ms, m.hops->sound_offset_ms_u, 0, "ms") +
                                 ", from landings heard and seen"});
  }
  return rows;
}

double steps_height(const hop::HopSet& set) {
  if (set.steps.empty()) return 0.0;
  return 14 + step_head + step_row * static_cast<double>(std::min(set.steps.size(), most_steps)) + 24;
}

// Beside each other: time on the ground hop by hop, and the steps; the chart alone where no beat was heard. Returns
// where both have ended.
double draw_middle(const Ink& ink, double y, double chart_height, const measure::Measurement& m) {
  const bool steps = !m.hops->steps.empty();
  const double half = steps ? width * 0.54 : width;
  draw_heading(ink, left, y, "Time on the ground, hop by hop");
  const bool any = std::any_of(m.hops->hops.begin(), m.hops->hops.end(), [](const auto& h) { return h.contact_ms; });
  if (any) {
    draw_contact_chart(ink, {left, y + 14, half, chart_height}, m);
  } else {
    ink.text(left, y + 14, "Not known for any hop.", {.size = 7.6, .colour = palette::ink});
    chart_height = 14;
  }
  if (!steps) return y + 14 + chart_height + 4;
  const double right_x = left + half + 10;
  draw_heading(ink, right_x, y, "Steps of the beat");
  const double right_end = draw_steps(ink, right_x, y + 14, width - half - 10, *m.hops);
  return std::max(y + 14 + chart_height, right_end) + 4;
}

// What the page gives to each of its parts.
struct Heights {
  double trace = 0.0;
  double chart = 0.0;
  double below_strips = 0.0;  // how it was measured, and the notes
};

Heights share_out(double y, const measure::Measurement& m) {
  Heights heights;
  const auto notes = static_cast<double>(std::min<std::size_t>(m.notes.size(), 3));
  heights.below_strips = 14 + 10.4 * static_cast<double>(rows_of(m).size()) + (notes > 0 ? 18 + 9.5 * notes : 0);
  const double strips = event_strips_height(m, width);
  const double rows = hop_trace_rows(m);
  const double least_chart = std::max(95.0, steps_height(*m.hops) - 14);
  const double room = bottom - y - strips - heights.below_strips - 34;
  heights.trace = std::clamp(room - least_chart, 8 + rows * 50, 8 + std::min(rows * 90, 200.0));
  heights.chart = std::clamp(room - heights.trace, least_chart, std::max(least_chart, 150.0));
  return heights;
}

}  // namespace

void draw_hops(const Ink& ink, double y, const measure::Measurement& m) {
  if (!m.hops || m.hops->hops.empty()) {
    ink.text(left, y, "No hops were found.", {.size = 11, .bold = true, .colour = palette::ink});
    draw_hop_trace(ink, {left, y + 24, width, 180}, m);
    draw_heading(ink, left, y + 220, "How it was measured");
    y = draw_rows(ink, left, y + 234, width, rows_of(m));
    draw_notes(ink, y + 12, bottom, m.notes);
    return;
  }
  y = draw_tiles(ink, y, tiles_of(m), 17.0);
  y = draw_words(ink, y, m);
  const Heights heights = share_out(y, m);
  draw_hop_trace(ink, {left, y, width, heights.trace}, m);
  y += heights.trace;
  draw_hop_legend(ink, left + 24, y + 1, m);
  y = draw_middle(ink, y + 15, heights.chart, m);
  y = draw_event_strips(ink, left, y, width, bottom - heights.below_strips, m);
  draw_heading(ink, left, y, "How it was measured");
  y = draw_rows(ink, left, y + 12, width, rows_of(m));
  draw_notes(ink, y + 2, bottom, m.notes);
}

}  // namespace risetrace::report
