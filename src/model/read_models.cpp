#include "model/read_models.h"

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>

namespace risetrace::model {
namespace {

using nlohmann::json;
namespace fs = std::filesystem;

Error broken(const std::string& file, const std::string& why) {
  return {Fault::model_unreadable, file + ": " + why, ""};
}

Result<json> read_json(const fs::path& file) {
  std::ifstream in(file);
  if (!in) return broken(file.string(), "cannot be opened");
  json parsed = json::parse(in, nullptr, false);
  if (parsed.is_discarded()) return broken(file.string(), "is not JSON");
  return parsed;
}

// `at` throws on a missing or mistyped field; the caller turns that into a fault that names the field.
double sourced(const json& from, const char* field) { return from.at(field).at("value").get<double>(); }

Point centre_of(const std::string& place, double half_cm) {
  const double x = place.ends_with("left") ? -half_cm : half_cm;
  const double y = place.starts_with("top") ? half_cm : -half_cm;
  return {x, y};
}

TagCard tag_card(const json& from) {
  TagCard card;
  card.side_cm = from.at("side_cm");
  card.tag_side_cm = from.at("tag_side_cm");
  card.ruler_cm = from.at("ruler_cm");
  card.modules = from.at("modules");
  card.family = from.at("family");
  const double half = from.at("centre_square_cm").get<double>() / 2;
  for (const json& pattern : from.at("patterns")) {
    TagPattern tag;
    tag.id = pattern.at("id");
    tag.centre_cm = centre_of(pattern.at("place").get<std::string>(), half);
    for (const json& row : pattern.at("rows")) {
      for (const char module : row.get<std::string>()) tag.black.push_back(module == '#');
    }
    card.tags.push_back(tag);
  }
  return card;
}

Cards cards(const json& from) {
  Cards out;
  out.tags = tag_card(from.at("tags"));
  const json& id_1 = from.at("id_1");
  out.id_1 = {id_1.at("width_cm"), id_1.at("height_cm"), id_1.at("corner_radius_min_cm"),
              id_1.at("corner_radius_max_cm")};
  const json& priors = from.at("priors");
  out.print_scale_u = sourced(priors, "print_scale_u");
  out.plane_offset_u_cm = sourced(priors, "plane_offset_u_cm");
  out.print_stretch_u = sourced(priors, "print_stretch_u");
  out.usual_field_of_view = sourced(priors, "usual_field_of_view");
  out.view.yaw_u_deg = sourced(priors, "view_yaw_u_deg");
  out.view.pitch_u_deg = sourced(priors, "view_pitch_u_deg");
  out.view.card_turn_u_deg = sourced(priors, "card_turn_u_deg");
  out.view.card_lean_u_deg = sourced(priors, "card_lean_u_deg");
  out.view.card_roll_u_deg = sourced(priors, "card_roll_u_deg");
  out.view.focal_log_u = sourced(priors, "focal_log_u");
  out.view.stated_distance_u = sourced(priors, "stated_distance_u");
  out.view.k1_u = sourced(priors, "k1_u");
  out.view.localising_u_px = sourced(priors, "localising_u_px");
  out.view.sway_left = sourced(priors, "sway_left");
  out.view.readout_most_s = sourced(priors, "readout_most_s");
  return out;
}

RaiseProtocol raise_protocol(const json& from) {
  RaiseProtocol out;
  out.end_fraction = sourced(from, "end_fraction");
  out.end_after = static_cast<int>(sourced(from, "end_after"));
  out.reference_reps = static_cast<int>(sourced(from, "reference_reps"));
  out.beat_bpm = sourced(from, "beat_bpm");
  out.least_rise_cm = sourced(from, "least_rise_cm");
  out.least_rise_of_reference = sourced(from, "least_rise_of_reference");
  out.onset_of_rise = sourced(from, "onset_of_rise");
  out.not_lowered_of_reference = sourced(from, "not_lowered_of_reference");
  out.step_across_cm = sourced(from, "step_across_cm");
  out.end_pause_s = sourced(from, "end_pause_s");
  out.on_beat_tolerance = sourced(from, "on_beat_tolerance");
  out.smooth_cutoff_hz = sourced(from, "smooth_cutoff_hz");
  out.knee_straight_most_deg = sourced(from, "knee_straight_most_deg");
  out.knee_bent_least_deg = sourced(from, "knee_bent_least_deg");
  out.knee_bent_most_deg = sourced(from, "knee_bent_most_deg");
  return out;
}

AngleRules angle_rules(const json& from) {
  AngleRules out;
  out.landmark_u_cm = sourced(from, "landmark_u_cm");
  out.leg_depth_u_cm = sourced(from, "leg_depth_u_cm");
  out.picture_level_u_deg = sourced(from, "picture_level_u_deg");
  out.usual_shank_cm = sourced(from, "usual_shank_cm");
  out.stiff_within = sourced(from, "stiff_within");
  out.least_seen_share = sourced(from, "least_seen_share");
  out.least_drift_reps = static_cast<int>(sourced(from, "least_drift_reps"));
  out.lunge_least_deg = sourced(from, "lunge_least_deg");
  out.hold_least_s = sourced(from, "hold_least_s");
  out.hold_within_deg = sourced(from, "hold_within_deg");
  out.hidden_most_s = sourced(from, "hidden_most_s");
  out.ankle_rise_cm = sourced(from, "ankle_rise_cm");
  out.foot_moved_cm = sourced(from, "foot_moved_cm");
  out.hand_mark_u_cm = sourced(from, "hand_mark_u_cm");
  return out;
}

HopProtocol hop_protocol(const json& from) {
  HopProtocol out;
  out.first_left_out = static_cast<int>(sourced(from, "first_left_out"));
  out.wanted_hops = static_cast<int>(sourced(from, "wanted_hops"));
  out.settle_hops = static_cast<int>(sourced(from, "settle_hops"));
  out.least_hops = static_cast<int>(sourced(from, "least_hops"));
  out.least_contact_ms = sourced(from, "least_contact_ms");
  out.greatest_contact_ms = sourced(from, "greatest_contact_ms");
  out.least_flight_ms = sourced(from, "least_flight_ms");
  out.greatest_flight_ms = sourced(from, "greatest_flight_ms");
  out.odd_of_neighbours = sourced(from, "odd_of_neighbours");
  out.rate_within_pct = sourced(from, "rate_within_pct");
  out.least_lock = sourced(from, "least_lock");
  out.greatest_phase_p = sourced(from, "greatest_phase_p");
  out.stiffness_flag_under_per_min = sourced(from, "stiffness_flag_under_per_min");
  out.slow_under_per_min = sourced(from, "slow_under_per_min");
  out.sound_offset_limit_ms = sourced(from, "sound_offset_limit_ms");
  out.thud_disagrees_ms = sourced(from, "thud_disagrees_ms");
  out.ladder_from_per_min = sourced(from, "ladder_from_per_min");
  out.ladder_step_per_min = sourced(from, "ladder_step_per_min");
  out.ladder_to_per_min = sourced(from, "ladder_to_per_min");
  return out;
}

Stickers stickers(const json& from) {
  Stickers out;
  out.diameters_cm = from.at("diameters_cm").at("value").get<std::vector<double>>();
  out.ring_of_diameter = sourced(from, "ring_of_diameter");
  for (const json& place : from.at("places")) out.places.push_back({place.at("name"), place.at("place")});
  return out;
}

CheckLimits check_limits(const json& from) {
  CheckLimits out;
  out.look_s = sourced(from, "look_s");
  out.look_frames = sourced(from, "look_frames");
  out.rise_cm = sourced(from, "rise_cm");
  out.good_height_cm = sourced(from, "good_height_cm");
  out.good_contact_ms = sourced(from, "good_contact_ms");
  out.noted_cost_cm = sourced(from, "noted_cost_cm");
  out.facing_cost_cm = sourced(from, "facing_cost_cm");
  out.tilt_deg = sourced(from, "tilt_deg");
  out.lean_deg = sourced(from, "lean_deg");
  out.forward_cm = sourced(from, "forward_cm");
  out.card_edge_cm = sourced(from, "card_edge_cm");
  out.distance_ratio = sourced(from, "distance_ratio");
  out.distance_m = sourced(from, "distance_m");
  out.lens_ratio = sourced(from, "lens_ratio");
  out.sticker_radius_px = sourced(from, "sticker_radius_px");
  out.sticker_contrast = sourced(from, "sticker_contrast");
  out.same_look = sourced(from, "same_look");
  out.least_sticker_cm = sourced(from, "least_sticker_cm");
  out.greatest_sticker_cm = sourced(from, "greatest_sticker_cm");
  out.heel_up_cm = sourced(from, "heel_up_cm");
  out.blur_px = sourced(from, "blur_px");
  out.blur_cm = sourced(from, "blur_cm");
  out.noise_grey = sourced(from, "noise_grey");
  out.dark_card_grey = sourced(from, "dark_card_grey");
  out.clipped_grey = sourced(from, "clipped_grey");
  out.sway_px = sourced(from, "sway_px");
  out.camera_unseen_share = sourced(from, "camera_unseen_share");
  out.room_above_cm = sourced(from, "room_above_cm");
  out.room_above_hop_cm = sourced(from, "room_above_hop_cm");
  out.least_room_cm = sourced(from, "least_room_cm");
  out.floor_margin_cm = sourced(from, "floor_margin_cm");
  out.toe_from_cm = sourced(from, "toe_from_cm");
  out.toe_to_cm = sourced(from, "toe_to_cm");
  out.floor_contrast = sourced(from, "floor_contrast");
  out.raise_rate_hz = sourced(from, "raise_rate_hz");
  out.hop_rate_hz = sourced(from, "hop_rate_hz");
  out.below_frame_from_hz = sourced(from, "below_frame_from_hz");
  out.contact_program_u_ms = sourced(from, "contact_program_u_ms");
  out.contact_of_frame_u = sourced(from, "contact_of_frame_u");
  return out;
}

HandMarks hand_marks(const json& from) { return {sourced(from, "pointing_u_px"), sourced(from, "length_u_cm")}; }

template <typename Noun, typename Make>
Outcome read_into(Noun& noun, const fs::path& file, Make make) {
  const Result<json> parsed = read_json(file);
  if (!parsed) return parsed.error();
  try {
    noun = make(*parsed);
  } catch (const json::exception& wrong) {
    return broken(file.string(), wrong.what());
  }
  return Done{};
}

}  // namespace

Result<fs::path> find_models_folder(const fs::path& program) {
  const char* given = std::getenv("RISETRACE_MODELS");  // NOLINT(concurrency-mt-unsafe)
  if (given != nullptr) return fs::path(given);
  std::error_code ignored;
  for (fs::path folder = fs::weakly_canonical(program, ignored).parent_path();; folder = folder.parent_path()) {
    for (const char* place : {"models", "share/risetrace/models"}) {
      if (fs::exists(folder / place / "cards.json", ignored)) return folder / place;
    }
    if (!folder.has_parent_path() || folder == folder.parent_path()) break;
  }
  return Error{Fault::model_unreadable, "no models folder was found near the program", ""};
}

Result<Models> read_models(const fs::path& folder) {
  Models models;
  if (auto read = read_into(models.cards, folder / "cards.json", cards); !read) return read.error();
  if (auto read = read_into(models.heel_raise, folder / "heel-raise.json", raise_protocol); !read) return read.error();
  if (auto read = read_into(models.hop, folder / "hop.json", hop_protocol); !read) return read.error();
  if (auto read = read_into(models.angles, folder / "angles.json", angle_rules); !read) return read.error();
  if (auto read = read_into(models.stickers, folder / "stickers.json", stickers); !read) return read.error();
  if (auto read = read_into(models.check, folder / "check.json", check_limits); !read) return read.error();
  if (auto read = read_into(models.hand_marks, folder / "hand-marks.json", hand_marks); !read) return read.error();
  return models;
}

}  // namespace risetrace::model
