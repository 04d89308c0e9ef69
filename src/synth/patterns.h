// What makes a background hard: things of every shape, a photograph, the floor's own pattern.
#pragma once

#include "synth/photo.h"
#include "synth/room_brush.h"

namespace risetrace::synth {

// As many things on the wall as the background's count, edges at every angle, large ones first; a few on the floor too.
void draw_clutter(RoomBrush& brush);
// Over the whole wall, its lower edge on the floor, mirrored where it ends.
void draw_photo(RoomBrush& brush, const Photo& photo);
// Tiles, planks or speckle by floor_kind; nothing for a plain one.
void draw_floor_pattern(RoomBrush& brush);

}  // namespace risetrace::synth
