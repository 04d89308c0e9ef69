#include <fstream>
#include <nlohmann/json.hpp>

#include "model/fields.h"
#include "model/read_visit_models.h"

namespace risetrace::model {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

std::string languages_of(const fs::path& words, const std::string& audience) {
  std::string all;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(words, ignored)) {
    const std::string stem = entry.path().stem().string();
    if (!stem.starts_with(audience + "-")) continue;
    all += (all.empty() ? "" : ", ") + stem.substr(audience.size() + 1);
  }
  return all;
}

}  // namespace

Result<Wording> read_wording(const fs::path& folder, const std::string& audience, const std::string& language) {
  const fs::path words = folder / "words";
  const bool harmless =
      language.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-") == std::string::npos;
  const fs::path file = words / (audience + "-" + language + ".json");
  if (!harmless || !fs::exists(file)) {
    return Error{Fault::option_wrong, "there is no wording in '" + language + "'",
                 "use one of " + languages_of(words, audience)};
  }
  std::ifstream in(file);
  const json parsed = json::parse(in, nullptr, false);
  if (parsed.is_discarded()) return Error{Fault::model_unreadable, file.string() + ": is not JSON", ""};
  Wording wording{language, audience, ".", {}};
  Complaint complaint{file.filename().string(), ""};
  {
    Fields fields(parsed, "", complaint);
    std::string ignored;
    std::string schema;
    fields.text("$schema", ignored);
    fields.text("schema", schema);
    if (schema != "risetrace/words/1") fields.complain("schema", "must be \"risetrace/words/1\"");
    fields.text("decimal_mark", wording.decimal_mark);
    fields.need("words");
    if (const json* table = fields.raw("words"); table != nullptr && table->is_object()) {
      for (const auto& [key, text] : table->items()) {
        if (!text.is_string()) fields.complain("words", "must hold text for " + key);
        if (text.is_string()) wording.words[key] = text.get<std::string>();
      }
    }
  }
  if (!complaint.text.empty()) return Error{Fault::model_unreadable, file.string() + ": " + complaint.text, ""};
  return wording;
}

}  // namespace risetrace::model
