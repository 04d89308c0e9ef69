#include "raise/set_end.h"

#include <algorithm>

namespace risetrace::raise {

bool is_low(double height_cm, double reference_cm, double fraction) {
  return height_cm < fraction * reference_cm - 1e-9 * reference_cm;
}

std::size_t before_pause(const std::vector<Rise>& rises) {
  const auto pause = std::find_if(rises.begin(), rises.end(), [](const Rise& rise) { return rise.pause_s; });
  return static_cast<std::size_t>(pause - rises.begin()) + (pause == rises.end() ? 0 : 1);
}

double reference_height_cm(const std::vector<Rise>& rises, double standing_cm, int count) {
  const std::size_t used = std::min(rises.size(), static_cast<std::size_t>(std::max(1, count)));
  double sum = 0;
  for (std::size_t i = 0; i < used; ++i) sum += rises[i].peak_cm - standing_cm;
  return sum / static_cast<double>(used);
}

std::optional<SetEnd> end_of_set(const std::vector<Rise>& rises, double standing_cm, double reference_cm,
                                 double fraction, int end_after) {
  SetEnd end;
  int low_in_a_row = 0;
  for (const Rise& rise : rises) {
    if (!rise.closed) return std::nullopt;
    ++end.after_rep;
    const bool low = is_low(rise.peak_cm - standing_cm, reference_cm, fraction);
    low_in_a_row = low ? low_in_a_row + 1 : 0;
    if (!low) end.last_full_rep = end.after_rep;
    if (low && low_in_a_row >= end_after) {
      end.why = EndWhy::low_height;
      end.t_s = rise.end_s;
      return end;
    }
    if (rise.pause_s) {
      end.why = EndWhy::pause;
      end.t_s = *rise.pause_s;
      return end;
    }
  }
  return std::nullopt;
}

namespace {

// The last of the first `count` rises that is not low.
int last_full(const std::vector<Rise>& rises, double standing_cm, std::optional<double> reference_cm, double fraction,
              int count) {
  int last = 0;
  for (int n = 1; n <= count; ++n) {
    const double height_cm = rises[static_cast<std::size_t>(n - 1)].peak_cm - standing_cm;
    if (reference_cm && !is_low(height_cm, *reference_cm, fraction)) last = n;
  }
  return last;
}

}  // namespace

SetEnd end_of_clip(const std::vector<Rise>& rises, double standing_cm, std::optional<double> reference_cm,
                   double fraction, double last_s) {
  SetEnd end;
  end.why = EndWhy::clip_end;
  end.t_s = last_s;
  end.after_rep = static_cast<int>(rises.size());
  end.last_full_rep = last_full(rises, standing_cm, reference_cm, fraction, end.after_rep);
  return end;
}

SetEnd end_by_hand(const std::vector<Rise>& rises, double standing_cm, std::optional<double> reference_cm,
                   double fraction, double t_s) {
  SetEnd end;
  end.why = EndWhy::by_hand;
  end.t_s = t_s;
  end.after_rep =
      static_cast<int>(std::count_if(rises.begin(), rises.end(), [&](const Rise& r) { return r.peak_s <= t_s; }));
  end.last_full_rep = last_full(rises, standing_cm, reference_cm, fraction, end.after_rep);
  return end;
}

int count_full(const std::vector<Rise>& rises, double standing_cm, double reference_cm, double fraction,
               int after_rep) {
  const auto in_set = rises.begin() + std::min<std::ptrdiff_t>(after_rep, static_cast<std::ptrdiff_t>(rises.size()));
  return static_cast<int>(std::count_if(rises.begin(), in_set, [&](const Rise& rise) {
    return !is_low(rise.peak_cm - standing_cm, reference_cm, fraction);
  }));
}

}  // namespace risetrace::raise
