// What a set-up is held against, as models/check.json describes it: each value there has its source.
#pragma once

namespace risetrace::model {

struct CheckLimits {
  double look_s = 0.0;           // so much of the clip is looked at
  double look_frames = 0.0;      // and no more frames than this
  double rise_cm = 0.0;          // the rise that the expected error is told of
  double good_height_cm = 0.0;   // 95 % half-width of a height: good enough
  double good_contact_ms = 0.0;  // of a time on the ground
  double noted_cost_cm = 0.0;    // 95 % half-width: a smaller part of the error is not worth a finding
  double facing_cost_cm = 0.0;   // the same, of how the card faces: some of it there always is
  double tilt_deg = 0.0;         // between card and picture
  double lean_deg = 0.0;         // of the card's upright edge in the picture
  double forward_cm = 0.0;       // the way of the heel in a rise
  double card_edge_cm = 0.0;     // card to the picture's edge
  double distance_ratio = 0.0;   // distance stated / distance seen, or the other way round
  double distance_m = 0.0;       // a nearer camera is too near
  double lens_ratio = 0.0;       // greatest focal length / the usual one
  double sticker_radius_px = 0.0;
  double sticker_contrast = 0.0;     // grey levels
  double same_look = 0.0;            // of the best look score
  double least_sticker_cm = 0.0;     // diameter
  double greatest_sticker_cm = 0.0;  // diameter
  double heel_up_cm = 0.0;           // above the floor: a spot higher up is not the heel
  double blur_px = 0.0;              // standard deviation of an edge
  double blur_cm = 0.0;              // the same in the plane of the card; both must be passed
  double noise_grey = 0.0;           // standard deviation of a pixel
  double dark_card_grey = 0.0;       // of the card's white
  double clipped_grey = 0.0;         // as bright as can be shown
  double sway_px = 0.0;              // standard deviation
  double camera_unseen_share = 0.0;  // of the frames: in more than these nothing showed how the camera stood
  double room_above_cm = 0.0;        // sticker to the upper edge, heel raises
  double room_above_hop_cm = 0.0;    // the same, hops
  double least_room_cm = 0.0;        // under this no rise stays in the picture
  double floor_margin_cm = 0.0;      // of floor in view below the sole
  double toe_from_cm = 0.0;          // ahead of the heel's sticker, the sole is looked at from here
  double toe_to_cm = 0.0;            // to here
  double floor_contrast = 0.0;       // grey levels, sole to floor
  double raise_rate_hz = 0.0;
  double hop_rate_hz = 0.0;
  double below_frame_from_hz = 0.0;   // times finer than a frame are shown to be right from here
  double contact_program_u_ms = 0.0;  // standard uncertainty at any rate
  double contact_of_frame_u = 0.0;    // standard uncertainty in times between frames
};

}  // namespace risetrace::model
