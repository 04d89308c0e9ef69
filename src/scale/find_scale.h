// Centimetres from the picture: the calibration card found, measured in many still frames and averaged.
#pragma once

#include <memory>
#include <optional>

#include "base/result.h"
#include "clip/frame.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::scale {

enum class CardKind { tags, id_1, none };

struct ScaleOptions {
  CardKind card = CardKind::tags;
  std::optional<double> px_per_cm;   // by hand; wins over the card. 0.5 .. 1000
  double card_offset_cm = 0.0;       // the card stands this far behind (+) the sticker's plane; needs distance_m
  std::optional<double> distance_m;  // camera to sticker, 0.2 .. 100
};

// Fault option_wrong, naming the option, its value and the rule.
Outcome check(const ScaleOptions& options);

// Push every frame in order; most are let by. The card is looked for in the whole picture until it is found, then its
// edges are measured a few times a second: that also tells whether it moved.
class ScaleFinder {
 public:
  ScaleFinder(const model::Cards& cards, const ScaleOptions& options);  // options must pass check()
  ScaleFinder(const ScaleFinder&) = delete;
  ScaleFinder& operator=(const ScaleFinder&) = delete;
  ScaleFinder(ScaleFinder&&) noexcept;
  ScaleFinder& operator=(ScaleFinder&&) noexcept;
  ~ScaleFinder();

  void push(const clip::Frame& frame);

  // Faults: card_not_found (no tag, no card-like outline), card_doubtful (two cards, part of one, corners that do not
  // fit one plane).
  Result<Scale> finish() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::scale
