// Drawn pictures and clips made of them.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "report/clip_writer.h"

namespace risetrace::test {

struct Grid {
  Grid(int the_width, int the_height)
      : width(the_width), height(the_height), values(static_cast<std::size_t>(the_width * the_height)) {}
  int& at(int x, int y) { return values[static_cast<std::size_t>(y * width + x)]; }
  [[nodiscard]] int at(int x, int y) const { return values[static_cast<std::size_t>(y * width + x)]; }
  int width, height;
  std::vector<int> values;
};

// An Orientation carried out to the letter: mirrored left-right, then turned clockwise, one quarter after the other.
inline Grid stood_up(Grid grid, const clip::Orientation& orientation) {
  if (orientation.mirrored) {
    const Grid before = grid;
    for (int y = 0; y < grid.height; ++y) {
      for (int x = 0; x < grid.width; ++x) grid.at(x, y) = before.at(grid.width - 1 - x, y);
    }
  }
  for (int turn = 0; turn < orientation.quarter_turns_cw; ++turn) {
    Grid after(grid.height, grid.width);
    for (int y = 0; y < grid.height; ++y) {
      for (int x = 0; x < grid.width; ++x) after.at(grid.height - 1 - y, x) = grid.at(x, y);  // the top goes right
    }
    grid = after;
  }
  return grid;
}

// 4:2:0 pictures in 8 or 10 bits; a 10-bit one holds the same picture with two extra bits below.
struct Drawn {
  int width = 0;
  int height = 0;
  int bits = 8;
  std::vector<std::uint8_t> luma;
  std::vector<std::uint8_t> chroma[2];

  [[nodiscard]] report::PictureView view() const {
    const int bytes = bits > 8 ? 2 : 1;
    report::PictureView view;
    view.bits = bits;
    view.luma = {luma.data(), static_cast<std::ptrdiff_t>(width) * bytes, width, height};
    for (int i = 0; i < 2; ++i) {
      view.chroma[static_cast<std::size_t>(i)] = {chroma[i].data(), static_cast<std::ptrdiff_t>(width / 2) * bytes,
                                                  width / 2, height / 2};
    }
    return view;
  }
};

// The luma of the stored picture number `number`: smooth, so that every codec keeps it; no two of its eight
// orientations look alike; and each picture of a clip has its own level in the bottom right corner.
inline int drawn_luma(int x, int y, int width, int height, int number) {
  if (x >= width * 3 / 4 && y >= height * 3 / 4) return 40 + 8 * (number % 20);
  return 30 + 120 * x / width + 60 * y / height;
}

inline Drawn draw(int width, int height, int number, int bits = 8) {
  Drawn drawn{width, height, bits, {}, {}};
  const auto put = [bits](std::vector<std::uint8_t>& to, int value) {
    const int scaled = value << (bits - 8);
    to.push_back(static_cast<std::uint8_t>(scaled & 255));
    if (bits > 8) to.push_back(static_cast<std::uint8_t>(scaled >> 8));
  };
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) put(drawn.luma, drawn_luma(x, y, width, height, number));
  }
  for (int i = 0; i < 2; ++i) {
    for (int at = 0; at < width * height / 4; ++at) put(drawn.chroma[i], i == 0 ? 110 : 150);
  }
  return drawn;
}

// Writes pictures 0, 1, 2 ... at the times given. False where the writer refused.
inline Outcome write_clip(const std::string& path, const report::ClipWriterOptions& options,
                          const std::vector<double>& times_s, int bits = 8) {
  auto writer = report::ClipWriter::create(path, options);
  if (!writer) return writer.error();
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    const Outcome added =
        writer->add_picture(draw(options.width, options.height, static_cast<int>(i), bits).view(), times_s[i]);
    if (!added) return added;
  }
  if (options.sound_rate_hz) {
    const auto count = static_cast<std::size_t>(times_s.back() * *options.sound_rate_hz);
    const Outcome added = writer->add_sound(std::vector<float>(count, 0.0F));
    if (!added) return added;
  }
  return writer->finish();
}

inline std::vector<double> steady_times(int count, double rate_hz) {
  std::vector<double> times_s;
  for (int i = 0; i < count; ++i) times_s.push_back(i / rate_hz);
  return times_s;
}

}  // namespace risetrace::test
