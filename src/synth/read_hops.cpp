#include "synth/read_hops.h"

namespace risetrace::synth {
namespace {

void read_kind(Fields& in, HopKind& kind) {
  in.choice<HopKind>("kind", kind,
                     {{"hop", HopKind::hop},
                      {"double-touch", HopKind::double_touch},
                      {"stumble", HopKind::stumble},
                      {"step-away", HopKind::step_away}});
}

void read_rule(Fields& in, HopRule& rule) {
  in.integer("count", rule.count, 1, 2000);
  in.number("contact_s", rule.contact_s, 0.04, 2);
  in.number("flight_s", rule.flight_s, 0.04, 1);
  in.number("contact_jitter_s", rule.contact_jitter_s, 0, 0.1);
  in.number("flight_jitter_s", rule.flight_jitter_s, 0, 0.1);
  in.integer("settle_hops", rule.settle_hops, 0, 100);
  in.number("settle_extra_s", rule.settle_extra_s, 0, 0.3);
}

FollowSpec read_follow(Fields& in) {
  FollowSpec follow;
  in.flag("follows", follow.follows);
  in.number("own_bpm", follow.own_bpm, 60, 300);
  in.number("lag_s", follow.lag_s, -0.3, 0.3);
  in.number("jitter_s", follow.jitter_s, 0, 0.2);
  in.number("contact_s", follow.contact_s, 0.04, 2);
  if (follow.follows && follow.own_bpm) in.complain("own_bpm", "needs follows to be false");
  return follow;
}

void read_form(Fields& in, HopForm& form) {
  in.number("landing_heel_cm", form.landing_heel_cm, 0.2, 12);
  in.number("lowest_heel_cm", form.lowest_heel_cm, 0, 10);
  in.number("takeoff_heel_cm", form.takeoff_heel_cm, 0.2, 14);
  in.number("jitter_cm", form.jitter_cm, 0, 1);
  in.number("toe_roll_s", form.toe_roll_s, 0, 0.04);
  in.number("toe_roll_deg", form.toe_roll_deg, 0, 45);
  in.number("toe_first_s", form.toe_first_s, 0, 0.015);
  in.number("toe_first_deg", form.toe_first_deg, 0, 30);
  in.number("toe_droop", form.toe_droop, 0, 1);
  in.number("leave_soft_s", form.leave_soft_s, 0, 0.03);
  in.number("sole_give_cm", form.sole_give_cm, 0, 1);
}

}  // namespace

void read_hops(Fields& in, HopSpec& hops) {
  in.list("list", [&](Fields& item) {
    HopItem hop;
    item.number("contact_s", hop.contact_s, 0.03, 5);
    item.number("flight_s", hop.flight_s, 0.03, 1);
    read_kind(item, hop.kind);
    item.number("step_cm", hop.step_cm, -40, 40);
    hops.list.push_back(hop);
  });
  in.part("rule", [&](Fields& part) { read_rule(part, hops.rule); });
  in.list("follow", [&](Fields& item) { hops.follow.push_back(read_follow(item)); });
  in.list("special", [&](Fields& item) {
    SpecialHop special;
    item.integer("n", special.n, 1, 2000);
    read_kind(item, special.kind);
    item.number("step_cm", special.step_cm, -40, 40);
    hops.special.push_back(special);
  });
  in.part("form", [&](Fields& part) { read_form(part, hops.form); });
  in.number("phase_s", hops.phase_s, 0, 1);
  if (in.has("list") && hops.list.empty()) in.complain("list", "must hold a hop");
  if (in.has("list") && in.has("rule")) in.complain("rule", "cannot stand beside list");
  if (in.has("list") && in.has("follow")) in.complain("follow", "cannot stand beside list");
  if (in.has("list") && in.has("special")) in.complain("special", "cannot stand beside list, whose hops have a kind");
}

void read_beat(Fields& in, BeatPlan& beat) {
  in.number("first_s", beat.first_s, -600, 600);
  in.integer("run_in", beat.run_in, 0, 16);
  in.list("steps", [&](Fields& item) {
    BeatPart part;
    item.number("bpm", part.bpm, 30, 400);
    item.integer("beats", part.beats, 1, 2000);
    beat.steps.push_back(part);
  });
  if (beat.steps.empty()) in.complain("steps", "must hold a step");
}

}  // namespace risetrace::synth
