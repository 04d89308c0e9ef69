#include "beat/hear_beat.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <string>

#include "beat/band_power.h"
#include "beat/find_grids.h"
#include "beat/find_onsets.h"
#include "beat/find_short_steps.h"
#include "beat/name_clicks.h"
#include "beat/name_thuds.h"
#include "math/statistics.h"

namespace risetrace::beat {
namespace {

constexpr double gap_s = 0.002;      // a longer hole between pieces makes everything start anew
constexpr double covered_s = 0.001;  // a click further off its even beat has its attack covered by another sound
constexpr double silent = 1e-8;      // -80 dB of full scale: nothing but the coder's own noise
constexpr double patchy = 0.7;       // share of beats whose click was heard

std::string shown(const char* form, double value) {
  char text[48];  // NOLINT(modernize-avoid-c-arrays)
  std::snprintf(text, sizeof(text), form, value);
  return text;
}

// More of the events on even grids are music's than clicks.
bool mostly_music(const std::vector<Grid>& grids, const std::vector<Onset>& onsets) {
  std::size_t music = 0;
  std::size_t all = 0;
  for (const Grid& grid : grids) {
    all += grid.hits.size();
    if (is_music(grid, onsets)) music += grid.hits.size();
  }
  return 2 * music > all;
}

struct Found {
  std::vector<Grid> grids;
  std::vector<const Onset*> clicks;        // of all grids, in order
  std::vector<std::pair<int, int>> place;  // grid and beat of each
};

Found gather(std::vector<Grid> grids, const std::vector<Onset>& onsets) {
  Found found;
  found.grids = std::move(grids);
  for (std::size_t g = 0; g < found.grids.size(); ++g) {
    for (const Hit& hit : found.grids[g].hits) {
      found.clicks.push_back(&onsets[hit.event]);
      found.place.emplace_back(static_cast<int>(g), hit.beat);
    }
  }
  return found;
}

std::vector<Click> clicks_of(const Found& found, const Attack& attack, double slot_s) {
  const std::vector<bool> accent = accents(found.clicks);
  std::vector<Click> clicks;
  clicks.reserve(found.clicks.size());
  for (std::size_t i = 0; i < found.clicks.size(); ++i) {
    const Grid& grid = found.grids[static_cast<std::size_t>(found.place[i].first)];
    Click click;
    const double even_s = grid.at_s(found.place[i].second);
    const double own_s = found.clicks[i]->time_s;
    click.time_s = (std::abs(own_s - even_s) > covered_s ? even_s : own_s) + attack.shift_s;
    // The scatter of the clicks about an even beat, a slot's rounding, and where in its rise a slow attack begins.
    click.time_s_u =
        std::sqrt(grid.residual_s * grid.residual_s + slot_s * slot_s / 12 + attack.rise_s * attack.rise_s / 12);
    click.level = found.clicks[i]->strength_db;
    click.accent = accent[i];
    clicks.push_back(click);
  }
  return clicks;
}

void note_steps(Beats& beats) {
  int expected = 0;
  int heard = 0;
  for (const BeatStep& step : beats.steps) {
    expected += step.beats;
    heard += step.heard;
  }
  if (heard < patchy * expected) {
    beats.notes.push_back({"beat-patchy",
                           "Only " + std::to_string(heard) + " of " + std::to_string(expected) +
                               " clicks of the beat were heard; the others are taken from its evenness.",
                           std::nullopt});
  }
}

void note_drift(Beats& beats, double first_period_s, double last_period_s) {
  beats.notes.push_back({"beat-drifts",
                         "The beat is not steady: it changes little by little, from " +
                             shown("%.1f", 60.0 / first_period_s) + " to " + shown("%.1f", 60.0 / last_period_s) +
                             " per minute. No tempo is given for it.",
                         beats.clicks.front().time_s});
}

// No steady beat: one that slides all the time, or none.
void hear_sliding(Beats& beats, const std::vector<Onset>& onsets, const std::vector<Event>& events, double slot_s) {
  const std::vector<std::size_t> run = find_sliding_run(events);
  if (run.empty()) {
    beats.notes.push_back(
        {"no-beat", "No even beat was heard: no run of evenly spaced clicks stands out from the other sounds.", {}});
    return;
  }
  std::vector<const Onset*> clicks;
  clicks.reserve(run.size());
  for (const std::size_t event : run) clicks.push_back(&onsets[event]);
  const double shift_s = attack_of(clicks, slot_s).shift_s;
  for (const Onset* click : clicks) {
    beats.clicks.push_back({click->time_s + shift_s, covered_s / 2, click->strength_db, false});
  }
  const std::size_t last = run.size() - 1;
  note_drift(beats, events[run[1]].time_s - events[run[0]].time_s,
             events[run[last]].time_s - events[run[last - 1]].time_s);
}

}  // namespace

struct BeatListener::Inside {
  std::optional<BandPower> power;
  std::optional<OnsetFinder> finder;
  std::vector<Slot> slots;
  double rate_hz = 0.0;
  double end_s = 0.0;
  double heard_s = 0.0;
  double loudest = 0.0;
  bool any = false;
};

BeatListener::BeatListener() : inside_(std::make_unique<Inside>()) {}
BeatListener::BeatListener(BeatListener&&) noexcept = default;
BeatListener& BeatListener::operator=(BeatListener&&) noexcept = default;
BeatListener::~BeatListener() = default;

void BeatListener::push(const clip::SoundPiece& piece) {
  Inside& in = *inside_;
  if (piece.samples.empty() || !(piece.rate_hz >= 8000.0)) return;
  const bool anew = !in.power || piece.rate_hz != in.rate_hz || std::abs(piece.first_s - in.end_s) > gap_s;
  if (anew) {
    in.rate_hz = piece.rate_hz;
    in.power.emplace(piece.rate_hz);
    if (!in.finder) in.finder.emplace(in.power->slot_s());
    in.finder->finish();
  }
  const double length_s = static_cast<double>(piece.samples.size()) / piece.rate_hz;
  in.any = true;
  in.end_s = piece.first_s + length_s;
  in.heard_s += length_s;
  in.slots.clear();
  in.power->push(piece, in.slots);
  for (const Slot& slot : in.slots) {
    for (const float power : slot.click) in.loudest = std::max(in.loudest, static_cast<double>(power));
    in.loudest = std::max(in.loudest, static_cast<double>(slot.low));
    in.finder->push(slot);
  }
}

Beats BeatListener::finish() {
  Inside& in = *inside_;
  Beats beats;
  beats.sound_there = in.any;
  if (!in.any) {
    beats.notes.push_back({"no-sound", "The clip has no sound, so no beat can be heard in it.", std::nullopt});
    return beats;
  }
  if (in.loudest < silent) {
    beats.notes.push_back({"sound-silent", "The clip's sound is silent, so no beat can be heard in it.", std::nullopt});
    return beats;
  }
  in.finder->finish();
  beats.thuds = thuds_of(in.finder->lows, {});
  std::vector<Onset>& onsets = in.finder->onsets;
  std::sort(onsets.begin(), onsets.end(), [](const Onset& a, const Onset& b) { return a.time_s < b.time_s; });
  std::vector<Event> events;
  events.reserve(onsets.size());
  for (const Onset& onset : onsets) events.push_back({onset.time_s, onset.strength_db, level_db(onset)});
  std::vector<Grid> grids = find_grids(events);
  if (mostly_music(grids, onsets)) grids.clear();
  const bool drifting = drifts(grids);
  if (!drifting) add_short_steps(grids, events);
  settle_shared(grids, onsets, events);
  const double slot_s = in.power->slot_s();
  if (grids.empty()) {
    hear_sliding(beats, onsets, events, slot_s);
    return beats;
  }
  const Found found = gather(std::move(grids), onsets);
  const Attack attack = attack_of(found.clicks, slot_s);
  const double shift_s = attack.shift_s;
  beats.clicks = clicks_of(found, attack, slot_s);
  beats.thuds = thuds_of(in.finder->lows, beats.clicks);
  if (drifting) {
    note_drift(beats, found.grids.front().period_s, found.grids.back().period_s);
    return beats;
  }
  beats.steps = steps_of(found.grids);
  for (BeatStep& step : beats.steps) {
    step.first_s += shift_s;
    step.from_s += shift_s;
    step.to_s += shift_s;
  }
  if (beats.steps.size() == 1) beats.bpm = beats.steps.front().bpm;
  note_steps(beats);
  return beats;
}

}  // namespace risetrace::beat
