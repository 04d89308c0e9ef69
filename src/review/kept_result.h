// A result folder as a recount needs it: what was found before any rule or correction, and the rules.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/test_form.h"
#include "beat/beats.h"
#include "hop/contacts.h"
#include "model/raise_protocol.h"
#include "path/path.h"
#include "review/correct_hops.h"
#include "review/corrections.h"

namespace risetrace::review {

struct KeptResult {
  Test test = Test::heel_raise;
  std::string clip_sha256;  // empty: not known
  double frame_rate_hz = 0.0;
  Corrections corrections;        // those that the result was made with
  model::RaiseProtocol protocol;  // heel raises: the rules before corrections
  bool beat_stated = false;
  std::optional<double> beat_bpm;         // hops: asked for, before corrections
  std::optional<double> heard_bpm;        // heel raises
  std::vector<path::PathSample> samples;  // heel raises; up_raw_cm is not kept
  hop::Contacts contacts;                 // hops: as found
  beat::Beats beats;                      // hops
  std::vector<FrameTime> frames;          // hops
  std::optional<double> mass_kg;
  double duration_s = 0.0;
  bool clock_trusted = true;
};

}  // namespace risetrace::review
