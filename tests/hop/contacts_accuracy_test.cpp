// Touchdowns and take-offs from made clearances against the instants they were made with: bias, spread, and whether the
// stated uncertainty is honest. What a picture adds to this is another matter (tests/sole, docs/accuracy.md).
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <string>

#include "hop/find_contacts.h"
#include "made_clearance.h"

namespace risetrace::hop {
namespace {

struct Errors {
  std::vector<double> s;
  std::vector<double> over_u;

  void add(double error_s, double u_s) {
    s.push_back(error_s);
    over_u.push_back(error_s / u_s);
  }
  [[nodiscard]] double bias_ms() const {
    double sum = 0;
    for (const double e : s) sum += e;
    return 1000 * sum / static_cast<double>(s.size());
  }
  [[nodiscard]] double sd_ms() const {
    double sum = 0;
    for (const double e : s) sum += std::pow(1000 * e - bias_ms(), 2);
    return std::sqrt(sum / static_cast<double>(s.size() - 1));
  }
  [[nodiscard]] double within(double times_u) const {
    const auto in = std::count_if(over_u.begin(), over_u.end(), [&](double z) { return std::abs(z) <= times_u; });
    return static_cast<double>(in) / static_cast<double>(over_u.size());
  }
};

struct Found {
  Errors touchdown, takeoff, contact, flight;
  int missing = 0;
};

void compare(const test::MadeClip& clip, bool scaled, Found& found) {
  ContactOptions options;
  if (scaled) options.px_per_cm = clip.px_per_cm;
  const Contacts contacts = find_contacts(clearance_of(clip), options);
  const test::MadeEvents truth = events_of(clip);
  ASSERT_EQ(contacts.contacts.size(), truth.touchdowns_s.size() + 1);
  const auto& all = contacts.contacts;
  for (std::size_t i = 1; i < all.size(); ++i) {
    const bool stays = i >= truth.takeoffs_s.size();
    if (!all[i].touchdown || !all[i - 1].takeoff || (!stays && !all[i].takeoff)) {
      ++found.missing;
      continue;
    }
    const Instant& down = *all[i].touchdown;
    const Instant& left = *all[i - 1].takeoff;
    const double down_error = down.time_s - truth.touchdowns_s[i - 1];
    const double left_error = left.time_s - truth.takeoffs_s[i - 1];
    found.touchdown.add(down_error, down.time_s_u);
    found.takeoff.add(left_error, left.time_s_u);
    found.flight.add(down_error - left_error, std::hypot(down.time_s_u, left.time_s_u));
    if (stays) continue;
    found.contact.add(all[i].takeoff->time_s - truth.takeoffs_s[i] - down_error,
                      std::hypot(down.time_s_u, all[i].takeoff->time_s_u));
  }
}

struct Condition {
  const char* name;
  double noise_px = 0.1;
  test::Leaving leaving = test::Leaving::at_once;
  double soft_s = 0.0;
  double give_cm = 0.0;
  double exposure_s = 0.0;
  double own_bend = 0.0;
  bool scaled = true;
  double form_ms = 0.0;        // bias that a take-off's form costs beyond what was aimed at
  double of_step_at_60 = 0.1;  // spread of an interval at 60 frames a second
};

struct Case {
  double fps;
  Condition condition;
};

// NOLINTNEXTLINE(readability-identifier-naming): the name is GoogleTest's
void PrintTo(const Case& of, std::ostream* out) { *out << of.condition.name << ", " << of.fps << " fps"; }

Found found_in(const Case& of) {
  Found found;
  for (unsigned seed = 1; seed <= 7; ++seed) {
    test::MadeClip clip = test::uneven_hops(12, seed);
    clip.fps = of.fps;
    clip.jitter_s = 0.0002;
    clip.noise_px = of.condition.noise_px;
    clip.leaving = of.condition.leaving;
    clip.soft_s = of.condition.soft_s;
    clip.give_cm = of.condition.give_cm;
    clip.exposure_s = of.condition.exposure_s;
    clip.own_bend = of.condition.own_bend;
    compare(clip, of.condition.scaled, found);
  }
  return found;
}

void record(const Found& found) {
  const auto say = [](const char* what, const Errors& e) {
    testing::Test::RecordProperty(std::string(what) + "_bias_ms", std::to_string(e.bias_ms()));
    testing::Test::RecordProperty(std::string(what) + "_sd_ms", std::to_string(e.sd_ms()));
    testing::Test::RecordProperty(std::string(what) + "_within_u", std::to_string(e.within(1)));
    testing::Test::RecordProperty(std::string(what) + "_within_2u", std::to_string(e.within(2)));
  };
  say("touchdown", found.touchdown);
  say("takeoff", found.takeoff);
  say("contact", found.contact);
  say("flight", found.flight);
}

class MadeContacts : public testing::TestWithParam<Case> {};

// What was aimed at: an interval's spread under a tenth of a frame, its bias under 0.5, 1 and 2 ms at 240, 120 and 60
// frames a second; 95 % within twice the stated uncertainty (here 90 %: 84 of them, and a take-off's softness is common
// to a clip's). Clearances to 0.1 px at 10 px a cm, or as the condition says. With 0.4 px no more than that is to be
// had: 0.4 px at 98 cm/s are 0.41 ms for one clearance, of which a few say where an event is.
// Missed, and so allowed for here: a foot that leaves with its missing speed fading as an exponential is seen to leave
// 0.7 to 0.9 ms early at 240 a second; at 60 a second soft take-offs and long exposures spread by 0.10 to 0.13 frames.
TEST_P(MadeContacts, AreTheOnesMade) {
  const auto& [fps, condition] = GetParam();
  const Found found = found_in(GetParam());
  record(found);
  EXPECT_EQ(found.missing, 0);
  const double most_bias_ms = (fps > 200 ? 0.5 : fps > 100 ? 1.0 : 2.0) + condition.form_ms;
  const double of_step = fps > 100 ? 0.1 : condition.of_step_at_60;
  const double noise_ms = condition.noise_px > 0.2 ? (fps > 200 ? 2 : 2.5) * condition.noise_px / 0.98 : 0;
  for (const Errors* errors : {&found.touchdown, &found.takeoff, &found.contact, &found.flight}) {
    EXPECT_LT(std::abs(errors->bias_ms()), most_bias_ms);
    EXPECT_LT(errors->sd_ms(), std::max(of_step * 1000 / fps, noise_ms));
    EXPECT_GT(errors->within(2), 0.9);
  }
}

std::vector<Case> all_cases() {
  using test::Leaving;
  std::vector<Case> cases;
  for (const double fps : {240.0, 120.0, 60.0}) {
    cases.push_back({fps, {.name = "hinge"}});
    cases.push_back({fps, {.name = "noise", .noise_px = 0.4}});
    cases.push_back({fps, {.name = "giving", .give_cm = 0.4}});
    cases.push_back(
        {fps, {.name = "softly", .leaving = Leaving::fading, .soft_s = 0.004, .form_ms = 0.5, .of_step_at_60 = 0.13}});
    cases.push_back({fps, {.name = "exposed", .exposure_s = 0.5 / fps, .of_step_at_60 = 0.13}});
    cases.push_back({fps, {.name = "drawn", .own_bend = 0.3}});
    cases.push_back({fps, {.name = "unscaled", .scaled = false}});
    cases.push_back({fps,
                     {.name = "together",
                      .noise_px = 0.2,
                      .leaving = Leaving::fading,
                      .soft_s = 0.004,
                      .give_cm = 0.3,
                      .exposure_s = 0.002,
                      .own_bend = 0.1,
                      .form_ms = 0.6,
                      .of_step_at_60 = 0.13}});
  }
  return cases;
}

INSTANTIATE_TEST_SUITE_P(Conditions, MadeContacts, testing::ValuesIn(all_cases()), [](const auto& of) {
  return std::string(of.param.condition.name) + "_" + std::to_string(std::lround(of.param.fps));
});

// A foot that gathers speed as half a cosine over 6 ms has risen by a twentieth of a pixel after 1.3 ms: no picture
// shows that. The take-off is then found late, and what is stated does not know it. How feet do leave is not settled.
TEST(MadeContact, AGentleTakeoffIsFoundLate) {
  for (const double fps : {240.0, 120.0, 60.0}) {
    const Found found = found_in({fps, {.name = "gentle", .leaving = test::Leaving::gathering, .soft_s = 0.006}});
    RecordProperty("takeoff_bias_ms_" + std::to_string(std::lround(fps)), std::to_string(found.takeoff.bias_ms()));
    EXPECT_GT(found.takeoff.bias_ms(), 0.9);
    EXPECT_LT(found.takeoff.bias_ms(), 3.0);
    EXPECT_LT(std::abs(found.touchdown.bias_ms()), 0.3);
  }
}

// Nine tenths of the frame's time exposed, as indoors: a landing stays where it was; a take-off comes out early, for
// blur about it passes for softness. At 60 a second (15 ms) it is 4 ms early, and what is stated does not know it.
TEST(MadeContact, ALongExposureShowsTakeoffsEarly) {
  for (const double fps : {240.0, 120.0, 60.0}) {
    const Found found = found_in({fps, {.name = "long exposure", .exposure_s = 0.9 / fps}});
    RecordProperty("takeoff_bias_ms_" + std::to_string(std::lround(fps)), std::to_string(found.takeoff.bias_ms()));
    RecordProperty("takeoff_within_2u_" + std::to_string(std::lround(fps)), std::to_string(found.takeoff.within(2)));
    EXPECT_LT(std::abs(found.touchdown.bias_ms()), 60 / fps);
    EXPECT_LT(std::abs(found.takeoff.bias_ms()), 300 / fps);
    EXPECT_TRUE(fps < 100 || found.takeoff.within(2) > 0.9) << found.takeoff.within(2);
  }
}

}  // namespace
}  // namespace risetrace::hop
