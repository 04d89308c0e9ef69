// The heights as measured, and the curve drawn through them: what puts uneven frames on an even grid.
#pragma once

#include <cstddef>
#include <deque>
#include <span>

namespace risetrace::path {

struct Knot {
  double time_s = 0.0;
  double up_cm = 0.0;
  double across_cm = 0.0;
};

// The polynomial of the least degree through the knots' heights, at `time_s`. One to four knots.
double polynomial_at(double time_s, std::span<const Knot> knots);

// Between two neighbouring knots the curve is the cubic through these and one more on either side; the outer two are
// taken not too close, so that two frames a millisecond apart cannot throw the curve across the next gap. A gap longer
// than `long_gap_s` is bridged by a cubic that stays between the heights of its ends (Fritsch & Carlson 1980, SIAM J
// Numer Anal 17:238, from memory: slopes of one sign, at most three times the chord's).
class Knots {
 public:
  static constexpr double long_gap_s = 0.15;

  // `wait_for_after`: the curve uses a knot after the two it runs between, and is not known until that is there.
  explicit Knots(bool wait_for_after) : wait_for_after_(wait_for_after) {}

  // False, and nothing kept, where the knot is not later than the last.
  bool add(const Knot& knot);
  [[nodiscard]] bool empty() const { return knots_.empty(); }
  [[nodiscard]] double first_s() const { return knots_.front().time_s; }
  [[nodiscard]] double last_s() const { return knots_.back().time_s; }

  // More knots cannot change the curve at `time_s`.
  [[nodiscard]] bool settled_at(double time_s) const;
  [[nodiscard]] double up_cm_at(double time_s) const;
  [[nodiscard]] double across_cm_at(double time_s) const;  // on the straight line between the two knots

  // Nothing earlier than `time_s` will be asked for.
  void forget_before(double time_s);

 private:
  [[nodiscard]] std::size_t left_of(double time_s) const;
  [[nodiscard]] std::size_t outer_left(std::size_t left) const;   // == left where there is none
  [[nodiscard]] std::size_t outer_right(std::size_t left) const;  // == left + 1 where there is none

  bool wait_for_after_;
  std::deque<Knot> knots_;
};

}  // namespace risetrace::path
