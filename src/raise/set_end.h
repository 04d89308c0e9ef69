// The rules over a list of rises: which are low, where the set ended.
#pragma once

#include <optional>
#include <vector>

#include "model/raise_protocol.h"
#include "raise/reps.h"

namespace risetrace::raise {

// A rise whose peak has been passed. Heights in the path's frame.
struct Rise {
  double start_s = 0.0;
  double peak_s = 0.0;
  double end_s = 0.0;
  double peak_cm = 0.0;
  double floor_cm = 0.0;          // the lowest place between the peak before and this one
  std::size_t peak_at = 0;        // index of its highest sample
  bool closed = false;            // end_s is known
  bool cut = false;               // the clip ended on the way down
  std::optional<double> pause_s;  // no rise followed in time: the moment that was certain
  ByHand by_hand;
};

// Under the fraction; a height exactly at it is not low, whatever the last digit of the product.
bool is_low(double height_cm, double reference_cm, double fraction);

// How many rises the reference may be made from: those up to the first pause.
std::size_t before_pause(const std::vector<Rise>& rises);

// Mean height above standing of the first `count` rises, or of all if they are fewer. At least one.
double reference_height_cm(const std::vector<Rise>& rises, double standing_cm, int count);

// The first end that the closed rises show, by low height or by a pause; `frame` is left to the caller. Empty: the set
// goes on as far as is known.
std::optional<SetEnd> end_of_set(const std::vector<Rise>& rises, double standing_cm, double reference_cm,
                                 double fraction, int end_after);

// The clip stops while the set goes on.
SetEnd end_of_clip(const std::vector<Rise>& rises, double standing_cm, std::optional<double> reference_cm,
                   double fraction, double last_s);

// A person says when it ended: the rises whose peak was passed by then are the set's. `frame` is left to the caller.
SetEnd end_by_hand(const std::vector<Rise>& rises, double standing_cm, std::optional<double> reference_cm,
                   double fraction, double t_s);

// How many reps up to `after_rep` are not low.
int count_full(const std::vector<Rise>& rises, double standing_cm, double reference_cm, double fraction, int after_rep);

}  // namespace risetrace::raise
