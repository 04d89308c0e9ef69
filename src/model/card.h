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

struct Cards {
  TagCard tags;
  IdCard id_1;
  double print_scale_u = 0.0;        // standard uncertainty of a printed length, relative
  double plane_offset_u_cm = 0.0;    // standard uncertainty of how far the card stands from the sticker's plane
  double usual_field_of_view = 0.0;  // picture's long side / focal length in pixels of a usual phone camera
};

// The tag's four corners as drawn: top left, top right, bottom right, bottom left, in the card's frame.
std::array<Point, 4> tag_corners_cm(const TagCard& card, const TagPattern& tag);

}  // namespace risetrace::model
