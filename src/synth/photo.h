// A photograph in a file: binary PGM (P5) or PPM (P6), 8 bits.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "synth/scene.h"

namespace risetrace::synth {

struct Photo {
  int width = 0;
  int height = 0;
  int channels = 3;                  // 1: grey
  std::vector<std::uint8_t> values;  // row by row

  // Column and row from the middle of the top left pixel; mirrored beyond the edges, blended between pixels.
  [[nodiscard]] Colour at(double column, double row) const;
};

// Fault option_wrong where the file is not there or is no such picture. Comments in the head are allowed.
Result<Photo> read_photo(const std::string& path);

}  // namespace risetrace::synth
