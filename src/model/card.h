// The calibration cards as models/cards.json describes them.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/geometry.h"

namespace risetrace::model {

// One printed tag: `modules` across including its black border, true where black, row by row from the top as drawn.
struct TagPattern {
  int id = 0;
  Point centre_cm;  // in the card's frame: origin the card's middle, x right, y UP
  std::vector<bool> black;
};

struct TagCard {
  double side_cm = 0.0;      // of the white square
  double tag_side_cm = 0.0;  // of a tag's black square
  int modules = 0;           // across a tag, black border included
  std::string family;
  double ruler_cm = 0.0;  // length of the printed ruler
  std::vector<TagPattern> tags;
};

struct IdCard {
  double width_cm = 0.0;
  double height_cm = 0.0;
  double corner_radius_min_cm = 0.0;
  double corner_radius_max_cm = 0.0;
};

// How a phone is set up and a card stood beside the foot: standard deviations of what is not told.
struct ViewPriors {
  double yaw_u_deg = 0.0;  // the sticker's plane turned against the picture about the upright axis
  double pitch_u_deg = 0.0;
  double card_turn_u_deg = 0.0;  // the card against the sticker's plane, about the upright axis
  double card_lean_u_deg = 0.0;
  double card_roll_u_deg = 0.0;    // about the line of sight
  double focal_log_u = 0.0;        // logarithm of the focal length
  double stated_distance_u = 0.0;  // relative
  double k1_u = 0.0;               // distortion r (1 + k1 r^2), r in focal lengths
  double localising_u_px = 0.0;    // of a sticker's place, what does not average out over frames
  double sway_left = 0.0;          // share of a hand\'s sway that is left when the camera is taken out
  double readout_most_s = 0.0;     // from a picture's first row to its last: between 0 and this
};

struct Cards {
  TagCard tags;
  IdCard id_1;
  double print_scale_u = 0.0;        // standard uncertainty of a printed length, relative
  double print_stretch_u = 0.0;      // of upright against level lengths, relative
  double plane_offset_u_cm = 0.0;    // standard uncertainty of how far the card stands from the sticker's plane
  double usual_field_of_view = 0.0;  // picture's long side / focal length in pixels of a usual phone camera
  ViewPriors view;
};

// The tag's four corners as drawn: top left, top right, bottom right, bottom left, in the card's frame.
std::array<Point, 4> tag_corners_cm(const TagCard& card, const TagPattern& tag);

}  // namespace risetrace::model
