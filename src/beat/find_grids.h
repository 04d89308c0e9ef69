// Finds stretches of time in which events come at even spacing, among events that do not belong to it and with some of
// its own missing.
//
// An event on the beat lies about offset + k x period, normally distributed with `spread_s`; other events fall
// anywhere, as many a second as there are of at least this strength about it. The evidence for a grid is the logarithm
// of how much likelier its hits and misses are if the grid is there (derived here; a run is grown from each pair of
// events and its best part kept). It must outweigh the number of pairs tried, so that chance alone makes no grid.
#pragma once

#include <vector>

#include "beat/grid.h"

namespace risetrace::beat {

struct GridOptions {
  double least_period_s = 60.0 / 245.0;  // a hair more than 240 per minute
  double greatest_period_s = 60.0 / 29.5;
  double spread_s = 0.001;      // of an event about its beat: a machine's beat heard through a phone
  double tolerance_s = 0.0035;  // further off is no hit
  double heard_share = 0.8;     // of a grid's beats that are expected to be heard
  int most_missing = 6;         // in a row, within one run
  int least_hits = 8;
  double least_evidence = 4.0;  // over the logarithm of the pairs tried
};

// Events in rising order of time. Grids in order of time; they do not overlap, but one may begin with the event that
// another ends with, where the tempo changes on a beat. Runs of one grid with a longer silence between are joined.
std::vector<Grid> find_grids(const std::vector<Event>& events, const GridOptions& options = {});

// A beat whose tempo changes little by little, in an unbroken run: each spacing differs from the one before by 3 ms at
// most, which landings to a beat do not. Indices of its events; empty where fewer than sixteen follow one another so.
std::vector<std::size_t> find_sliding_run(const std::vector<Event>& events, const GridOptions& options = {});

}  // namespace risetrace::beat
