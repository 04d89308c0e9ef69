// What the command line says of how a clip was filmed, the same for every command that looks at clips.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "scale/find_scale.h"

namespace risetrace::cli {

struct Filming {
  std::string card = "tags";
  double card_offset_cm = 0;
  std::optional<double> distance_m;
  std::optional<double> px_per_cm;
  std::vector<double> heel_px;  // none, or x and y
  std::optional<double> capture_fps;

  [[nodiscard]] scale::ScaleOptions scale_options() const;
};

// X and Y as an option gives them; empty where it is not given.
std::optional<Point> place(const std::vector<double>& xy);

// --card, --card-offset, --distance, --px-per-cm, --heel, --capture-fps. `filming` must outlive the parsing.
void add_filming_options(CLI::App& command, Filming& filming);

}  // namespace risetrace::cli
