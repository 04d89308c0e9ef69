// The round stickers as models/stickers.json describes them: a disc with a ring round it, white in black or black in
// white.
#pragma once

#include <string>
#include <vector>

namespace risetrace::model {

struct StickerPlace {
  std::string name;   // "Heel"
  std::string place;  // where on the body, in plain words
};

struct Stickers {
  std::vector<double> diameters_cm;  // of the whole sticker, ring included
  double ring_of_diameter = 0.0;     // width of the ring / diameter
  std::vector<StickerPlace> places;
};

}  // namespace risetrace::model
