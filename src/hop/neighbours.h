// What the hops next to one say.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "math/statistics.h"

namespace risetrace::hop {

struct Neighbours {
  std::size_t each_way = 3;
  std::size_t fewest = 3;
};

// The median of a value over the nearest of `count` hops that have it, so many before hop i and so many after, itself
// left out; empty where too few have it. `value_of(j)` gives an optional double.
template <typename ValueOf>
std::optional<double> median_about(std::size_t i, std::size_t count, const Neighbours& neighbours,
                                   const ValueOf& value_of) {
  std::vector<double> values;
  const auto take = [&](std::size_t j, std::size_t& taken) {
    if (const std::optional<double> value = value_of(j)) {
      values.push_back(*value);
      ++taken;
    }
  };
  std::size_t before = 0;
  std::size_t after = 0;
  for (std::size_t j = i; j > 0 && before < neighbours.each_way; --j) take(j - 1, before);
  for (std::size_t j = i + 1; j < count && after < neighbours.each_way; ++j) take(j, after);
  if (values.size() < neighbours.fewest) return std::nullopt;
  return math::median(values);
}

}  // namespace risetrace::hop
