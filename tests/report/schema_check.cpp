#include "report/schema_check.h"

#include <fstream>
#include <nlohmann/json.hpp>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "place.h"

namespace risetrace::test {

using valijson::adapters::NlohmannJsonAdapter;

std::string misfit(const std::string& schema_file, const std::string& document) {
  return misfit_with(source_folder() / "models/schema" / schema_file, document);
}

std::string misfit_with(const std::filesystem::path& schema_file, const std::string& document) {
  std::ifstream in(schema_file);
  const nlohmann::json schema_json = nlohmann::json::parse(in);
  valijson::Schema schema;
  valijson::SchemaParser().populateSchema(NlohmannJsonAdapter(schema_json), schema);
  const nlohmann::json parsed = nlohmann::json::parse(document);
  valijson::ValidationResults found;
  if (valijson::Validator().validate(schema, NlohmannJsonAdapter(parsed), &found)) return "";
  std::string text = "misfit:";
  valijson::ValidationResults::Error error;
  while (found.popError(error)) {
    for (const std::string& step : error.context) text += step;
    text += " " + error.description + "\n";
  }
  return text;
}

}  // namespace risetrace::test
