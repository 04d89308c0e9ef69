#include "report/fhir_bundle.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <set>

#include "model/read_visit_models.h"
#include "place.h"
#include "report/name_uuid.h"
#include "report/sample_open_screen.h"

namespace risetrace::report {
namespace {

using nlohmann::json;

json bundle_of(const visit::Screen& screen) { return json::parse(fhir_bundle(screen, test::open_words(), "0.2.0")); }

std::vector<json> of_type(const json& bundle, const std::string& type) {
  std::vector<json> found;
  for (const json& entry : bundle["entry"]) {
    if (entry["resource"]["resourceType"] == type) found.push_back(entry["resource"]);
  }
  return found;
}

std::string code_of(const json& with_coding) { return with_coding["coding"][0]["code"]; }

json component(const json& observation, const std::string& key) {
  for (const json& one : observation.value("component", json::array())) {
    if (code_of(one["code"]) == key) return one;
  }
  return nullptr;
}

// The one of this quantity, side, knee and beat.
json number_of(const json& bundle, const std::string& quantity, const std::string& site, const std::string& knee,
               std::optional<double> beat = std::nullopt) {
  json found;
  int hits = 0;
  for (const json& one : of_type(bundle, "Observation")) {
    const json at = component(one, "beat");
    const json with_knee = component(one, "knee");
    const bool fits = code_of(one["code"]) == quantity && code_of(one["bodySite"]) == site &&
                      (knee.empty() ? with_knee.is_null() : with_knee["valueString"] == knee) &&
                      (beat ? !at.is_null() && at["valueQuantity"]["value"] == *beat : at.is_null());
    if (fits) found = one;
    hits += fits ? 1 : 0;
  }
  EXPECT_EQ(hits, 1) << quantity;
  return found;
}

constexpr const char* left_leg = "32153003";
constexpr const char* right_leg = "62175007";

TEST(FhirBundle, HasAnObservationANumber) {
  const visit::Screen screen = test::sample_open_screen();
  const json bundle = bundle_of(screen);
  std::size_t numbers = 0;
  for (const auto& result : screen.results) {
    numbers += result.values.size() + (result.pain.worst ? 1 : 0);
    for (const auto& beat : result.beats) numbers += beat.values.size();
  }
  EXPECT_EQ(of_type(bundle, "Observation").size(), numbers);
  const json height = number_of(bundle, "greatest_height_cm", left_leg, "bent");
  EXPECT_EQ(height["valueQuantity"]["value"], 8.1);
  EXPECT_EQ(height["valueQuantity"]["code"], "cm");
  EXPECT_EQ(height["valueQuantity"]["extension"][0]["valueDecimal"], 0.11);
  EXPECT_EQ(height["status"], "preliminary");
  EXPECT_EQ(height["effectiveDateTime"], "2026-03-02");
  EXPECT_EQ(height["code"]["text"], "Heel raises, knee bent: the greatest_height_cm");
  EXPECT_EQ(height["note"][0]["text"], "clip; scale: printed card; incline 0°; beat asked 60; low under 75 %");
  const json reps = number_of(bundle, "reps", right_leg, "straight");
  EXPECT_EQ(reps["valueQuantity"]["value"].dump(), "24");  // a count: no decimals
  EXPECT_EQ(reps["valueQuantity"]["code"], "{reps}");
  EXPECT_FALSE(reps["valueQuantity"].contains("extension"));  // its uncertainty is not known
}

TEST(FhirBundle, TellsTheBeatsApart) {
  const json bundle = bundle_of(test::sample_open_screen());
  const json slow = number_of(bundle, "contact_ms", left_leg, "", 140.0);
  EXPECT_EQ(slow["valueQuantity"]["value"], 280.5);
  EXPECT_EQ(slow["code"]["text"], "Hops at 140 per minute: the contact_ms");
  EXPECT_EQ(component(slow, "beat-kept")["valueBoolean"], false);
  EXPECT_EQ(number_of(bundle, "contact_ms", left_leg, "")["valueQuantity"]["value"], 271.0);
}

TEST(FhirBundle, NamesWhatMeasured) {
  const json bundle = bundle_of(test::sample_open_screen());
  std::map<std::string, std::string> versions;
  for (const json& device : of_type(bundle, "Device")) {
    versions["urn:uuid:" + device["id"].get<std::string>()] = device["version"][0]["value"];
    EXPECT_EQ(device["note"][0]["text"], "Not a medical device.");
  }
  ASSERT_EQ(versions.size(), 2U);  // the clips were measured by an earlier version than this one
  const json by_clip = number_of(bundle, "reps", left_leg, "straight");
  EXPECT_EQ(versions.at(by_clip["device"]["reference"]), "0.1.0");
  const json by_hand = number_of(bundle, "knee_to_wall_cm", left_leg, "");
  EXPECT_FALSE(by_hand.contains("device"));
  EXPECT_EQ(by_hand["method"]["text"], "by hand");
}

TEST(FhirBundle, KeepsThePersonAPseudonym) {
  const json patient = of_type(bundle_of(test::sample_open_screen()), "Patient").at(0);
  EXPECT_EQ(patient["identifier"][0]["value"], "R-031");
  EXPECT_EQ(patient["birthDate"], "1988");
  EXPECT_EQ(patient["gender"], "female");
  EXPECT_FALSE(patient.contains("name"));
  const json unknown = of_type(bundle_of(test::sample_open_refer()), "Patient").at(0);
  EXPECT_FALSE(unknown.contains("gender"));
  EXPECT_FALSE(unknown.contains("birthDate"));
}

TEST(FhirBundle, HoldsNothingThatWasTypedInFreely) {
  visit::Screen screen = test::sample_open_screen();
  screen.results[2].marker = std::string("by ") + test::invented_name;
  const std::string text = fhir_bundle(screen, test::open_words(), "0.2.0");
  EXPECT_EQ(text.find(test::invented_name), std::string::npos);
  EXPECT_EQ(text.find(screen.session.shoes), std::string::npos);
  EXPECT_EQ(text.find(screen.session.person.sport), std::string::npos);
  EXPECT_EQ(text.find(".mp4"), std::string::npos);
}

TEST(FhirBundle, ReportBeginsWithTheCautions) {
  const json report = of_type(bundle_of(test::sample_open_screen()), "DiagnosticReport").at(0);
  EXPECT_EQ(report["status"], "preliminary");
  EXPECT_EQ(report["conclusion"],
            "Answered yes: Is balance poor? Someone near. Without an answer: heart. It hurt too much. "
            "Strength is low on the left leg (likely). Begin with it. Not a medical device.");
  EXPECT_EQ(code_of(report["conclusionCode"][0]), "strength-first");
  const json refer = of_type(bundle_of(test::sample_open_refer()), "DiagnosticReport").at(0);
  EXPECT_EQ(refer["conclusion"],
            "Answered yes: Is one calf swollen? See a doctor today. No finding. Not a medical device.");
  EXPECT_FALSE(refer.contains("result"));
}

TEST(FhirBundle, WantsNoWordThatIsNotThere) {
  const std::string text = fhir_bundle(test::sample_open_screen(), test::open_words(), "0.2.0");
  for (const auto& observation : of_type(json::parse(text), "Observation")) {
    EXPECT_EQ(observation["code"]["text"].get<std::string>().find('['), std::string::npos) << observation["code"];
    EXPECT_EQ(observation.value("note", json::array()).dump().find("\"["), std::string::npos) << observation["note"];
  }
}

TEST(FhirBundle, IsTheSameForTheSameScreenAndAnotherForAnother) {
  visit::Screen screen = test::sample_open_screen();
  const std::string once = fhir_bundle(screen, test::open_words(), "0.2.0");
  EXPECT_EQ(once, fhir_bundle(screen, test::open_words(), "0.2.0"));
  screen.results[0].values["knee_to_wall_cm"].value += 0.1;
  const json other = bundle_of(screen);
  EXPECT_NE(other["id"], json::parse(once)["id"]);
  // Two places may give the same code to two people: no identifier follows from the code alone.
  EXPECT_NE(of_type(other, "Patient").at(0)["id"], of_type(json::parse(once), "Patient").at(0)["id"]);
}

TEST(FhirBundle, AQuantityThatIsNotListedHasNoUnitMadeUp) {
  visit::Screen screen = test::sample_open_screen();
  screen.results[0].values["heel_width_mm"] = {61.25, std::nullopt, 0.0};
  const json one = number_of(bundle_of(screen), "heel_width_mm", left_leg, "");
  EXPECT_EQ(one["valueQuantity"], json({{"value", 61.25}}));
  EXPECT_EQ(one["code"]["text"], "Lunge: heel_width_mm");
}

}  // namespace
}  // namespace risetrace::report
