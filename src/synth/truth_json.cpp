#include <array>
#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "synth/truth.h"

namespace risetrace::synth {
namespace {

using json = nlohmann::ordered_json;

// Enough digits for a 10000th of a pixel and a microsecond, few enough to read.
double rounded(double value, double per_unit) { return std::round(value * per_unit) / per_unit; }
double px(double value) { return rounded(value, 1e5); }
double seconds(double value) { return rounded(value, 1e7); }
double cm(double value) { return rounded(value, 1e6); }

json pair(Point p) { return json::array({px(p.x), px(p.y)}); }

json pairs(const std::vector<Point>& points) {
  json out = json::array();
  for (const Point& p : points) out.push_back(pair(p));
  return out;
}

json known(const std::optional<double>& value) { return value ? json(cm(*value)) : json(nullptr); }

json card_json(const TruthCard& card) {
  json out;
  out["kind"] = card.kind == CardKind::tags ? "tags" : "id-1";
  out["offset_cm"] = card.offset_cm;
  out["px_per_cm"] = known(card.px_per_cm);
  out["outline_px"] = pairs(card.outline_px);
  out["tags"] = json::array();
  for (std::size_t i = 0; i < card.tag_ids.size(); ++i) {
    out["tags"].push_back({{"id", card.tag_ids[i]}, {"corners_px", pairs(card.tags_px[i])}});
  }
  return out;
}

json rep_json(const TruthRep& rep) {
  return {{"n", rep.n},
          {"leaves_s", seconds(rep.leaves_s)},
          {"start_s", seconds(rep.start_s)},
          {"peak_s", seconds(rep.peak_s)},
          {"end_s", seconds(rep.end_s)},
          {"lands_s", seconds(rep.lands_s)},
          {"height_cm", cm(rep.height_cm)},
          {"floor_cm", cm(rep.floor_cm)},
          {"of_reference", known(rep.of_reference)},
          {"low", rep.low},
          {"lowered", rep.lowered},
          {"counted", rep.counted}};
}

json set_json(const TruthSet& set) {
  json out;
  out["reps"] = json::array();
  for (const TruthRep& rep : set.reps) out["reps"].push_back(rep_json(rep));
  out["count"] = set.count;
  for (const TruthCountAt& at : set.count_at) {
    std::array<char, 16> name{};
    std::snprintf(name.data(), name.size(), "%.2f", at.fraction);
    out["count_at"][name.data()] = at.count;
  }
  out["reference_height_cm"] = known(set.reference_height_cm);
  out["greatest_height_cm"] = known(set.greatest_height_cm);
  out["total_height_cm"] = known(set.total_height_cm);
  out["set_end"] = {{"why", set.end_why}, {"t_s", seconds(set.end_s)}, {"after_rep", set.after_rep}};
  return out;
}

template <typename Value>
json or_null(const std::optional<Value>& value) {
  return value ? json(*value) : json(nullptr);
}

const char* name_of(HopKind kind) {
  switch (kind) {
    case HopKind::double_touch:
      return "double-touch";
    case HopKind::stumble:
      return "stumble";
    case HopKind::step_away:
      return "step-away";
    case HopKind::hop:
      break;
  }
  return "hop";
}

json hop_json(const TruthHop& hop) {
  return {{"n", hop.n},
          {"touchdown_s", seconds(hop.touchdown_s)},
          {"takeoff_s", hop.takeoff_s ? json(seconds(*hop.takeoff_s)) : json(nullptr)},
          {"touchdown_frame", or_null(hop.touchdown_frame)},
          {"takeoff_frame", or_null(hop.takeoff_frame)},
          {"contact_ms", known(hop.contact_ms)},
          {"flight_ms", cm(hop.flight_ms)},
          {"height_cm", cm(hop.height_cm)},
          {"kind", name_of(hop.kind)},
          {"is_hop", hop.is_hop},
          {"step", or_null(hop.step)}};
}

json hops_json(const TruthHops& hops) {
  json out;
  out["first_takeoff_s"] = seconds(hops.first_takeoff_s);
  out["first_takeoff_frame"] = or_null(hops.first_takeoff_frame);
  out["sound_offset_s"] = hops.sound_offset_s;
  out["hops"] = json::array();
  for (const TruthHop& hop : hops.hops) out["hops"].push_back(hop_json(hop));
  out["steps"] = json::array();
  for (const TruthStep& step : hops.steps) {
    out["steps"].push_back({{"beat_bpm", step.bpm},
                            {"first_s", seconds(step.first_s)},
                            {"from_s", seconds(step.from_s)},
                            {"to_s", seconds(step.to_s)},
                            {"beats", step.beats},
                            {"hops", step.hops},
                            {"followed", step.followed}});
  }
  out["clicks"] = json::array();
  for (const TruthClick& click : hops.clicks) {
    out["clicks"].push_back({{"time_s", seconds(click.time_s)},
                             {"file_sound_s", seconds(click.file_sound_s)},
                             {"step", or_null(click.step)},
                             {"accent", click.accent}});
  }
  return out;
}

json lunge_json(const TruthLunges& lunges) {
  json out;
  out["standing_shank_deg"] = cm(lunges.standing_shank_deg);
  out["toe_px"] = pair(lunges.toe_px);
  out["wall_px"] = lunges.wall_px ? pair(*lunges.wall_px) : json(nullptr);
  out["toe_to_wall_cm"] = known(lunges.toe_to_wall_cm);
  out["tries"] = json::array();
  for (const LungeTimes& one : lunges.tries) {
    out["tries"].push_back({{"shank_deg", one.shank_deg},
                            {"leaves_s", seconds(one.leaves_s)},
                            {"held_from_s", seconds(one.held_from_s)},
                            {"held_to_s", seconds(one.held_to_s)}});
  }
  return out;
}

json row_json(const TruthFrame& frame) {
  json row = {frame.index,           seconds(frame.time_s), seconds(frame.heel_s),
              px(frame.heel_px.x),   px(frame.heel_px.y),   cm(frame.height_cm),
              frame.heel_in_picture, frame.heel_covered,    frame.repeated};
  if (frame.leg) {
    const TruthLeg& leg = *frame.leg;
    for (const double value : {px(leg.ankle_px.x), px(leg.ankle_px.y), px(leg.knee_px.x), px(leg.knee_px.y),
                               px(leg.hip_px.x), px(leg.hip_px.y), cm(leg.shank_deg), cm(leg.knee_deg)}) {
      row.push_back(value);
    }
  }
  if (!frame.sole) return row;
  const TruthSole& sole = *frame.sole;
  for (const json& value :
       {json(seconds(sole.sole_s)), json(sole.in_contact), json(cm(sole.up_cm)), json(px(sole.up_px)),
        json(px(sole.lowest_px.x)), json(px(sole.lowest_px.y)), json(px(sole.toe_tip_px.x)),
        json(px(sole.toe_tip_px.y)), json(px(sole.forefoot_px.x)), json(px(sole.forefoot_px.y))}) {
    row.push_back(value);
  }
  return row;
}

}  // namespace

std::string truth_json(const Truth& truth) {
  json out;
  out["schema"] = "risetrace/truth/1";
  out["rendered"] = true;
  out["title"] = truth.title;
  out["seed"] = truth.seed;
  out["width_px"] = truth.width_px;
  out["height_px"] = truth.height_px;
  out["frame_rate_hz"] = truth.fps;
  out["px_per_cm"] = cm(truth.px_per_cm);
  out["heel_radius_px"] = truth.heel_absent ? json(nullptr) : json(px(truth.heel_radius_px));
  out["cards"] = json::array();
  for (const TruthCard& card : truth.cards) out["cards"].push_back(card_json(card));
  out["heel_raise"] = truth.hops || truth.lunges ? json(nullptr) : set_json(truth.set);
  if (truth.hops) out["hop"] = hops_json(*truth.hops);
  if (truth.lunges) out["lunge"] = lunge_json(*truth.lunges);
  // A row a frame: an object for each would make the file five times as long.
  out["frame_columns"] = {"frame",     "time_s",     "heel_s",  "heel_x_px", "heel_y_px",
                          "height_cm", "in_picture", "covered", "repeated"};
  if (!truth.hops) {
    for (const char* name :
         {"ankle_x_px", "ankle_y_px", "knee_x_px", "knee_y_px", "hip_x_px", "hip_y_px", "shank_deg", "knee_deg"}) {
      out["frame_columns"].push_back(name);
    }
  }
  if (truth.hops) {
    for (const char* name : {"sole_s", "in_contact", "sole_up_cm", "sole_up_px", "sole_x_px", "sole_y_px", "toe_x_px",
                             "toe_y_px", "forefoot_x_px", "forefoot_y_px"}) {
      out["frame_columns"].push_back(name);
    }
  }
  const std::string head = out.dump(1);
  std::string text = head.substr(0, head.rfind('\n')) + ",\n \"frames\": [";
  for (const TruthFrame& frame : truth.frames) {
    text += (frame.index == 0 ? "\n  " : ",\n  ") + row_json(frame).dump();
  }
  return text + "\n ]\n}\n";
}

}  // namespace risetrace::synth
