// docs/screen-files.md names every field, column and code system that is written.
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>

#include "model/read_visit_models.h"
#include "place.h"
#include "report/fhir_bundle.h"
#include "report/sample_open_screen.h"
#include "report/screen_csv.h"
#include "report/screen_json.h"

namespace risetrace::report {
namespace {

using nlohmann::json;

// Everything that stands in code marks, cut into names.
std::set<std::string> names_in_docs() {
  std::ifstream in(test::source_folder() / "docs/screen-files.md");
  const std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  std::set<std::string> names;
  const std::regex marked("`([^`\n]+)`");
  const std::regex name(R"([a-z0-9][a-z0-9_:-]*)");
  for (std::sregex_iterator it(text.begin(), text.end(), marked), end; it != end; ++it) {
    const std::string inside = (*it)[1];
    names.insert(inside);
    for (std::sregex_iterator part(inside.begin(), inside.end(), name); part != end; ++part) names.insert(part->str());
  }
  return names;
}

void fields_of(const json& part, std::set<std::string>& fields) {
  for (const auto& item : part.items()) {
    const bool keyed_by_data = item.key() == "values" || item.key() == "by_hand";
    if (part.is_object()) fields.insert(item.key());
    if (!keyed_by_data && item.value().is_structured()) fields_of(item.value(), fields);
  }
}

TEST(ScreenDocs, NameEveryFieldOfScreenJson) {
  json document = json::parse(screen_json(test::sample_open_screen(), "0.1.0"));
  document["session"]["cautions"].clear();  // keyed by the questions
  std::set<std::string> fields;
  fields_of(document, fields);
  EXPECT_GE(fields.size(), 100U);
  const auto names = names_in_docs();
  for (const std::string& field : fields) EXPECT_TRUE(names.contains(field)) << field;
}

TEST(ScreenDocs, NameEveryColumn) {
  const auto names = names_in_docs();
  for (const std::string& table : {values_csv(test::sample_open_refer()), comparison_csv(test::sample_open_refer())}) {
    std::istringstream head(table.substr(0, table.find('\r')));
    int columns = 0;
    for (std::string column; std::getline(head, column, ','); ++columns) EXPECT_TRUE(names.contains(column)) << column;
    EXPECT_GE(columns, 20);
  }
}

TEST(ScreenDocs, NameEveryCodeSystemAndComponent) {
  const std::string text = fhir_bundle(test::sample_open_screen(), test::open_words(), "0.2.0");
  const auto names = names_in_docs();
  std::set<std::string> systems;
  const json bundle = json::parse(text);
  for (const json& entry : bundle["entry"]) {
    const json& resource = entry["resource"];
    for (const char* coded : {"code", "method"}) {
      if (resource.contains(coded) && resource[coded].contains("coding")) {
        systems.insert(resource[coded]["coding"][0]["system"]);
      }
    }
    for (const json& code : resource.value("conclusionCode", json::array()))
      systems.insert(code["coding"][0]["system"]);
    for (const json& component : resource.value("component", json::array())) {
      systems.insert(component["code"]["coding"][0]["system"]);
      EXPECT_TRUE(names.contains(component["code"]["coding"][0]["code"])) << component;
    }
  }
  EXPECT_EQ(systems.size(), 4U);
  for (const std::string& system : systems) EXPECT_TRUE(names.contains(system)) << system;
}

}  // namespace
}  // namespace risetrace::report
