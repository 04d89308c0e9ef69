// The instant at which a foot leaves or reaches the ground, from the clearances about it. Plain numbers, no video.
//
// In the air the clearance is a parabola, with gravity's bend as far as the foot does not turn meanwhile; on the ground
// it stays, but for a soft sole or floor that gives by a half sine, as the force does over a contact. The two meet at
// the instant sought. All else is fitted for each instant tried (variable projection: Golub & Pereyra 1973, SIAM J
// Numer Anal 10:413, from memory), with weights after Huber, and the instant of least misfit is taken.
#pragma once

#include <optional>
#include <vector>

namespace risetrace::hop {

struct EventSample {
  double time_s = 0.0;
  double up_px = 0.0;
  double sigma_px = 0.0;
  bool in_air = false;  // by its clearance alone; a sample near the event may turn out otherwise
};

struct EventFrame {
  bool takeoff = false;     // the air is after the event; else before it
  double earliest_s = 0.0;  // the event lies between these
  double latest_s = 0.0;
  double step_s = 0.0;                  // between two frames
  double contact_s = 0.25;              // about, of the time on the ground
  std::optional<double> gravity_px_s2;  // where the scale is known
  double px_per_cm = 10.0;              // about
  // A leaving foot stretches on for so long, its lowest point gaining speed from rest, ever more slowly (the push fades
  // evenly); an arriving one stops at once.
  double softness_s = 0.0;
  double exposure_s = 0.0;  // a frame shows the mean over so long
};

struct EventFit {
  double time_s = 0.0;
  double time_s_u = 0.0;
  double loss = 0.0;        // what was minimised: of squares over variances
  double misfit = 0.0;      // root mean square of the residuals over their standard deviations
  double speed_px_s = 0.0;  // of the clearance at the event, in the air
  double bend_px_s2 = 0.0;  // of the clearance in the air; gravity alone: -g
};

// Samples in order of time. Empty: fewer than two in the air or one on the ground.
std::optional<EventFit> fit_event(const std::vector<EventSample>& samples, const EventFrame& frame);

}  // namespace risetrace::hop
