// Reads a hop clip: the card, the stickers and the sole, in one pass and a short one before it.
#pragma once

#include <optional>
#include <string>

#include "base/progress.h"
#include "base/result.h"
#include "clip/clip_facts.h"
#include "clip/read_clip.h"
#include "model/card.h"
#include "scale/find_scale.h"
#include "sole/clearance.h"
#include "sticker/track_sticker.h"

namespace risetrace::measure {

struct HopReadOptions {
  clip::ReadOptions read;
  scale::ScaleOptions scale;
  sticker::TrackOptions track;  // movement: hop
};

struct HopReading {
  clip::ClipFacts clip;
  scale::Scale scale;  // from: none where no card was found; card_trouble says why
  std::optional<Error> card_trouble;
  sticker::Track heel;
  std::optional<sticker::Track> forefoot;
  std::optional<double> forward;  // +1: the toes point right in the picture, -1: left; empty: it could not be told
  sole::Clearance clearance;      // empty where `forward` is
  double px_per_cm_about = 10.0;  // from the card, or from a usual sticker's size
};

// Which sticker is the heel's, and where the toes are, shows only once the person has hopped. So the clip is read up to
// the third hop, and then from the beginning again; what the first reading has seen of card and stickers is kept.
Result<HopReading> read_hops(const std::string& path, const model::Cards& cards, const HopReadOptions& options,
                             const Watcher& watcher);

}  // namespace risetrace::measure
