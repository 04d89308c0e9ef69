// Everything that one clip gave: what the writers of report/ write.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/note.h"
#include "clip/clip_facts.h"
#include "model/raise_protocol.h"
#include "path/path.h"
#include "raise/reps.h"
#include "scale/scale.h"
#include "sticker/track.h"

namespace risetrace::measure {

enum class Side { not_stated, left, right, both };
enum class Knee { not_stated, straight, bent };

// What was asked, with every default filled in: a result says by which rules it was made.
struct Asked {
  Side side = Side::not_stated;
  Knee knee = Knee::not_stated;
  std::optional<double> mass_kg;
  model::RaiseProtocol protocol;  // with the command line's changes
};

struct StageTime {
  std::string stage;
  double seconds = 0.0;
};

struct Measurement {
  clip::ClipFacts clip;
  std::string clip_sha256;
  Asked asked;
  scale::Scale scale;
  sticker::Track track;
  path::Path path;                      // empty without a scale
  std::optional<raise::RepSet> raises;  // empty without a scale
  std::optional<double> work_j;
  Notes notes;  // all rooms' notes together, in order of time
  std::vector<StageTime> stage_times;
};

}  // namespace risetrace::measure
