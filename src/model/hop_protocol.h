// How hops and the following of a beat are judged, as models/hop.json describes it.
#pragma once

namespace risetrace::model {

struct HopProtocol {
  int first_left_out = 0;            // so many hops at the beginning, and after a stop, are not counted
  int wanted_hops = 0;               // with fewer counted ones the medians are noted as unsettled
  double least_contact_ms = 0.0;     // what is a hop at all ...
  double greatest_contact_ms = 0.0;  // ...
  double least_flight_ms = 0.0;      // ...
  double greatest_flight_ms = 0.0;   // ...
  double odd_of_neighbours = 0.0;    // a contact or flight over this x the median of its neighbours is no hop's
  int settle_hops = 0;               // so many hops after a change of the beat do not judge the step
  int least_hops = 0;                // a step with fewer is not kept
  double rate_within_pct = 0.0;      // kept: |hop rate - beat| / beat at most this ...
  double least_lock = 0.0;           // ... and a mean phase vector at least so long ...
  double greatest_phase_p = 0.0;     // ... and Rayleigh's p at most this
  double stiffness_flag_under_per_min = 0.0;  // slower hops are not like a spring: their stiffness is noted
  double slow_under_per_min = 0.0;            // slower landings may be steps: noted
  double sound_offset_limit_ms = 0.0;         // a landing's sound is looked for so far before and after its picture
  double thud_disagrees_ms = 0.0;             // a heard landing so far from the seen one is noted
  double ladder_from_per_min = 0.0;           // the usual run of beats: from this ...
  double ladder_step_per_min = 0.0;           // ... down by this ...
  double ladder_to_per_min = 0.0;             // ... to this
};

}  // namespace risetrace::model
