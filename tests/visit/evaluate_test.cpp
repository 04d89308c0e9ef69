#include "visit/evaluate.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "shipped.h"

namespace risetrace::visit {
namespace {

using test::shipped;

Screen screen_of(TestResult result, double visit_mass_kg) {
  Visit visit;
  visit.session.date = "2026-03-02";
  visit.session.person.code = "R-1";
  visit.session.person.mass_kg = visit_mass_kg;
  visit.results.push_back(std::move(result));
  auto screen = evaluate(std::move(visit), shipped());
  EXPECT_TRUE(screen.ok());
  return *screen;
}

bool noted(const Screen& screen, const std::string& code) {
  return std::any_of(screen.notes.begin(), screen.notes.end(), [&](const Note& note) { return note.code == code; });
}

// m g h: 594.6 J of 62 kg are 594.6 x 80 / 62 = 767.2 J of 80 kg (derived here), and the doubt with them.
TEST(VisitMass, WorkAndStiffnessAreToldForTheVisits) {
  TestResult raises = test::raises(Side::left, Knee::straight, 10);
  raises.mass_kg = 62;
  raises.values["work_j"] = {594.6, 9.1, 0.005};
  const Screen screen = screen_of(std::move(raises), 80);
  const Value& work = screen.results[0].values.at("work_j");
  EXPECT_NEAR(work.value, 767.2, 0.05);
  EXPECT_NEAR(work.u.value(), 11.74, 0.005);
  EXPECT_EQ(work.shared_relative_u, 0.005);
  EXPECT_EQ(screen.results[0].values.at("reps").value, 10);
  EXPECT_TRUE(noted(screen, "mass-differs"));

  TestResult hops = test::hops(Side::both, 200);
  hops.mass_kg = 80;
  hops.values["stiffness_kn_m"] = {24, std::nullopt, 0};
  hops.beats[0].values["stiffness_kn_m"] = {26, std::nullopt, 0};
  const Screen of_hops = screen_of(std::move(hops), 60);
  EXPECT_DOUBLE_EQ(of_hops.results[0].values.at("stiffness_kn_m").value, 18);
  EXPECT_DOUBLE_EQ(of_hops.results[0].beats[0].values.at("stiffness_kn_m").value, 19.5);
}

TEST(VisitMass, TheSameMassChangesNothing) {
  TestResult raises = test::raises(Side::left, Knee::straight, 10);
  raises.mass_kg = 62;
  raises.values["work_j"] = {594.6, 9.1, 0.005};
  const Screen screen = screen_of(std::move(raises), 62);
  EXPECT_EQ(screen.results[0].values.at("work_j").value, 594.6);
  EXPECT_FALSE(noted(screen, "mass-differs"));
}

}  // namespace
}  // namespace risetrace::visit
