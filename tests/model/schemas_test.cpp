// Every file of models/ against the schema beside it, which must also be able to refuse.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "place.h"
#include "report/schema_check.h"

namespace risetrace::model {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

std::vector<fs::path> shipped_files() {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(test::source_folder() / "models")) {
    if (entry.path().extension() == ".json") files.push_back(entry.path());
  }
  return files;
}

json read(const fs::path& file) {
  std::ifstream in(file);
  return json::parse(in);
}

std::string schema_of(const fs::path& file) { return file.stem().string() + ".schema.json"; }

TEST(Schemas, EveryShippedFileFitsItsOwnAndNamesIt) {
  const auto files = shipped_files();
  EXPECT_GE(files.size(), 4U);
  for (const fs::path& file : files) {
    const json document = read(file);
    EXPECT_EQ(document["$schema"], "schema/" + schema_of(file)) << file;
    EXPECT_EQ(test::misfit(schema_of(file), document.dump()), "") << file;
  }
}

TEST(Schemas, EachRefusesAMissingAnUnknownAndAnEmptyField) {
  for (const fs::path& file : shipped_files()) {
    const json whole = read(file);
    for (const auto& [name, value] : whole.items()) {
      if (name == "$schema") continue;
      json less = whole;
      less.erase(name);
      EXPECT_NE(test::misfit(schema_of(file), less.dump()), "") << file << " without " << name;
      json empty = whole;
      empty[name] = nullptr;
      EXPECT_NE(test::misfit(schema_of(file), empty.dump()), "") << file << " with nothing in " << name;
    }
    json more = whole;
    more["a_field_of_nobody"] = 1;
    EXPECT_NE(test::misfit(schema_of(file), more.dump()), "") << file;
  }
}

}  // namespace
}  // namespace risetrace::model
