// One finished frame as a camera would store it.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace risetrace::synth {

// Stored samples of one plane, row by row, no padding: one byte each, or two (little-endian, low bits) for 10 bits.
struct StoredPlane {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> bytes;
};

struct RenderedFrame {
  int index = 0;             // among the stored frames
  double time_s = 0.0;       // of filming, 0 for the first: the middle of the exposure of the middle row
  double file_time_s = 0.0;  // the same stretched by slow motion: what the file should carry
  int bits = 8;
  std::array<StoredPlane, 3> planes;  // luma, Cb, Cr (4:2:0), stored orientation
};

}  // namespace risetrace::synth
