// Laws of the plan of hops and of the leg's poses, whatever the scene.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <numeric>

#include "hop_scene.h"
#include "synth/hop_motion.h"
#include "synth/motion.h"

namespace risetrace::synth {
namespace {

double share(int low, int high) { return *rc::gen::inRange(low, high) / 1000.0; }

HopKind some_kind() {
  return *rc::gen::element(HopKind::hop, HopKind::hop, HopKind::double_touch, HopKind::stumble, HopKind::step_away);
}

Scene some_hops() {
  Scene scene = test::hop_scene();
  scene.seed = *rc::gen::inRange<std::uint64_t>(0, 1000000);
  HopSpec& hops = *scene.movement.hops;
  hops.form.landing_heel_cm = share(2000, 7000);
  hops.form.lowest_heel_cm = share(0, 1500);
  hops.form.takeoff_heel_cm = share(3000, 9000);
  hops.form.toe_roll_s = share(0, 40);
  hops.form.toe_first_s = share(0, 15);
  hops.form.toe_droop = share(0, 1000);
  hops.form.leave_soft_s = share(0, 15);
  hops.form.sole_give_cm = share(0, 600);
  const int way = *rc::gen::inRange(0, 3);
  const int count = *rc::gen::inRange(1, 6);
  if (way == 0) {
    for (int i = 0; i < count; ++i)
      hops.list.push_back({share(80, 400), share(60, 350), some_kind(), share(-9000, 9000)});
    return scene;
  }
  hops.rule = {
      .count = count, .contact_s = share(120, 260), .flight_s = share(80, 300), .settle_extra_s = share(0, 60)};
  if (*rc::gen::inRange(0, 2) == 1) hops.special.push_back({*rc::gen::inRange(1, 5), some_kind(), 6.0});
  if (way == 1) return scene;
  scene.beat.emplace().first_s = 0.1;
  scene.beat->steps = {{150, count + 2}, {132, 4}, {110, 3}};
  hops.rule.contact_s = share(120, 240);
  hops.follow.resize(3);
  hops.follow[0].lag_s = 0.02;
  hops.follow[1].follows = false;
  hops.follow[1].own_bpm = 151;
  return scene;
}

RC_GTEST_PROP(HopLaws, ContactsDoNotOverlapAndContactAndFlightMakeThePeriod, ()) {
  const Scene scene = some_hops();
  const HopPlan plan(scene);
  const std::vector<Landing>& landings = plan.landings();
  RC_ASSERT(!landings.empty());
  double left_s = plan.first_takeoff_s();
  for (std::size_t i = 0; i < landings.size(); ++i) {
    RC_ASSERT(landings[i].flight_s > 0.0);
    RC_ASSERT(std::abs(left_s + landings[i].flight_s - landings[i].touchdown_s) < 1e-9);
    RC_ASSERT(landings[i].takeoff_s > landings[i].touchdown_s);
    RC_ASSERT(std::isfinite(landings[i].takeoff_s) == (i + 1 < landings.size()));
    RC_ASSERT(!plan.in_contact(landings[i].touchdown_s - 1e-9));
    RC_ASSERT(plan.in_contact(landings[i].touchdown_s));
    if (i + 1 < landings.size()) {
      RC_ASSERT(!plan.in_contact(landings[i].takeoff_s));
      const double contact_s = landings[i].takeoff_s - landings[i].touchdown_s;
      const double period_s = landings[i + 1].touchdown_s - landings[i].touchdown_s;
      RC_ASSERT(std::abs(contact_s + landings[i + 1].flight_s - period_s) < 1e-9);
    }
    left_s = landings[i].takeoff_s;
  }
}

// The lowest corner of what is drawn is where the plan has it, to what the table of poses allows.
RC_GTEST_PROP(HopLaws, TheShoesLowestPointIsWhereThePlanSays, ()) {
  const Scene scene = some_hops();
  const Motion motion(scene);
  const double step_s = 0.00731;  // falls on no step of the table twice
  const int steps = static_cast<int>(motion.hops()->length_s() / step_s);
  for (int i = 0; i < steps; ++i) {
    const double t = i * step_s;
    const double planned_cm = planned_clearance_cm(scene, *motion.hops(), t);
    const bool contact = motion.hops()->in_contact(t);
    RC_ASSERT(planned_cm >= 0.0);
    RC_ASSERT(!contact || planned_cm == 0.0);
    RC_ASSERT(std::abs(motion.leg().lowest_of_shoe_cm(motion.pose(t)).y - planned_cm) < 2e-3);
  }
}

// Nothing jumps: no part of the leg moves faster than a limit far above what any part does by itself.
RC_GTEST_PROP(HopLaws, ThePoseIsContinuous, ()) {
  const Scene scene = some_hops();
  const Motion motion(scene);
  const double step_s = 0.0003;
  const double fastest_cm_s = 800;
  const std::vector<std::pair<Part, Point>> points = {{Part::foot, motion.leg().toe_tip_point_cm()},
                                                      {Part::heel_part, motion.leg().heel_sticker_point_cm()},
                                                      {Part::shank, {0, 20}},
                                                      {Part::thigh, {0, 30}}};
  for (const auto& [part, point] : points) {
    Spot before = motion.spot_cm(part, point, 0.0);
    const int steps = static_cast<int>(motion.hops()->length_s() / step_s);
    for (int i = 1; i < steps; ++i) {
      const Spot now = motion.spot_cm(part, point, i * step_s);
      RC_ASSERT(std::hypot(now.x - before.x, now.y - before.y) < fastest_cm_s * step_s);
      before = now;
    }
  }
}

// The heel sticker goes through touchdown and take-off without a jump of speed, where the body is fast enough to carry
// it: in usual hops. 2 ms about the event may change its speed by what the pull of the ground does in that time.
TEST(HopPose, TheHeelsSpeedDoesNotJumpAtTheEvents) {
  const Motion motion(test::hop_scene());
  const auto speed = [&](double t) {
    return (motion.heel_height_cm(t + 0.0005) - motion.heel_height_cm(t - 0.0005)) / 0.001;
  };
  const double d = 0.001;
  const auto smooth_at = [&](double t) { EXPECT_NEAR(speed(t + d), speed(t - d), 12.0) << t; };
  for (const Landing& landing : motion.hops()->landings()) {
    EXPECT_LT(speed(landing.touchdown_s), -60.0);
    smooth_at(landing.touchdown_s);
    if (std::isfinite(landing.takeoff_s)) smooth_at(landing.takeoff_s);
  }
}

// In the air the lowest point, if it leaves with the body, falls freely.
RC_GTEST_PROP(HopLaws, ClearanceFallsWithG, ()) {
  Scene scene = some_hops();
  scene.movement.hops->form.leave_soft_s = 0.0;
  const HopPlan plan(scene);
  for (const Landing& landing : plan.landings()) {
    const double middle_s = landing.touchdown_s - landing.flight_s / 2;
    const double d = landing.flight_s / 5;
    const auto at = [&](double t) { return planned_clearance_cm(scene, plan, t); };
    const double g = -(at(middle_s + d) - 2 * at(middle_s) + at(middle_s - d)) / (d * d) / 100;
    RC_ASSERT(std::abs(g - 9.80665) < 1e-6);  // CGPM 1901
    // Derived: the top of a flight of length t is g t^2 / 8.
    RC_ASSERT(std::abs(at(middle_s) / 100 - 9.80665 * landing.flight_s * landing.flight_s / 8) < 1e-9);
  }
}

}  // namespace
}  // namespace risetrace::synth
