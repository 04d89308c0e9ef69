// Colours of outlines.
#pragma once

#include <vector>

#include "base/geometry.h"
#include "synth/scene.h"

namespace risetrace::synth {

struct Stop {
  double share = 0.0;  // 0 .. 1 from `from` to `to`
  Colour colour;
};

// One stop: plain. More: blended along the way from `from` to `to`, beyond them as at the ends.
struct Fill {
  std::vector<Stop> stops;
  Point from;
  Point to;
  double cover = 1.0;  // 1: hides what is behind it
};

inline Fill plain(Colour colour, double cover = 1.0) { return {{{0.0, colour}}, {}, {}, cover}; }

inline Colour scaled(Colour colour, double by) { return {colour.r * by, colour.g * by, colour.b * by}; }

inline Colour blended(Colour a, Colour b, double share) {
  return {a.r + (b.r - a.r) * share, a.g + (b.g - a.g) * share, a.b + (b.b - a.b) * share};
}

}  // namespace risetrace::synth
