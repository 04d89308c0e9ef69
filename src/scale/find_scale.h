// Centimetres from the picture: the calibration card found, measured in many still frames and averaged.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "base/result.h"
#include "camera/view.h"
#include "clip/frame.h"
#include "model/card.h"
#include "scale/scale.h"

namespace risetrace::scale {

enum class CardKind { tags, id_1, none };

struct ScaleOptions {
  CardKind card = CardKind::tags;
  std::optional<double> px_per_cm;    // by hand; wins over the card. 0.5 .. 1000
  std::optional<double> px_per_cm_u;  // its standard uncertainty; empty: not known
  double card_offset_cm = 0.0;        // the card stands this far behind (+) the sticker's plane; needs distance_m
  std::optional<double> distance_m;   // camera to sticker, 0.2 .. 100
};

// Fault option_wrong, naming the option, its value and the rule.
Outcome check(const ScaleOptions& options);

// Push every frame in order; most are let by. The card is looked for in the whole picture until it is found, then its
// edges are measured a few times a second: that also tells whether it moved. Where `view` says how the camera moved,
// the edges are taken back to the reference view, which is then the Scale's.
class ScaleFinder {
 public:
  ScaleFinder(const model::Cards& cards, const ScaleOptions& options);  // options must pass check()
  ScaleFinder(const ScaleFinder&) = delete;
  ScaleFinder& operator=(const ScaleFinder&) = delete;
  ScaleFinder(ScaleFinder&&) noexcept;
  ScaleFinder& operator=(ScaleFinder&&) noexcept;
  ~ScaleFinder();

  void push(const clip::Frame& frame, const camera::View& view = {});
  [[nodiscard]] bool found() const;
  // The tags', or the ID-1 card's own, corners in the reference view; empty while no card is found.
  [[nodiscard]] std::vector<std::array<Point, 4>> card_quads() const;

  // Faults: card_not_found (no tag, no card-like outline), card_doubtful (two cards, part of one, corners that do not
  // fit one plane).
  Result<Scale> finish() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::scale
