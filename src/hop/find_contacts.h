// Times on the ground from the shoe's clearance.
#pragma once

#include <optional>
#include <vector>

#include "hop/contacts.h"
#include "sole/clearance.h"

namespace risetrace::hop {

struct ContactOptions {
  std::optional<double> px_per_cm;  // empty: no card; gravity's bend is then fitted, not known
  double guessed_px_per_cm = 10.0;  // sizes the thresholds where the scale is not known
  Witness witness = Witness::sole;
};

// Every stretch in which the shoe is clear of the floor is a flight; what lies between is a contact. Samples in order
// of time; gaps in them may hide an event, which is then empty. One about which the shoe was lost is `unvouched`.
Contacts find_contacts(const sole::Clearance& clearance, const ContactOptions& options);

struct FlightTimes {
  double from_s = 0.0;
  double to_s = 0.0;
};

// Of the flights of which both ends are sure and neither contact beside them is doubtful, in order.
std::vector<FlightTimes> sure_flights(const Contacts& contacts);

// What gravity has to say about the clock: the bend of each sure flight's parabola in units of g. About 1 for a true
// clock, 1/64 for 240 frames a second stored as 30. In order of time.
std::vector<double> gravities_seen(const sole::Clearance& clearance, const Contacts& contacts, double px_per_cm);

}  // namespace risetrace::hop
