// The models as they are shipped, and results made up for a test.
#pragma once

#include <string>

#include "model/read_visit_models.h"
#include "place.h"
#include "visit/test_result.h"

namespace risetrace::test {

inline const model::VisitModels& shipped() {
  static const model::VisitModels models = [] {
    auto read = model::read_visit_models(source_folder() / "models");
    if (!read) throw std::runtime_error(sentence(read.error()));
    return *read;
  }();
  return models;
}

inline visit::TestResult raises(Side side, Knee knee, double reps) {
  visit::TestResult out;
  out.slot = {Test::heel_raise, side, knee};
  out.got_by = visit::GotBy::clip;
  out.marker = "heel";
  out.values["reps"] = {reps, std::nullopt, 0.0};
  return out;
}

inline visit::TestResult hops(Side side, double contact_ms, double bpm = 150) {
  visit::TestResult out;
  out.slot = {Test::hop, side};
  out.got_by = visit::GotBy::clip;
  out.values["contact_ms"] = {contact_ms, 2.0, 0.0};
  out.beats.push_back({bpm, true, {{"contact_ms", {contact_ms, 2.0, 0.0}}}});
  return out;
}

inline visit::TestResult lunge(Side side, double cm) {
  visit::TestResult out;
  out.slot = {Test::lunge, side};
  out.got_by = visit::GotBy::hand;
  out.values["knee_to_wall_cm"] = {cm, std::nullopt, 0.0};
  return out;
}

}  // namespace risetrace::test
