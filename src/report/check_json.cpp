#include "report/check_json.h"

#include <nlohmann/json.hpp>

#include "report/check_words.h"
#include "report/json_number.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;  // keeps the promised order of fields
using measure::coverage_95;

std::optional<double> within(std::optional<double> u) { return u ? std::optional(coverage_95 * *u) : std::nullopt; }

Json clip_json(const measure::Setup& s) {
  return {{"file", readable(s.clip.file)},
          {"width_px", s.clip.width_px},
          {"height_px", s.clip.height_px},
          {"frame_rate_hz", number(s.clip.frame_rate_hz, 4)},
          {"frame_rate_from", key_of(s.clip.frame_rate_from)},
          {"timing_irregular", s.clip.timing_irregular},
          {"looked_s", number(s.looked_s, 3)}};
}

Json parts_json(const std::vector<measure::ErrorPart>& parts, const char* u_name) {
  Json list = Json::array();
  for (const measure::ErrorPart& part : parts) {
    list.push_back({{"from", key_of(part.from)}, {u_name, number(part.u, 4)}});
  }
  return list;
}

Json expected_json(const measure::ExpectedError& e) {
  return {{"rise_cm", number(e.rise_cm, 2)},
          {"height_u_cm", number(e.height_u_cm, 4)},
          {"height_95_cm", number(within(e.height_u_cm), 4)},
          {"height_parts", parts_json(e.height_parts, "u_cm")},
          {"contact_u_ms", number(e.contact_u_ms, 3)},
          {"contact_95_ms", number(within(e.contact_u_ms), 3)},
          {"contact_parts", parts_json(e.contact_parts, "u_ms")}};
}

Json findings_json(const measure::Check& check) {
  Json list = Json::array();
  for (const measure::Finding& finding : check.findings) {
    const Said text = said(finding, check);
    list.push_back({{"code", key_of(finding.limit)},
                    {"weight", key_of(finding.weight)},
                    {"costs_cm", number(finding.cost_cm, 4)},
                    {"costs_ms", number(finding.cost_ms, 3)},
                    {"text", readable(text.what)},
                    {"what_to_do", readable(text.what_to_do)}});
  }
  return list;
}

Json card_json(const measure::Setup& s) {
  if (!s.card) return nullptr;
  const auto look = [&](double scale::CardLook::*field) {
    return s.card->look ? std::optional((*s.card->look).*field) : std::nullopt;
  };
  return {{"from", key_of(s.scale.from)},
          {"px_per_cm", number(s.scale.px_per_cm, 4)},
          {"px_per_cm_u", number(s.scale.px_per_cm_u, 4)},
          {"tilt_deg", number(s.scale.tilt_deg, 2)},
          {"lean_deg", number(s.card->lean_deg, 2)},
          {"seen_distance_m", number(s.card->seen_distance_m, 2)},
          {"to_picture_edge_cm", number(s.card->to_picture_edge_cm, 2)},
          {"white_grey", number(look(&scale::CardLook::white_grey), 1)},
          {"black_grey", number(look(&scale::CardLook::black_grey), 1)},
          {"blur_px", number(look(&scale::CardLook::blur_px), 2)}};
}

Json sticker_json(const measure::Setup& s) {
  if (!s.sticker) return nullptr;
  const measure::StickerSeen& seen = *s.sticker;
  return {{"x_px", number(seen.spot.px.x, 2)},
          {"y_px", number(seen.spot.px.y, 2)},
          {"radius_px", number(seen.spot.look.outer_radius_px, 2)},
          {"contrast_grey", number(seen.spot.look.contrast(), 1)},
          {"noise_px", number(std::max(seen.spot.sigma_px, seen.spot.scatter_px), 4)},
          {"others", seen.others},
          {"rose", seen.spot.rose}};
}

Json room_json(const measure::Room& room) {
  return {{"above_cm", number(room.above_cm, 2)},
          {"floor_below_cm", number(room.floor_below_cm, 2)},
          {"toes_in_view", room.toes_in_view ? Json(*room.toes_in_view) : Json(nullptr)},
          {"floor_contrast_grey", number(room.floor_contrast, 1)}};
}

}  // namespace

std::string check_json(const measure::Check& check, const std::string& program_version) {
  const measure::Setup& s = check.setup;
  Json json;
  json["schema"] = "risetrace/check/1";
  json["program"] = {{"name", "risetrace"}, {"version", program_version}};
  json["clip"] = clip_json(s);
  json["asked"] = {{"test", key_of(s.test)},
                   {"distance_m", number(s.distance_m, 3)},
                   {"card_offset_cm", number(s.card_offset_cm, 3)}};
  json["verdict"] = key_of(check.verdict);
  json["stopped_by"] = check.stopped_by ? Json(readable(sentence(*check.stopped_by))) : Json(nullptr);
  json["expected"] = expected_json(check.expected);
  json["findings"] = findings_json(check);
  json["card"] = card_json(s);
  json["sticker"] = sticker_json(s);
  json["light"] = {{"bright_grey", number(s.light.bright_grey, 1)},
                   {"clipped_share", number(s.light.clipped_share, 4)},
                   {"noise_grey", number(s.light.noise_grey, 2)}};
  json["camera_sway_px"] = number(s.sway_px, 3);
  json["room"] = room_json(s.room);
  return json.dump(2) + "\n";
}

}  // namespace risetrace::report
