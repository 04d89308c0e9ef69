#include "synth/read_scene.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "synth/check_scene.h"
#include "synth/read_hops.h"

namespace risetrace::synth {
namespace {

constexpr int last_frame = 100000000;

std::optional<int> hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return std::nullopt;
}

std::optional<double> hex_pair(const std::string& text, std::size_t at) {
  const auto high = hex_digit(text[at]);
  const auto low = hex_digit(text[at + 1]);
  if (!high || !low) return std::nullopt;
  return (*high * 16 + *low) / 255.0;
}

std::optional<Colour> colour_of(const std::string& text) {
  if (text.size() != 7 || text[0] != '#') return std::nullopt;
  const auto r = hex_pair(text, 1);
  const auto g = hex_pair(text, 3);
  const auto b = hex_pair(text, 5);
  if (!r || !g || !b) return std::nullopt;
  return Colour{*r, *g, *b};
}

// "#rrggbb"
void read_colour(Fields& in, const char* name, Colour& value) {
  if (!in.has(name)) return;
  std::string text;
  in.text(name, text);
  const auto given = colour_of(text);
  if (!given) return in.complain(name, "must be a colour like \"#30a040\"");
  value = *given;
}

void read_camera(Fields& in, Camera& camera) {
  in.integer("width_px", camera.width_px, 64, 4096);
  in.integer("height_px", camera.height_px, 64, 4096);
  in.number("fps", camera.fps, 1, 1000);
  in.number("px_per_cm", camera.px_per_cm, 1, 200);
  in.number("focal_px", camera.focal_px, 50, 100000);
  in.number("distance_m", camera.distance_m, 0.5, 20);
  in.number("x_cm", camera.x_cm, -1000, 1000);
  in.number("height_cm", camera.height_cm, 2, 300);
  in.number("pan_deg", camera.pan_deg, -60, 60);
  in.number("tilt_deg", camera.tilt_deg, -60, 60);
  in.number("roll_deg", camera.roll_deg, -180, 180);
  in.number("k1", camera.k1, -0.5, 0.5);
  in.number("k2", camera.k2, -0.5, 0.5);
  in.number("exposure_s", camera.exposure_s, 0, 0.2);
  in.number("readout_s", camera.readout_s, -0.05, 0.05);
  in.number("blur_px", camera.blur_px, 0, 20);
  in.number("focus_hunting_px", camera.focus_hunting_px, 0, 10);
  in.number("focus_hunting_hz", camera.focus_hunting_hz, 0.01, 10);
  in.number("noise_grey", camera.noise_grey, 0, 30);
  in.number("noise_per_grey", camera.noise_per_grey, 0, 1);
  in.flag("gamma", camera.gamma);
  in.number("time_jitter_s", camera.time_jitter_s, 0, 0.1);
  in.list("sway", [&](Fields& item) {
    Sway sway;
    item.number("x_px", sway.x_px, -200, 200);
    item.number("y_px", sway.y_px, -200, 200);
    item.number("roll_deg", sway.roll_deg, -20, 20);
    item.number("right_cm", sway.right_cm, -50, 50);
    item.number("up_cm", sway.up_cm, -50, 50);
    item.number("back_cm", sway.back_cm, -50, 50);
    item.number("rate_hz", sway.rate_hz, 0, 50);
    item.number("phase_deg", sway.phase_deg, -360, 360);
    camera.sway.push_back(sway);
  });
  in.number("floor_shake_px", camera.floor_shake_px, 0, 50);
  in.number("floor_shake_hz", camera.floor_shake_hz, 1, 100);
  in.number("floor_shake_decay_s", camera.floor_shake_decay_s, 0.01, 2);
  in.number_list("drop_frames", camera.drop_frames, 1, last_frame);
  in.number_list("repeat_frames", camera.repeat_frames, 1, last_frame);
}

void read_light(Fields& in, Light& light) {
  in.number("level", light.level, 0.001, 2);
  in.number("flicker_depth", light.flicker_depth, 0, 1);
  in.number("flicker_hz", light.flicker_hz, 1, 1000);
  in.number("hunting_depth", light.hunting_depth, 0, 0.9);
  in.number("hunting_hz", light.hunting_hz, 0.01, 10);
  in.flag("shadow", light.shadow);
  in.number("shadow_strength", light.shadow_strength, 0, 1);
  in.number("shadow_softness_cm", light.shadow_softness_cm, 0.1, 10);
}

void read_cards(Fields& in, std::vector<Card>& cards) {
  std::vector<Card> given;
  const bool there = in.list("cards", [&](Fields& item) {
    Card card;
    item.choice<CardKind>("kind", card.kind, {{"tags", CardKind::tags}, {"id-1", CardKind::id_1}});
    item.number("x_cm", card.x_cm, -1000, 1000);
    item.number("y_cm", card.y_cm, -1000, 1000);
    item.number("turn_deg", card.turn_deg, -80, 80);
    item.number("lean_deg", card.lean_deg, -80, 80);
    item.number("roll_deg", card.roll_deg, -180, 180);
    item.number("print_scale", card.print_scale, 0.5, 2);
    item.number("print_stretch", card.print_stretch, 0.5, 2);
    item.number("offset_cm", card.offset_cm, -200, 40);
    item.number("knocked_s", card.knocked_s, 0, 3600);
    item.number("knocked_right_cm", card.knocked_right_cm, -100, 100);
    item.number("knocked_up_cm", card.knocked_up_cm, -100, 100);
    item.number("knocked_roll_deg", card.knocked_roll_deg, -180, 180);
    item.choice<CardFace>("face", card.face, {{"plain", CardFace::plain}, {"printed", CardFace::printed}});
    read_colour(item, "colour", card.colour);
    given.push_back(card);
  });
  if (there) cards = given;
}

Decoy read_decoy(Fields& in) {
  Decoy decoy;
  in.choice<DecoyPlace>("on", decoy.on,
                        {{"shoe", DecoyPlace::shoe}, {"shank", DecoyPlace::shank}, {"thigh", DecoyPlace::thigh}});
  in.number("forward_cm", decoy.forward_cm, -30, 40);
  in.number("up_cm", decoy.up_cm, -30, 60);
  in.number("radius_cm", decoy.radius_cm, 0.1, 5);
  in.number("ring_fraction", decoy.ring_fraction, 0, 0.95);
  read_colour(in, "colour", decoy.colour);
  read_colour(in, "ring", decoy.ring);
  return decoy;
}

void read_leg(Fields& in, Leg& leg) {
  in.choice<Facing>("facing", leg.facing, {{"right", Facing::right}, {"left", Facing::left}});
  in.number("x_cm", leg.x_cm, -1000, 1000);
  in.number("shoe_length_cm", leg.shoe_length_cm, 15, 40);
  in.flag("barefoot", leg.barefoot);
  in.number("knee_bend_deg", leg.knee_bend_deg, 0, 90);
  read_colour(in, "skin", leg.skin);
  read_colour(in, "shoe", leg.shoe);
  read_colour(in, "sole", leg.sole);
  read_colour(in, "sock", leg.sock);
  read_colour(in, "shorts", leg.shorts);
  in.list("decoys", [&](Fields& item) { leg.decoys.push_back(read_decoy(item)); });
}

RepSpec read_rep(Fields& in) {
  RepSpec rep;
  in.number("height_cm", rep.height_cm, 0.1, 30);
  in.number("floor_cm", rep.floor_cm, 0, 30);
  in.number("pause_before_s", rep.pause_before_s, 0, 600);
  in.number("hold_s", rep.hold_s, 0, 60);
  if (in.has("period_s")) {
    if (in.has("up_s") || in.has("down_s")) in.complain("period_s", "cannot stand beside up_s or down_s");
    double period_s = 2.0;
    in.number("period_s", period_s, 0.1, 120);
    rep.up_s = rep.down_s = (period_s - rep.hold_s) / 2;
    if (rep.up_s < 0.05) in.complain("period_s", "must exceed hold_s by at least 0.1");
    return rep;
  }
  in.number("up_s", rep.up_s, 0.05, 60);
  in.number("down_s", rep.down_s, 0.05, 60);
  return rep;
}

void read_rule(Fields& in, RepRule& rule) {
  in.integer("count", rule.count, 0, 500);
  in.number("height_first_cm", rule.height_first_cm, 0.1, 30);
  in.number("height_last_cm", rule.height_last_cm, 0.1, 30);
  in.number("fatigue_power", rule.fatigue_power, 0.1, 20);
  in.number("height_jitter_cm", rule.height_jitter_cm, 0, 5);
  in.number("period_s", rule.period_s, 0.2, 60);
  in.number("period_jitter_s", rule.period_jitter_s, 0, 5);
  in.number("hold_s", rule.hold_s, 0, 50);
  in.number("floor_last_cm", rule.floor_last_cm, 0, 20);
  if (rule.period_s - rule.hold_s < 0.1) in.complain("period_s", "must exceed hold_s by at least 0.1");
}

void read_lunge(Fields& in, LungeSpec& lunge) {
  in.number("wall_cm", lunge.wall_cm, 0, 40);
  std::vector<LungeTry> tries;
  const bool there = in.list("tries", [&](Fields& item) {
    LungeTry one;
    item.number("pause_before_s", one.pause_before_s, 0, 60);
    item.number("forward_s", one.forward_s, 0.2, 60);
    item.number("hold_s", one.hold_s, 0, 60);
    item.number("back_s", one.back_s, 0.2, 60);
    item.number("shank_deg", one.shank_deg, 0, 60);
    item.number("heel_rise_cm", one.heel_rise_cm, 0, 8);
    item.flag("comes_back", one.comes_back);
    tries.push_back(one);
  });
  if (!there) return;
  if (tries.empty()) return in.complain("tries", "must hold at least one");
  const auto stays = [](const LungeTry& one) { return !one.comes_back; };
  if (std::any_of(tries.begin(), tries.end() - 1, stays)) in.complain("tries", "only the last may not come back");
  lunge.tries = tries;
}

void read_movement(Fields& in, Movement& movement) {
  in.number("lead_in_s", movement.lead_in_s, in.has("hops") ? -600 : 0, 600);
  in.number("tail_s", movement.tail_s, 0, 600);
  in.choice<Course>("course", movement.course,
                    {{"raised-cosine", Course::raised_cosine}, {"minimum-jerk", Course::minimum_jerk}});
  in.list("reps", [&](Fields& item) { movement.reps.push_back(read_rep(item)); });
  const bool ruled = in.part("rule", [&](Fields& rule) { read_rule(rule, movement.rule); });
  if (ruled && in.has("reps")) in.complain("rule", "cannot stand beside reps");
  in.number("knee_bend_last_deg", movement.knee_bend_last_deg, 0, 90);
  const bool lunge = in.part("lunge", [&](Fields& part) { read_lunge(part, movement.lunge.emplace()); });
  for (const char* other : {"hops", "reps", "rule", "knee_bend_last_deg"}) {
    if (lunge && in.has(other)) in.complain(other, "cannot stand beside lunge");
  }
  const bool hops = in.part("hops", [&](Fields& part) { read_hops(part, movement.hops.emplace()); });
  if (hops && movement.knee_bend_last_deg) in.complain("knee_bend_last_deg", "cannot stand beside hops");
  if (hops && in.has("reps")) in.complain("reps", "cannot stand beside hops");
  if (hops && ruled) in.complain("rule", "cannot stand beside hops");
}

// A sticker that is named is there, unless it says that it is absent.
void read_sticker(Fields& in, Sticker& sticker) {
  sticker.absent = false;
  in.flag("absent", sticker.absent);
  in.choice<StickerKind>("kind", sticker.kind,
                         {{"white-black-ring", StickerKind::white_black_ring},
                          {"black-white-ring", StickerKind::black_white_ring},
                          {"white", StickerKind::white},
                          {"black", StickerKind::black},
                          {"colour", StickerKind::colour}});
  read_colour(in, "colour", sticker.colour);
  in.number("radius_cm", sticker.radius_cm, 0.1, 5);
  in.number("ring_fraction", sticker.ring_fraction, 0.02, 0.95);
  in.number("turn_deg", sticker.turn_deg, -80, 80);
  in.number("forward_cm", sticker.forward_cm, -30, 40);
  in.number("up_cm", sticker.up_cm, -30, 40);
}

void read_stickers(Fields& in, Stickers& stickers) {
  in.part("heel", [&](Fields& item) { read_sticker(item, stickers.heel); });
  in.part("forefoot", [&](Fields& item) { read_sticker(item, stickers.forefoot); });
  in.part("ankle", [&](Fields& item) { read_sticker(item, stickers.ankle); });
  in.part("knee", [&](Fields& item) { read_sticker(item, stickers.knee); });
  in.part("hip", [&](Fields& item) { read_sticker(item, stickers.hip); });
}

void read_background(Fields& in, Background& background) {
  in.choice<BackgroundKind>("kind", background.kind,
                            {{"plain", BackgroundKind::plain},
                             {"gradient", BackgroundKind::gradient},
                             {"tiles", BackgroundKind::tiles},
                             {"bricks", BackgroundKind::bricks},
                             {"texture", BackgroundKind::texture},
                             {"blobs", BackgroundKind::blobs},
                             {"clutter", BackgroundKind::clutter},
                             {"photo", BackgroundKind::photo}});
  read_colour(in, "wall", background.wall);
  read_colour(in, "second", background.second);
  read_colour(in, "floor", background.floor);
  in.number("size_cm", background.size_cm, 0.2, 200);
  in.number("contrast", background.contrast, 0, 1);
  in.integer("count", background.count, 0, 2000);
  in.number("wall_behind_cm", background.wall_behind_cm, 5, 1000);
  in.choice<FloorKind>("floor_kind", background.floor_kind,
                       {{"plain", FloorKind::plain},
                        {"tiles", FloorKind::tiles},
                        {"wood", FloorKind::wood},
                        {"speckle", FloorKind::speckle}});
  in.number("floor_size_cm", background.floor_size_cm, 0.5, 200);
  in.number("floor_contrast", background.floor_contrast, 0, 1);
  in.text("file", background.file);
  in.number("photo_width_cm", background.photo_width_cm, 10, 2000);
}

void read_bystanders(Fields& in, Scene& scene) {
  in.list("hands", [&](Fields& item) {
    Hand hand;
    item.integer("from_frame", hand.from_frame, 0, 100000000);
    item.integer("to_frame", hand.to_frame, 0, 100000000);
    item.number("forward_cm", hand.forward_cm, -50, 50);
    item.number("up_cm", hand.up_cm, -50, 50);
    item.number("size_cm", hand.size_cm, 1, 40);
    if (hand.to_frame < hand.from_frame) item.complain("to_frame", "comes before from_frame");
    scene.hands.push_back(hand);
  });
  in.part("other_foot", [&](Fields& item) {
    scene.other_foot.emplace();
    item.number("x_cm", scene.other_foot->x_cm, -1000, 1000);
    item.number("behind_cm", scene.other_foot->behind_cm, 1, 200);
    item.flag("hops", scene.other_foot->hops);
    item.number("lag_s", scene.other_foot->lag_s, -0.1, 0.1);
    item.flag("held_up", scene.other_foot->held_up);
  });
  in.part("walker", [&](Fields& item) {
    scene.walker.emplace();
    item.number("from_s", scene.walker->from_s, 0, 1000);
    item.number("to_s", scene.walker->to_s, 0.1, 1000);
    item.number("behind_cm", scene.walker->behind_cm, -100, 200);
    item.flag("to_right", scene.walker->to_right);
    if (scene.walker->to_s <= scene.walker->from_s) item.complain("to_s", "must come after from_s");
  });
}

void read_file_form(Fields& in, FileForm& file) {
  in.choice<CodecName>("codec", file.codec,
                       {{"h264", CodecName::h264},
                        {"hevc", CodecName::hevc},
                        {"hevc-10bit", CodecName::hevc_10bit},
                        {"vp9", CodecName::vp9},
                        {"av1", CodecName::av1},
                        {"mjpeg", CodecName::mjpeg}});
  in.number("bit_rate_mbps", file.bit_rate_mbps, 0.05, 400);
  in.flag("full_range", file.full_range);
  in.integer("rotation_deg", file.rotation_deg, 0, 270);
  if (file.rotation_deg % 90 != 0) in.complain("rotation_deg", "must be 0, 90, 180 or 270");
  in.flag("mirrored", file.mirrored);
  in.number("stored_rate_hz", file.stored_rate_hz, 1, 1000);
  in.flag("capture_tag", file.capture_tag);
}

void read_sound(Fields& in, SoundSpec& sound) {
  sound.on = true;
  in.flag("on", sound.on);
  in.number("beat_bpm", sound.beat_bpm, 1, 1000);
  in.number("first_s", sound.first_s, 0, 1000);
  in.number("level", sound.level, 0, 1);
  in.number("noise", sound.noise, 0, 1);
  in.flag("clicks", sound.clicks);
  in.number("thud_level", sound.thud_level, 0, 1);
  in.number("voice_level", sound.voice_level, 0, 1);
  in.flag("gate", sound.gate);
  in.number("offset_s", sound.offset_s, -1, 1);
}

void read_all(Fields& in, Scene& scene) {
  std::string schema = scene_schema;
  in.text("schema", schema);
  if (schema != scene_schema) in.complain("schema", std::string("must be \"") + scene_schema + "\"");
  in.text("title", scene.title);
  in.seed("seed", scene.seed);
  in.number("duration_s", scene.duration_s, 0.01, 3600);
  in.part("camera", [&](Fields& part) { read_camera(part, scene.camera); });
  in.part("light", [&](Fields& part) { read_light(part, scene.light); });
  read_cards(in, scene.cards);
  in.part("leg", [&](Fields& part) { read_leg(part, scene.leg); });
  in.part("beat", [&](Fields& part) { read_beat(part, scene.beat.emplace()); });
  in.part("movement", [&](Fields& part) { read_movement(part, scene.movement); });
  in.part("stickers", [&](Fields& part) { read_stickers(part, scene.stickers); });
  in.part("background", [&](Fields& part) { read_background(part, scene.background); });
  read_bystanders(in, scene);
  in.part("file", [&](Fields& part) { read_file_form(part, scene.file); });
  in.part("sound", [&](Fields& part) {
    read_sound(part, scene.sound);
    if (scene.beat && part.has("beat_bpm")) part.complain("beat_bpm", "cannot stand beside beat");
    if (scene.beat && part.has("first_s")) part.complain("first_s", "cannot stand beside beat");
  });
}

Error wrong_scene(const std::string& why) {
  return {Fault::option_wrong, "scene: " + why, "see docs/scenes.md for the fields of a scene"};
}

}  // namespace

Result<Scene> read_scene(const std::string& json_text) {
  const auto parsed = nlohmann::json::parse(json_text, nullptr, false);
  if (parsed.is_discarded()) return wrong_scene("the text is not JSON");
  Scene scene;
  model::Complaint complaint{"a scene", ""};
  {
    Fields in(parsed, "", complaint);
    read_all(in, scene);
  }  // here unknown fields come to light
  if (!complaint.text.empty()) return wrong_scene(complaint.text);
  if (const auto conflict = conflict_in(scene)) return wrong_scene(*conflict);
  return scene;
}

}  // namespace risetrace::synth
