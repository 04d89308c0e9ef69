// Times on the ground as a force plate felt them. For tests: a reference beside the picture's contacts.
#pragma once

#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

namespace risetrace::test {

struct ForceRecord {
  std::vector<double> time_s;
  std::vector<double> force_n;  // vertical, up positive
};

// The first column and `force_column` of a table with a head line, split at commas or tabs (one file mixes the two).
// Empty where there is no such column.
inline ForceRecord read_forces(const std::filesystem::path& file, std::size_t force_column) {
  ForceRecord out;
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    for (char& c : line) c = c == '\t' ? ',' : c;
    std::istringstream cells(line);
    std::vector<double> numbers;
    for (std::string cell; std::getline(cells, cell, ',');) numbers.push_back(std::stod(cell));
    if (force_column >= numbers.size()) continue;
    out.time_s.push_back(numbers[0]);
    out.force_n.push_back(numbers[force_column]);
  }
  return out;
}

// The place of a column by its name in the head line; empty where it is not there.
inline std::optional<std::size_t> force_column(const std::filesystem::path& file, const std::string& name) {
  std::ifstream in(file);
  std::string line;
  std::getline(in, line);
  while (!line.empty() && line.back() == '\r') line.pop_back();
  for (char& c : line) c = c == '\t' ? ',' : c;
  std::istringstream cells(line);
  std::size_t place = 0;
  for (std::string cell; std::getline(cells, cell, ','); ++place) {
    if (cell == name) return place;
  }
  return std::nullopt;
}

struct Stance {
  std::optional<double> touchdown_s;  // first sample over the threshold; empty: on the plate from the start
  std::optional<double> takeoff_s;    // first sample not over it; empty: on the plate to the end
};

// Over `threshold_n` is on the ground. A time off, then a time on, of under `least_s` is chatter of the plate: gaps are
// closed first, then short touches dropped.
inline std::vector<Stance> stances(const ForceRecord& record, double threshold_n = 20, double least_s = 0.03) {
  std::vector<Stance> raw;
  bool on = false;
  for (std::size_t i = 0; i < record.force_n.size(); ++i) {
    const bool now = record.force_n[i] > threshold_n;
    if (now && !on) {
      raw.emplace_back();
      if (i > 0) raw.back().touchdown_s = record.time_s[i];
    }
    if (!now && on) raw.back().takeoff_s = record.time_s[i];
    on = now;
  }
  std::vector<Stance> joined;
  for (const Stance& stance : raw) {
    if (!joined.empty() && *stance.touchdown_s - *joined.back().takeoff_s < least_s) {
      joined.back().takeoff_s = stance.takeoff_s;
    } else {
      joined.push_back(stance);
    }
  }
  std::erase_if(
      joined, [&](const Stance& s) { return s.touchdown_s && s.takeoff_s && *s.takeoff_s - *s.touchdown_s < least_s; });
  return joined;
}

}  // namespace risetrace::test
