// Finds stretches of time in which events come at even spacing, among events that do not belong to it and with some of
// its own missing.
//
// An event on the beat lies about offset + k x period, normally distributed with `spread_s`; other events fall
// anywhere, as many a second as there are of at least this strength about it. The evidence for a grid is the logarithm
// of how much likelier its hits and misses are if the grid is there (derived here; a run is grown from each pair of
// events and its best part kept). It must outweigh the number of pairs tried, so that chance alone makes no grid.
#pragma once

#include <cstddef>
#include <vector>

namespace risetrace::beat {

struct Event {
  double time_s = 0.0;
  double strength_db = 0.0;
};

struct GridOptions {
  double least_period_s = 60.0 / 245.0;  // a hair more than 240 per minute
  double greatest_period_s = 60.0 / 29.5;
  double spread_s = 0.001;      // of an event about its beat: a machine's beat heard through a phone
  double tolerance_s = 0.0035;  // further off is no hit
  double heard_share = 0.8;     // of a grid's beats that are expected to be heard
  int most_missing = 6;         // in a row, within one run
  int least_hits = 6;
  double least_evidence = 4.0;  // over the logarithm of the pairs tried
};

struct Hit {
  int beat = 0;           // k
  std::size_t event = 0;  // index into the events given
};

// beat k, 0 .. beats - 1, at offset_s + k x period_s. The first and the last beat are hits.
struct Grid {
  double offset_s = 0.0;
  double period_s = 0.0;
  double period_s_u = 0.0;  // standard uncertainty
  double residual_s = 0.0;  // standard deviation of the hits about their beats
  double bow_s = 0.0;       // how far the hits bow from even spacing over the whole: half-way deviation of a parabola
  double bow_s_u = 0.0;
  int beats = 0;
  double evidence = 0.0;
  std::vector<Hit> hits;
  [[nodiscard]] double at_s(double beat) const { return offset_s + beat * period_s; }
  [[nodiscard]] double last_s() const { return at_s(beats - 1); }
};

// Events in rising order of time. Grids in order of time; they do not overlap, but one may begin with the event that
// another ends with, where the tempo changes on a beat. Runs of one grid with a longer silence between are joined.
std::vector<Grid> find_grids(const std::vector<Event>& events, const GridOptions& options = {});

// How much likelier, as a logarithm, these events are if a machine struck the beat (off by a millisecond at most) than
// if a person moved to it (off by 4 ms or more, as the nearest events about the beats are): a hopper lands so evenly
// that chance alone would not explain it. Every spacing of hops varies by 1.4 % or more (domain: rebound timing).
double evidence_of_machine(const Grid& grid, const std::vector<Event>& events);

// The line through the hits, least squares with Huber's weights so that a stray hit pulls little; all fields but hits
// and evidence are set from it. `grid.hits` holds at least three.
void fit_grid(Grid& grid, const std::vector<Event>& events);

}  // namespace risetrace::beat
