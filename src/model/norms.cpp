#include "model/norms.h"

#include <algorithm>

#include "model/ladders.h"

namespace risetrace::model {
namespace {

template <typename List, typename Same>
auto first_of(const List& list, Same same) -> decltype(list.data()) {
  const auto found = std::find_if(list.begin(), list.end(), same);
  return found == list.end() ? nullptr : &*found;
}

}  // namespace

const Quantity* Norms::quantity(const std::string& key) const {
  return first_of(quantities, [&](const Quantity& q) { return q.key == key; });
}

const RetestNoise* Norms::noise_of(const std::string& key) const {
  return first_of(retest_noise, [&](const RetestNoise& noise) { return noise.quantity == key; });
}

std::vector<const CutOff*> Norms::cut_offs_of(const std::string& key) const {
  std::vector<const CutOff*> found;
  for (const CutOff& one : cut_offs) {
    if (one.quantity == key) found.push_back(&one);
  }
  return found;
}

const Ladder* TrainingRules::ladder(const std::string& key) const {
  return first_of(ladders, [&](const Ladder& one) { return one.key == key; });
}

}  // namespace risetrace::model
