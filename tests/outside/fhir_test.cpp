// What a visit gives for a patient record, against HL7 FHIR R4 (4.0.1): the published JSON schema, and the rules of the
// specification that the schema does not hold. UUIDs against RFC 9562.
#include <gtest/gtest.h>

#include <filesystem>
#include <functional>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "model/read_visit_models.h"
#include "place.h"
#include "report/fhir_bundle.h"
#include "report/name_uuid.h"
#include "report/sample_open_screen.h"
#include "report/schema_check.h"

namespace risetrace {
namespace {

using nlohmann::json;

std::string bundle_text(const visit::Screen& screen) {
  return report::fhir_bundle(screen, test::open_words(), "0.2.0");
}

std::vector<json> bundles() {
  visit::Screen sparse = test::sample_open_screen();
  sparse.results.resize(1);
  sparse.session.person.birth_year.reset();
  sparse.reading.findings.clear();
  return {json::parse(bundle_text(test::sample_open_screen())), json::parse(bundle_text(test::sample_open_refer())),
          json::parse(bundle_text(sparse))};
}

std::string misfit(const json& bundle) {
  return test::misfit_with(test::source_folder() / "tests/outside/fhir/r4_cut.schema.json", bundle.dump());
}

// Every object of the document, with the name of the field that it stands in.
void each_object(const json& part, const std::string& name, const std::function<void(const json&, std::string)>& see) {
  if (!part.is_structured()) return;
  if (part.is_object()) see(part, name);
  for (const auto& item : part.items()) each_object(item.value(), part.is_object() ? item.key() : name, see);
}

TEST(Fhir, FitsThePublishedSchema) {
  for (const json& bundle : bundles()) EXPECT_EQ(misfit(bundle), "");
}

TEST(Fhir, PublishedSchemaRefusesWhatIsNotR4) {
  const json whole = bundles()[0];
  const auto spoilt = [&](const std::string& pointer, const json& value) {
    json copy = whole;
    copy[json::json_pointer(pointer)] = value;
    return misfit(copy);
  };
  EXPECT_NE(spoilt("/entry/0/resource/statuss", "final"), "");
  EXPECT_NE(spoilt("/entry/0/resource/resourceType", "Report"), "");
  EXPECT_NE(spoilt("/entry/0/resource/effectiveDateTime", "2.3.2026"), "");
  EXPECT_NE(spoilt("/entry/0/resource/result", "none"), "");
  EXPECT_NE(spoilt("/entry/1/resource/birthDate", "88"), "");
  EXPECT_NE(spoilt("/entry/1/resource/gender", "f"), "");
  EXPECT_NE(spoilt("/entry/4/resource/valueQuantity/value", "9.5"), "");
  EXPECT_NE(spoilt("/entry/4/resource/bodySite", json{{"site", "left"}}), "");
  EXPECT_NE(spoilt("/entry/4/resource/id", "of the left leg"), "");
  EXPECT_NE(spoilt("/type", "box"), "");
}

// R4: elements with a least cardinality of 1 that the JSON schema lets be missing.
TEST(Fhir, HasTheElementsThatMustBeThere) {
  const std::map<std::string, std::vector<std::string>> must = {{"Observation", {"status", "code"}},
                                                                {"DiagnosticReport", {"status", "code"}}};
  for (const json& bundle : bundles()) {
    EXPECT_TRUE(bundle.contains("type"));
    each_object(bundle, "", [&](const json& object, const std::string& name) {
      const auto needed = must.find(object.value("resourceType", ""));
      if (needed != must.end()) {
        for (const std::string& element : needed->second) EXPECT_TRUE(object.contains(element)) << element;
      }
      if (name == "component") {
        EXPECT_TRUE(object.contains("code"));
      }
      if (name == "deviceName") {
        EXPECT_TRUE(object.contains("name") && object.contains("type"));
      }
      if (name == "version") {
        EXPECT_TRUE(object.contains("value"));
      }
      if (name == "note") {
        EXPECT_TRUE(object.contains("text"));
      }
      if (name == "extension") {
        EXPECT_TRUE(object.contains("url"));
      }
    });
  }
}

TEST(Fhir, EveryReferenceLeadsToAnEntryOfTheRightKind) {
  for (const json& bundle : bundles()) {
    std::map<std::string, std::string> kinds;
    for (const json& entry : bundle["entry"]) {
      const std::string url = entry["fullUrl"];
      EXPECT_EQ(url, "urn:uuid:" + entry["resource"]["id"].get<std::string>());
      EXPECT_TRUE(kinds.emplace(url, entry["resource"]["resourceType"]).second) << "bdl-7: twice " << url;
    }
    const std::map<std::string, std::string> wanted = {
        {"subject", "Patient"}, {"device", "Device"}, {"result", "Observation"}};
    int references = 0;
    each_object(bundle, "", [&](const json& object, const std::string& name) {
      if (!object.contains("reference")) return;
      ++references;
      const auto found = kinds.find(object["reference"]);
      ASSERT_NE(found, kinds.end()) << object["reference"];
      EXPECT_EQ(found->second, wanted.at(name));
    });
    EXPECT_GE(references, 1);
  }
}

TEST(Fhir, EveryUcumCodeIsOneOfOurQuantities) {
  std::set<std::string> known;
  for (const model::Quantity& quantity : test::open_norms().quantities) known.insert(quantity.ucum);
  int units = 0;
  for (const json& bundle : bundles()) {
    each_object(bundle, "", [&](const json& object, const std::string&) {
      if (object.value("system", "") != "http://unitsofmeasure.org") return;
      ++units;
      EXPECT_TRUE(known.contains(object.value("code", ""))) << object;
    });
  }
  EXPECT_GE(units, 30);
}

// Invariants of R4 by their names in the specification.
TEST(Fhir, KeepsTheInvariants) {
  for (const json& bundle : bundles()) {
    each_object(bundle, "", [](const json& object, const std::string& name) {
      if (object.contains("code") && object.contains("value") && !object["code"].is_object()) {
        EXPECT_TRUE(object.contains("system")) << "qty-3: " << object;
      }
      int values = 0;
      for (const auto& item : object.items()) values += item.key().starts_with("value") && item.key() != "value";
      EXPECT_LE(values, 1) << "one value[x] only: " << object;
      if (name == "extension") {
        EXPECT_EQ(values, 1) << "ext-1: " << object;
      }
      EXPECT_FALSE(object.empty()) << "ele-1, in " << name;
      for (const auto& item : object.items()) {
        EXPECT_FALSE(item.value().is_null()) << item.key();
        EXPECT_FALSE(item.value().is_array() && item.value().empty()) << item.key();
        EXPECT_FALSE(item.value().is_string() && item.value() == "") << item.key();
      }
      if (object.value("resourceType", "") != "Observation") return;
      EXPECT_TRUE(values == 1 || object.contains("component")) << "a value, or components: " << object;
      for (const json& part : object.value("component", json::array())) {
        EXPECT_FALSE(values == 1 && part["code"] == object["code"]) << "obs-7: " << object;
      }
    });
  }
}

TEST(Fhir, NoFieldHoldsAName) {
  for (const json& bundle : bundles()) {
    EXPECT_EQ(bundle.dump().find(test::invented_name), std::string::npos);
    for (const json& entry : bundle["entry"]) {
      for (const char* field : {"name", "telecom", "address", "photo", "contact", "text", "performer",
                                "resultsInterpreter", "generalPractitioner", "owner"}) {
        EXPECT_FALSE(entry["resource"].contains(field)) << field;
      }
    }
  }
}

TEST(Fhir, IdentifiersAreUuidsOfVersion5) {
  const std::regex version_5("[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}");
  for (const json& bundle : bundles()) {
    for (const json& entry : bundle["entry"]) {
      EXPECT_TRUE(std::regex_match(entry["resource"]["id"].get<std::string>(), version_5)) << entry["resource"]["id"];
    }
  }
  // RFC 9562, appendix A.4.
  EXPECT_EQ(report::name_uuid("6ba7b810-9dad-11d1-80b4-00c04fd430c8", "www.example.com"),
            "2ed6657d-e927-568b-95e1-2665a8aea6a2");
}

// The sentences that the bundle asks for are in the words that are shipped.
TEST(Fhir, ShippedWordsHaveEverySentence) {
  const auto folder = test::source_folder() / "models";
  if (!std::filesystem::exists(folder / "words")) GTEST_SKIP() << "no words are shipped yet";
  for (const char* language : {"en", "de"}) {
    const auto words = model::read_wording(folder, "clinician", language);
    ASSERT_TRUE(words.ok()) << sentence(words.error());
    for (const auto& screen : {test::sample_open_screen(), test::sample_open_refer()}) {
      const json bundle = json::parse(report::fhir_bundle(screen, *words, "0.2.0"));
      EXPECT_EQ(misfit(bundle), "");
      each_object(bundle, "", [](const json& object, const std::string&) {
        for (const auto& item : object.items()) {
          if (!item.value().is_string()) continue;
          EXPECT_FALSE(std::regex_search(item.value().get<std::string>(), std::regex(R"(\[[a-z-]+\.[^\]]*\])")))
              << item.value();
        }
      });
    }
  }
}

}  // namespace
}  // namespace risetrace
