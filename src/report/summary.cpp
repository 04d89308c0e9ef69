#include "report/summary.h"

#include <algorithm>
#include <array>
#include <vector>

#include "report/terminal_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

constexpr std::size_t most_lines = 12;
constexpr std::size_t most_hop_lines = 24;
constexpr std::size_t most_steps = 6;

std::string pace(const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  const double asked_per_min = m.asked.protocol.beat_bpm / 2;
  if (!set.rep_period_s) return "not known: fewer than two reps";
  std::string text = fixed(set.rep_period_s, 2) + " s a rep = " + fixed(60 / *set.rep_period_s, 1) +
                     " reps per minute (asked " + fixed(asked_per_min, 1) + ")";
  if (set.on_beat_share) text += "; " + percent(*set.on_beat_share) + " on the beat";
  return text;
}

std::string counts(const raise::RepSet& set) {
  std::string text;
  for (const raise::CountAt& at : set.count_at) {
    text += (text.empty() ? "" : ", ") + std::to_string(at.count) + " at " + percent(at.fraction);
  }
  return text + " of the reference height";
}

std::string heights(const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  return "reference " + with_u(set.reference_height_cm, set.reference_height_cm_u, 2, "cm") + ", greatest " +
         with_u(set.greatest_height_cm, set.greatest_height_cm_u, 2, "cm");
}

void add_raises(TerminalPage& page, const measure::Measurement& m) {
  const raise::RepSet& set = *m.raises;
  const std::string who = who_was_tested(m.asked);
  page.head(std::to_string(set.count) + (set.count == 1 ? " rep" : " reps") + " counted" +
            (who.empty() ? "" : ", " + who) + ": " + readable(m.clip.file));
  page.row("Set", how_it_ended(set, m.asked.protocol));
  page.row("Height", heights(m));
  const std::string work = m.work_j ? ", " + with_u(m.work_j, m.work_j_u, 0, "J") + " (" + work_caveat + ")" : "";
  page.row("In all", with_u(set.total_height_cm, set.total_height_cm_u, 1, "cm") + work);
  page.row("Pace", pace(m));
  if (const std::string knee = knee_in_words(m); !knee.empty()) page.row("Knee", knee);
  page.row("Counts", counts(set));
}

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t taken = columns_of(text);
  return taken < width ? std::string(width - taken, ' ') + text : text;
}

std::string signed_fixed(std::optional<double> value, int decimals) {
  const std::string text = fixed(value, decimals);
  return value && text.front() != '-' && *value > 0 ? "+" + text : text;
}

std::string table_line(const std::array<std::string, 7>& cells) {
  constexpr std::array<std::size_t, 7> widths = {4, 6, 9, 8, 7, 11, 6};
  std::string text;
  for (std::size_t i = 0; i < cells.size(); ++i) text += padded(cells.at(i), widths.at(i));
  return text;
}

void add_steps(TerminalPage& page, const hop::HopSet& set) {
  if (set.steps.empty()) return;
  page.table_row("Steps", table_line({"beat", "hops", "per min", "off %", "lock", "on ground", "kept"}));
  const std::size_t shown = std::min(set.steps.size(), most_steps);
  for (std::size_t i = 0; i < shown; ++i) {
    const hop::Step& step = set.steps[i];
    const auto per_min = step.hop_rate_hz ? std::optional(*step.hop_rate_hz * 60) : std::nullopt;
    const std::string contact = fixed(step.contact_ms, 0) + (step.contact_ms ? " ms" : "");
    page.table_row("", table_line({plain(step.beat_bpm, 0), std::to_string(step.hops), fixed(per_min, 1),
                                   signed_fixed(step.rate_error_pct, 1), fixed(step.phase_lock, 2), contact,
                                   step.kept ? "yes" : "no"}));
  }
  if (shown == set.steps.size()) return;
  const std::size_t left = set.steps.size() - shown;
  page.row("", std::to_string(left) + (left == 1 ? " more step" : " more steps") + " in result.json");
}

void add_times(TerminalPage& page, const hop::HopSet& set) {
  const std::string from = contact_from_in_words(set);
  if (set.contact_ms) {
    page.row("Contact", with_u(set.contact_ms, set.contact_ms_u, 0, "ms") + " on the ground (median)" +
                            (from.empty() ? "" : ", from " + from));
  } else {
    page.row("Contact", "no time on the ground is known");
  }
  if (set.flight_ms) {
    page.row("Flight", fixed(set.flight_ms, 0) + " ms in the air (median)" +
                           (set.height_cm ? ", so " + fixed(set.height_cm, 1) + " cm high" : ""));
  }
}

void add_hops(TerminalPage& page, const measure::Measurement& m) {
  const hop::HopSet& set = *m.hops;
  const std::string who = who_was_tested(m.asked);
  page.head(std::to_string(set.count) + (set.count == 1 ? " hop" : " hops") + " counted of " +
            std::to_string(set.hops.size()) + (who.empty() ? "" : ", " + who) + ": " + readable(m.clip.file));
  add_times(page, set);
  page.row("Rate", set.hop_rate_hz
                       ? hop_rate_in_words(set.hop_rate_hz) + (set.steps.size() > 1 ? " over all steps" : "")
                       : "not known");
  if (set.rsi) {
    page.row("Spring", "RSI " + fixed(set.rsi, 2) + " m/s (height / contact), stiffness " +
                           (set.stiffness_kn_m ? fixed(set.stiffness_kn_m, 1) + " kN/m, " + stiffness_caveat
                                               : std::string("not known")));
  }
  const std::string lowest =
      set.lowest_kept_bpm ? "lowest kept " + plain(*set.lowest_kept_bpm, 0) + " per minute; " : "";
  const std::string none_kept = !set.steps.empty() && !set.lowest_kept_bpm ? "none kept; " : "";
  page.row("Beat", lowest + none_kept + beat_in_words(m));
  add_steps(page, set);
  const std::string not_counted = not_counted_in_words(set);
  if (!not_counted.empty())
    page.row("Left out", cut_to_columns(not_counted, 2 * (page_columns - page_label_columns) - 20));
}

void add_lunge(TerminalPage& page, const measure::Measurement& m) {
  const ankle::Lunge& lunge = *m.lunge;
  const std::string who = who_was_tested(m.asked);
  page.head("Shank " + with_u(lunge.shank_deg, lunge.shank_deg_u, 1, "") + "° from the vertical" +
            (who.empty() ? "" : ", " + who) + ": " + readable(m.clip.file));
  page.row("Held", fixed(lunge.held_s(), 1) + " s, from " + fixed(lunge.hold_from_s, 1) + " to " +
                       fixed(lunge.hold_to_s, 1) + " s" + (lunge.held ? "" : ": passed through, not held"));
  page.row("Standing", lunge.standing_shank_deg ? fixed(lunge.standing_shank_deg, 1) + "°, so a change of " +
                                                      with_u(lunge.change_deg, lunge.change_deg_u, 1, "") + "°"
                                                : std::string("not seen"));
  page.row("Toe-wall", lunge.toe_to_wall_cm ? with_u(lunge.toe_to_wall_cm, lunge.toe_to_wall_cm_u, 1, "cm")
                                            : std::string("not measured: give --toe X,Y and --wall X, and a card"));
  page.row("Vertical", m.angles && m.angles->upright_by_card ? "the card's upright edge" : "the picture's");
}

std::string scale_line(const scale::Scale& scale) {
  if (!scale.px_per_cm) return "none, so no centimetres (show a card, or give --px-per-cm)";
  std::string text = scale_in_words(scale) + ", " + with_u(scale.px_per_cm, scale.px_per_cm_u, 2, "px/cm");
  if (scale.tilt_deg) text += ", tilt " + fixed(scale.tilt_deg, 1) + "°";
  if (scale.fit_rms_px) text += ", fit " + fixed(scale.fit_rms_px, 2) + " px";
  return text;
}

std::string sticker_line(const measure::Measurement& m) {
  return "seen in " + std::to_string(m.track.frames_seen) + " of " + std::to_string(m.track.samples.size()) +
         " frames at " + fixed(m.clip.frame_rate_hz, 1) + " fps, " + std::to_string(m.track.frames_bridged) +
         " bridged, radius " + fixed(m.track.radius_px, 1) + " px";
}

std::string other_sticker_line(const sticker::Track& track) {
  return "seen in " + std::to_string(track.frames_seen) + " of " + std::to_string(track.samples.size()) + " frames, " +
         std::to_string(track.frames_bridged) + " bridged";
}

// Those that put every number in doubt come first: there may be no room for all.
Notes gravest_first(Notes notes) {
  constexpr std::array grave{"pace-far-from-beat",  "clock-may-be-stretched", "clock-not-checked",
                             "corrected-by-hand",   "camera-not-checked",     "sticker-choice-doubtful",
                             "heel-below-standing", "sticker-found-late",     "card-out-of-sight",
                             "reference-uneven",    "rep-far-higher",         "card-moved",
                             "peak-unseen",         "shoe-mistaken"};
  std::stable_partition(notes.begin(), notes.end(), [&](const Note& note) {
    return std::any_of(grave.begin(), grave.end(), [&](const char* code) { return note.code == code; });
  });
  return notes;
}

constexpr std::size_t ragged_columns = 24;  // what wrapping at words may leave empty of two lines

// Whole notes while they fit, then how many more there are; of the first at least its beginning.
void add_notes(TerminalPage& page, const Notes& notes, std::size_t room) {
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const std::string when = notes[i].t_s ? fixed(notes[i].t_s, 1) + " s: " : "";
    const std::string text = when + readable(notes[i].text);
    const std::size_t kept_back = i + 1 < notes.size() ? 1 : 0;
    const std::size_t needed = wrapped_to_columns(text, page_columns - page_label_columns).size();
    if (needed + kept_back > room) {
      const std::size_t left = notes.size() - i;
      if (i == 0 && room > 1) {
        page.row("Note", cut_to_columns(text, (room - 1) * (page_columns - page_label_columns) - ragged_columns));
        page.row("", (left == 1 ? "whole" : "whole, and " + std::to_string(left - 1) + " more,") +
                         std::string(" in result.json"));
        return;
      }
      page.row("",
               std::to_string(left) + (left == 1 ? " note" : " notes") + (i == 0 ? "" : " more") + " in result.json");
      return;
    }
    page.row("Note", text);
    room -= needed;
  }
}

}  // namespace

std::string summary(const measure::Measurement& measurement, bool colour) {
  TerminalPage page(colour);
  const bool hops = measurement.asked.test == Test::hop;
  if (hops && measurement.hops) {
    add_hops(page, measurement);
  } else if (hops) {
    page.head("No hops were found: " + readable(measurement.clip.file));
  } else if (measurement.lunge) {
    add_lunge(page, measurement);
  } else if (measurement.raises) {
    add_raises(page, measurement);
  } else {
    page.head("Pixels only, no heights and no reps: " + readable(measurement.clip.file));
  }
  if (const std::string corrected = corrected_in_words(measurement); !corrected.empty()) page.row("By hand", corrected);
  page.row("Scale", scale_line(measurement.scale));
  page.row(measurement.lunge ? "Knee" : "Sticker", sticker_line(measurement));
  if (measurement.lunge && measurement.leg.ankle) page.row("Ankle", other_sticker_line(*measurement.leg.ankle));
  if (hops && measurement.forefoot) page.row("Forefoot", other_sticker_line(*measurement.forefoot));
  const std::size_t taken = page.lines() + 1;
  const std::size_t most = hops ? most_hop_lines : most_lines;
  add_notes(page, gravest_first(measurement.notes), taken < most ? most - taken : 0);
  page.plain(cut_to_columns("Not a medical device; local rules and the licensed clinician come first.", page_columns));
  return page.text();
}

}  // namespace risetrace::report
