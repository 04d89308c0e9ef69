// A clip's sound read from end to end, laid on one line of time.
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "clip/read_sound.h"

namespace risetrace::test {

struct Heard {
  std::optional<Error> error;
  clip::SoundFacts facts;
  std::vector<clip::SoundPiece> pieces;

  [[nodiscard]] bool has_note(const std::string& code) const {
    for (const Note& note : facts.notes) {
      if (note.code == code) return true;
    }
    return false;
  }
  [[nodiscard]] double length_s() const {
    double sum = 0.0;
    for (const auto& piece : pieces) sum += static_cast<double>(piece.samples.size()) / piece.rate_hz;
    return sum;
  }
  // When |sample| first passes `level` at or after `from_s`; NaN where it never does.
  [[nodiscard]] double first_over_s(float level, double from_s = -1e9) const {
    for (const auto& piece : pieces) {
      for (std::size_t i = 0; i < piece.samples.size(); ++i) {
        const double at_s = piece.first_s + static_cast<double>(i) / piece.rate_hz;
        if (at_s >= from_s && std::abs(piece.samples[i]) > level) return at_s;
      }
    }
    return std::nan("");
  }
  // Ends that lie more than 1.1 ms from the beginning of the next piece.
  [[nodiscard]] int gaps() const {
    int count = 0;
    for (std::size_t i = 1; i < pieces.size(); ++i) {
      const auto& before = pieces[i - 1];
      const double end_s = before.first_s + static_cast<double>(before.samples.size()) / before.rate_hz;
      if (std::abs(pieces[i].first_s - end_s) > 0.0011) ++count;
    }
    return count;
  }
};

inline Heard hear_all(const std::string& path, const clip::SoundOptions& options = {}) {
  Heard heard;
  auto reader = clip::SoundReader::open(path, options);
  if (!reader) {
    heard.error = reader.error();
    return heard;
  }
  while (true) {
    auto piece = reader->next();
    if (!piece) {
      heard.error = piece.error();
      break;
    }
    if (!*piece) break;
    heard.pieces.push_back(std::move(**piece));
  }
  heard.facts = reader->facts();
  return heard;
}

}  // namespace risetrace::test
