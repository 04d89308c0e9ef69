// A rendered clip's scene: what stands where, how it moves, and what the camera does to it. docs/scenes.md has the
// table.
//
// Frame of reference of the scene, in cm: x right as the camera sees it, y up from the floor, z towards the camera; the
// heel sticker lies in the plane z = 0. Time zero is the middle of the exposure of the first frame's middle row.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "synth/scene_hops.h"
#include "synth/scene_lunge.h"

namespace risetrace::synth {

inline constexpr const char* scene_schema = "risetrace/scene/1";

// Display values 0 .. 1 (what a picture's R'G'B' would hold), not linear light.
struct Colour {
  double r = 0.0;
  double g = 0.0;
  double b = 0.0;
};

// One sinusoid of a hand-held camera: how it turns, as that shows in the middle of the picture, and how its place
// moves.
struct Sway {
  double x_px = 0.0;
  double y_px = 0.0;
  double roll_deg = 0.0;  // clockwise, as its holder sees it
  double right_cm = 0.0;  // of its place, along the scene's axes
  double up_cm = 0.0;
  double back_cm = 0.0;  // away from the leg
  double rate_hz = 1.0;
  double phase_deg = 0.0;
};

struct Camera {
  int width_px = 1920;  // of the picture as shown upright; even
  int height_px = 1080;
  double fps = 60.0;
  double px_per_cm = 14.0;         // in the middle of the picture, in the plane z = 0, before pan and tilt
  std::optional<double> focal_px;  // wins over px_per_cm
  double distance_m = 2.6;         // to the plane z = 0
  std::optional<double> x_cm;      // unset: 4 cm before the back of the heel
  double height_cm = 29.0;
  double pan_deg = 0.0;   // to the right
  double tilt_deg = 0.0;  // up
  double roll_deg = 0.0;  // clockwise, as its holder sees it
  double k1 = 0.0;        // radial distortion: r (1 + k1 r^2 + k2 r^4), r in focal lengths
  double k2 = 0.0;
  double exposure_s = 1.0 / 120.0;
  double readout_s = 0.0;         // from the first to the last stored row; 0: all rows at once
  double blur_px = 0.6;           // standard deviation of the lens blur
  double focus_hunting_px = 0.0;  // the lens hunts for focus: greatest addition to the blur
  double focus_hunting_hz = 0.5;
  double noise_grey = 1.5;      // standard deviation, in grey levels of 8 bits
  double noise_per_grey = 0.0;  // variance added per grey level of signal
  bool gamma = true;            // light is summed linearly, then shown by the power 1 / 2.2
  double time_jitter_s = 0.0;   // standard deviation of a frame's instant about its even place
  std::vector<Sway> sway;       // empty: on a tripod
  double floor_shake_px = 0.0;  // each landing shakes the camera: greatest shift in the middle of the picture
  double floor_shake_hz = 12.0;
  double floor_shake_decay_s = 0.1;
  std::vector<int> drop_frames;    // numbers by even pace, from 1: never stored
  std::vector<int> repeat_frames;  // from 1: the picture before is stored again in place of this one
};

struct Light {
  double level = 1.0;          // of the light, linear; 0.05 is a dark room
  double flicker_depth = 0.0;  // 0 .. 1 of the light
  double flicker_hz = 100.0;
  double hunting_depth = 0.0;  // the camera hunts for its exposure: 0 .. 1 of the light, a whole frame alike
  double hunting_hz = 0.5;
  bool shadow = true;                     // under the foot
  std::optional<double> shadow_strength;  // 0 .. 1 of the light that a touching sole takes away; unset: 0.5 of a hop,
                                          // of a heel raise a fainter shadow without contact
  double shadow_softness_cm = 1.5;        // its edge under a touching sole; wider the higher the shoe is
};

enum class CardKind { tags, id_1 };
enum class CardFace { plain, printed };

// Drawn behind the leg, whatever its offset.
struct Card {
  CardKind kind = CardKind::tags;
  std::optional<double> x_cm;       // of its middle; unset: 22 cm behind the back of the heel
  std::optional<double> y_cm;       // unset: it stands on the floor
  double turn_deg = 0.0;            // about the upright axis: its right edge goes away from the camera
  double lean_deg = 0.0;            // about the level axis: its top goes away from the camera
  double roll_deg = 0.0;            // in its own plane, anticlockwise
  double print_scale = 1.0;         // printed so many times as large as meant
  double print_stretch = 1.0;       // and so many times more along its upright edge
  double offset_cm = 0.0;           // behind the heel sticker's plane (+) or in front (-)
  std::optional<double> knocked_s;  // from then on it stands so much aside
  double knocked_right_cm = 0.0;
  double knocked_up_cm = 0.0;
  double knocked_roll_deg = 0.0;      // anticlockwise
  CardFace face = CardFace::printed;  // of an ID-1 card
  Colour colour{0.16, 0.36, 0.58};    // of an ID-1 card
};

enum class Facing { right, left };

enum class DecoyPlace { shoe, shank, thigh };

// A round spot that is no sticker and goes with the leg: a logo, an eyelet, a badge. Drawn under the stickers.
struct Decoy {
  DecoyPlace on = DecoyPlace::shoe;
  double forward_cm = 7.0;  // shoe: from the back of the heel; shank, thigh: from the ankle, the knee
  double up_cm = 6.0;       // shoe: from the floor, standing
  double radius_cm = 1.0;
  double ring_fraction = 0.0;  // ring width / radius; 0: no ring
  Colour colour{0.94, 0.94, 0.93};
  Colour ring{0.05, 0.05, 0.05};
};

struct Leg {
  Facing facing = Facing::right;
  double x_cm = 0.0;  // back of the heel when standing
  double shoe_length_cm = 28.0;
  bool barefoot = false;
  double knee_bend_deg = 0.0;
  Colour skin{0.80, 0.60, 0.48};
  Colour shoe{0.17, 0.30, 0.42};
  Colour sole{0.83, 0.83, 0.80};
  Colour sock{0.28, 0.29, 0.32};
  Colour shorts{0.20, 0.21, 0.25};
  std::vector<Decoy> decoys;
};

// Heights are of the heel sticker's centre above its standing place, straight up.
struct RepSpec {
  double height_cm = 10.0;
  double floor_cm = 0.0;        // how high the heel still is when the rep starts; 0 for the first
  double pause_before_s = 0.0;  // spent at the floor
  double up_s = 1.0;
  double hold_s = 0.0;
  double down_s = 1.0;
};

// Reps made by rule: height_i = first + (last - first) (i / (count - 1))^fatigue_power, plus jitter from the seed.
struct RepRule {
  int count = 4;
  double height_first_cm = 10.0;
  double height_last_cm = 10.0;
  double fatigue_power = 1.0;
  double height_jitter_cm = 0.0;
  double period_s = 2.0;
  double period_jitter_s = 0.0;
  double hold_s = 0.0;
  double floor_last_cm = 0.0;  // the floor rises evenly from 0 at the first rep to this at the last
};

enum class Course { raised_cosine, minimum_jerk };

struct Movement {
  double lead_in_s = 1.0;     // standing, before the first rep
  double tail_s = 1.0;        // standing, after the last
  std::vector<RepSpec> reps;  // empty: by the rule
  RepRule rule;
  Course course = Course::raised_cosine;
  std::optional<HopSpec> hops;  // set: the clip shows hops, no reps; the lead-in may then be negative: it began before
  std::optional<LungeSpec> lunge;            // set: the clip shows lunges, no reps
  std::optional<double> knee_bend_last_deg;  // of heel raises: the knee's bend goes evenly to this over the set
};

enum class StickerKind { white_black_ring, black_white_ring, white, black, colour };

struct Sticker {
  bool absent = false;
  StickerKind kind = StickerKind::white_black_ring;
  Colour colour{0.10, 0.62, 0.36};
  double radius_cm = 1.0;      // of the whole sticker
  double ring_fraction = 0.3;  // ring width / radius
  double turn_deg = 0.0;       // about its own upright axis: it looks narrower, as on a heel that has turned away
  // Heel and forefoot: from the back of the heel towards the toes, and up from the floor, standing.
  // Ankle, knee and hip: from the joint, forwards and up (along the shank's or the thigh's own axes).
  double forward_cm = 0.0;
  double up_cm = 0.0;
};

struct Stickers {
  Sticker heel{.forward_cm = 2.6, .up_cm = 5.9};
  Sticker forefoot{.absent = true, .radius_cm = 0.8, .forward_cm = 21.2, .up_cm = 3.2};
  Sticker ankle{.absent = true, .radius_cm = 0.8};
  Sticker knee{.absent = true};
  Sticker hip{.absent = true};
};

enum class BackgroundKind { plain, gradient, tiles, bricks, texture, blobs, clutter, photo };
enum class FloorKind { plain, tiles, wood, speckle };

struct Background {
  BackgroundKind kind = BackgroundKind::gradient;
  Colour wall{0.78, 0.77, 0.73};
  Colour second{0.62, 0.62, 0.60};  // the gradient's other end, joints, blobs
  Colour floor{0.50, 0.42, 0.35};
  double size_cm = 15.0;   // of a tile or a brick, grain of the texture, greatest diameter of a blob
  double contrast = 0.35;  // 0 .. 1, of texture and bricks
  int count = 40;          // of blobs
  double wall_behind_cm = 45.0;
  FloorKind floor_kind = FloorKind::plain;
  double floor_size_cm = 12.0;   // of a tile, a plank's width
  double floor_contrast = 0.35;  // 0 .. 1
  std::string file;              // of a photo: binary PGM or PPM, 8 bits
  double photo_width_cm = 200.0;
};

// A hand that lies before the heel sticker and goes with it.
struct Hand {
  int from_frame = 0;  // as stored, both ends included
  int to_frame = 0;
  double forward_cm = 0.0;  // of its middle from the sticker
  double up_cm = 0.0;
  double size_cm = 9.0;
};

struct OtherFoot {
  double x_cm = 12.0;  // back of its heel
  double behind_cm = 14.0;
  bool hops = false;     // beside hops: it hops too ...
  double lag_s = 0.0;    // ... so much later
  bool held_up = false;  // beside hops: held up behind the body; comes down in a stumble
};

struct Walker {
  double from_s = 1.0;
  double to_s = 4.0;
  double behind_cm = 28.0;  // negative: between the camera and the leg
  bool to_right = true;
};

enum class CodecName { h264, hevc, hevc_10bit, vp9, av1, mjpeg };

struct FileForm {
  CodecName codec = CodecName::h264;
  double bit_rate_mbps = 20.0;
  bool full_range = false;
  int rotation_deg = 0;                  // clockwise turn that stands the stored picture up: 0, 90, 180, 270
  bool mirrored = false;                 // the stored picture is left-right mirrored before that turn
  std::optional<double> stored_rate_hz;  // slow motion: frames are stored at this rate
  bool capture_tag = false;              // write the filming rate into the file
};

struct SoundSpec {
  bool on = false;
  double beat_bpm = 60.0;
  double first_s = 0.0;
  double level = 0.5;        // 0 .. 1
  double noise = 0.01;       // standard deviation
  bool clicks = true;        // of the scene's beat if it has one, else of beat_bpm
  double thud_level = 0.0;   // of a landing's dull blow, 0 .. 1
  double voice_level = 0.0;  // babble in syllables, 0 .. 1
  bool gate = false;         // as phones do: what is quieter than the loudest by 30 dB is silenced
  double offset_s = 0.0;     // the sound comes so much after the picture
};

struct Scene {
  std::string title;
  std::uint64_t seed = 1;
  std::optional<double> duration_s;  // unset: as long as the movement
  Camera camera;
  Light light;
  std::vector<Card> cards{Card{}};
  Leg leg;
  Movement movement;
  std::optional<BeatPlan> beat;
  Stickers stickers;
  Background background;
  std::vector<Hand> hands;
  std::optional<OtherFoot> other_foot;
  std::optional<Walker> walker;
  FileForm file;
  SoundSpec sound;
};

}  // namespace risetrace::synth
