#include "report/screen_json.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "report/json_number.h"
#include "report/screen_keys.h"
#include "report/screen_parts.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;  // keeps the promised order of fields

Json cautions_json(const visit::CautionVerdict& cautions) {
  const auto yes = [](const visit::Caution& one) { return Json{{"key", one.key}, {"means", key_of(one.means)}}; };
  const auto pain = [](const visit::PainFlag& one) { return Json{{"slot", one.slot}, {"worst", one.worst}}; };
  return {{"refer", cautions.refer},
          {"same_day", cautions.same_day},
          {"no_hops", cautions.no_hops},
          {"yes", list_json(cautions.yes, yes)},
          {"not_asked", cautions.not_asked},
          {"refer_not_asked", cautions.refer_not_asked},
          {"pain", list_json(cautions.pain, pain)}};
}

bool plain(const Json& value) { return !value.is_structured(); }

// A file name or a remark need not be UTF-8; JSON must be.
std::string spelt(const Json& value) { return value.dump(-1, ' ', false, Json::error_handler_t::replace); }

// Two spaces a level; a list of plain values stays on one line: a trace would else take a line a number.
void lay_out(const Json& value, std::size_t level, std::string& out) {
  const bool on_one_line =
      !value.is_structured() || value.empty() || (value.is_array() && std::all_of(value.begin(), value.end(), plain));
  if (on_one_line) {
    out += spelt(value);
    return;
  }
  const std::string indent(2 * (level + 1), ' ');
  out += value.is_object() ? "{\n" : "[\n";
  bool first = true;
  for (const auto& item : value.items()) {
    if (!first) out += ",\n";
    first = false;
    out += indent;
    if (value.is_object()) out += spelt(item.key()) + ": ";
    lay_out(item.value(), level + 1, out);
  }
  out += "\n" + std::string(2 * level, ' ') + (value.is_object() ? "}" : "]");
}

}  // namespace

std::string screen_json(const visit::Screen& screen, const std::string& program_version) {
  const auto used = [](const model::UsedFile& one) { return Json{{"file", one.file}, {"own", one.own}}; };
  const Json document = {{"schema", "risetrace/screen/1"},
                         {"cautions", cautions_json(screen.cautions)},
                         {"program", {{"name", "risetrace"}, {"version", program_version}}},
                         {"session", session_json(screen.session)},
                         {"results", list_json(screen.results, result_of_test_json)},
                         {"comparison", comparison_json(screen.comparison)},
                         {"reading", reading_json(screen.reading)},
                         {"plan", plan_json(screen.plan)},
                         {"next_steps", list_json(screen.next_steps, next_step_json)},
                         {"trends", list_json(screen.trends, trend_json)},
                         {"models_used", list_json(screen.models.used, used)},
                         {"notes", notes_json(screen.notes)}};
  std::string out;
  lay_out(document, 0, out);
  return out + "\n";
}

}  // namespace risetrace::report
