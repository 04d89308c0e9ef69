// What is asked of one clip, by the command line or by a session.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "cli/filming_options.h"
#include "measure/measure_clip.h"
#include "model/read_models.h"

namespace risetrace::cli {

// As the options spell it; empty and unset: the default.
struct ClipQuestion {
  std::string clip;
  std::string test = "heel-raise";
  std::string side;
  std::string knee;
  std::optional<double> mass_kg;
  Filming filming;
  // Places in the first frame, upright pixels: none, or x and y.
  std::vector<double> forefoot_px;
  std::vector<double> ankle_px;
  std::vector<double> knee_px;
  std::vector<double> hip_px;
  std::vector<double> toe_px;
  std::optional<double> wall_px;  // x
  std::optional<double> end_fraction;
  std::optional<int> end_after;
  std::optional<int> reference_reps;
  std::optional<double> beat_bpm;
};

// Those of the options above that heel raises have, without CLIP and --test. `question` must outlive the parsing.
void add_raise_options(CLI::App& command, ClipQuestion& question);
// All of them.
void add_clip_options(CLI::App& command, ClipQuestion& question);

// Fault option_wrong where options do not go together.
Result<measure::MeasureOptions> options_of(const ClipQuestion& question, const model::Models& models);

}  // namespace risetrace::cli
