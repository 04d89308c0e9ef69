#include "serve/session_fields.h"

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/calendar.h"
#include "base/person_code.h"
#include "serve/job_state.h"
#include "serve/read_json.h"
#include "serve/slots.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

struct Field {
  const char* name;
  json::value_t kind;
};

constexpr std::array session_fields = {
    Field{"date", json::value_t::string},     Field{"person", json::value_t::object},
    Field{"cautions", json::value_t::object}, Field{"shoes", json::value_t::string},
    Field{"tester", json::value_t::string},   Field{"remark", json::value_t::string},
    Field{"tests", json::value_t::array},     Field{"training_log", json::value_t::object}};

json object_of(const std::string& text, const char* what) {
  json parsed = read_json(text);
  if (!parsed.is_object()) throw wrong_field(std::string(what) + " must be a JSON object");
  return parsed;
}

std::string text_of(const json& value) { return value.dump(-1, ' ', false, json::error_handler_t::replace); }

void check_person(const json& session) {
  const json person = session.value("person", json::object());
  if (!person.is_object()) throw wrong_field("session.person must be an object");
  const json code = person.value("code", json());
  if (!code.is_string() || !is_person_code(code.get<std::string>())) {
    throw wrong_field("session.person.code must be a code of up to 40 letters, digits, dots, dashes; never a name");
  }
  const json date = session.value("date", json());
  if (!date.is_string() || !day_number(date.get<std::string>())) {
    throw wrong_field("session.date must be a day like 2026-03-02");
  }
}

// What of an entry of `tests` names which test it is; null where it is none, or one that cannot be.
const TestSlot* slot_of(const json& entry) {
  if (!entry.is_object()) return nullptr;
  std::string key;
  for (const char* part : {"test", "side", "knee"}) {
    const json value = entry.value(part, json());
    if (value.is_string()) key += (key.empty() ? "" : "/") + value.get<std::string>();
  }
  return find_slot_by_key(key);
}

// Files are ours to name, so an entry's are not taken.
json without_files(const json& tests) {
  json kept = json::array();
  for (json entry : tests) {
    const TestSlot* slot = slot_of(entry);
    if (slot == nullptr) throw wrong_field("session.tests holds an entry that is none of the tests");
    for (const json& other : kept) {
      if (slot_of(other) == slot) throw wrong_field("session.tests holds two entries for " + slot->key);
    }
    if (entry.contains("keep_clip") && !entry["keep_clip"].is_boolean()) {
      throw wrong_field("session.tests: keep_clip of " + slot->key + " must be true or false");
    }
    for (const char* name : {"clip", "result", "result_of"}) entry.erase(name);
    kept.push_back(std::move(entry));
  }
  return kept;
}

bool has_by_hand(const json& entry) {
  const json by_hand = entry.value("by_hand", json());
  return by_hand.is_object() && !by_hand.empty();
}

json entry_of(const Draft& draft, const TestSlot& slot) {
  const json session = read_json(draft.session_json);
  for (const json& entry : session.value("tests", json::array())) {
    if (slot_of(entry) == &slot) return entry;
  }
  json entry = {{"test", key_of(slot.test)}, {"side", key_of(slot.side)}};
  if (slot.knee != Knee::not_stated) entry["knee"] = key_of(slot.knee);
  return entry;
}

// One option of `measure`: what the session calls it, and which numbers it takes.
struct Option {
  const char* field;
  const char* option;
  int numbers;  // 1, or 2 for a place
};

constexpr std::array options = {Option{"card_offset_cm", "--card-offset", 1},
                                Option{"distance_m", "--distance", 1},
                                Option{"px_per_cm", "--px-per-cm", 1},
                                Option{"heel_px", "--heel", 2},
                                Option{"forefoot_px", "--forefoot", 2},
                                Option{"ankle_px", "--ankle", 2},
                                Option{"knee_px", "--knee-at", 2},
                                Option{"hip_px", "--hip", 2},
                                Option{"toe_px", "--toe", 2},
                                Option{"wall_px", "--wall", 1},
                                Option{"end_fraction", "--end-fraction", 1},
                                Option{"end_after", "--end-after", 1},
                                Option{"reference_reps", "--reference-reps", 1},
                                Option{"beat_bpm", "--beat", 1},
                                Option{"capture_fps", "--capture-fps", 1}};

const Option* find_option(const std::string& name) {
  const auto* found =
      std::find_if(options.begin(), options.end(), [&](const Option& one) { return name == one.field; });
  return found == options.end() ? nullptr : found;
}

std::string number_text(const json& number, const std::string& name) {
  const double value = number.is_number() ? number.get<double>() : std::nan("");
  if (!std::isfinite(value)) throw wrong_field(name + " must be a number");
  std::ostringstream text;
  text.precision(10);
  text << value;
  return text.str();
}

std::string numbers_text(const json& value, const Option& option) {
  const std::string name = std::string("options.") + option.field;
  if (option.numbers == 1) return number_text(value, name);
  if (!value.is_array() || value.size() != 2) throw wrong_field(name + " must be a list of x and y");
  return number_text(value[0], name) + "," + number_text(value[1], name);
}

// In one word each, so that a negative number is not taken for an option.
std::vector<std::string> arguments_of(const json& given) {
  std::vector<std::string> words;
  for (const auto& [name, value] : given.items()) {
    if (value.is_null()) continue;
    if (name == "card") {
      if (value != "tags" && value != "id-1" && value != "none") {
        throw wrong_field("options.card must be one of tags, id-1, none");
      }
      words.push_back("--card=" + value.get<std::string>());
      continue;
    }
    const Option* found = find_option(name);
    if (found == nullptr) throw wrong_field("options has a field '" + shown_name(name) + "' that is not known");
    words.push_back(std::string(found->option) + "=" + numbers_text(value, *found));
  }
  return words;
}

}  // namespace

bool is_option(const std::string& name) { return name == "card" || find_option(name) != nullptr; }

std::string with_fields(const std::string& session_json, const std::string& fields_json) {
  json session = object_of(session_json, "the session");
  const json fields = object_of(fields_json, "session");
  for (const auto& [name, value] : fields.items()) {
    if (name == "schema" || name == "$schema") continue;
    const auto* known = std::find_if(session_fields.begin(), session_fields.end(),
                                     [&, &given_name = name](const Field& field) { return given_name == field.name; });
    if (known == session_fields.end())
      throw wrong_field("session has a field '" + shown_name(name) + "' that is not known");
    if (value.is_null()) {
      session.erase(name);
    } else if (value.type() != known->kind) {
      throw wrong_field("session." + name + " is of the wrong kind");
    } else {
      session[name] = name == "tests" ? without_files(value) : value;
    }
  }
  check_person(session);
  return text_of(session);
}

std::string new_session(const std::string& code, const std::string& date, const std::string& tester) {
  json session = {
      {"schema", "risetrace/session/1"}, {"date", date}, {"person", {{"code", code}}}, {"tests", json::array()}};
  if (!tester.empty()) session["tester"] = tester;
  check_person(session);
  return text_of(session);
}

std::string session_for_page(const std::string& kept_session_json) {
  json session = object_of(kept_session_json, "the session");
  session.erase("earlier");
  session.erase("training_log");
  session["tests"] = without_files(session.value("tests", json::array()));
  check_person(session);
  return text_of(session);
}

std::string checked_options(const std::string& options_json) {
  const json given = object_of(options_json, "options");
  arguments_of(given);
  return text_of(given);
}

std::vector<std::string> option_arguments(const std::string& options_json) {
  return arguments_of(object_of(options_json, "options"));
}

std::vector<std::string> measure_arguments(const Draft& draft, const std::string& slot_name) {
  const TestSlot& slot = *find_slot(slot_name);
  std::vector<std::string> words = {std::string("--test=") + key_of(slot.test),
                                    std::string("--side=") + key_of(slot.side)};
  if (slot.knee != Knee::not_stated) words.push_back(std::string("--knee=") + key_of(slot.knee));
  const json session = read_json(draft.session_json);
  const json mass = session.value("person", json::object()).value("mass_kg", json());
  if (mass.is_number()) words.push_back("--mass=" + number_text(mass, "person.mass_kg"));
  const auto test = draft.tests.find(slot_name);
  json given = test == draft.tests.end() ? json::object() : read_json(test->second.options_json);
  if (given.empty()) given = entry_of(draft, slot).value("options", json::object());
  const auto more = arguments_of(given);
  words.insert(words.end(), more.begin(), more.end());
  return words;
}

std::string session_for_screen(const Draft& draft, const SessionFile& file) {
  json session = read_json(draft.session_json);
  session["schema"] = "risetrace/session/1";
  session.erase("training_log");
  json tests = json::array();
  for (const TestSlot& slot : all_slots()) {
    json entry = entry_of(draft, slot);
    const auto found = draft.tests.find(slot.name);
    const bool measured = found != draft.tests.end() && !found->second.measured_at.empty();
    if (has_by_hand(entry)) {
      entry.erase("keep_clip");
    } else if (measured) {
      entry.erase("by_hand");
      entry["result"] = slot.name + "/result";
      if (entry.value("keep_clip", json()) == true && !found->second.clip_file.empty()) {
        entry["result_of"] = slot.name + "/" + found->second.clip_file;
      } else {
        entry.erase("keep_clip");
      }
    } else {
      continue;
    }
    entry.erase("options");  // they are of measuring, which is done
    tests.push_back(std::move(entry));
  }
  session["tests"] = tests;
  if (!file.earlier.empty()) session["earlier"] = file.earlier;
  if (file.has_log) session["training_log"] = "training-log.json";
  return session.dump(1, ' ', false, json::error_handler_t::replace) + "\n";
}

std::optional<Refusal> why_no_papers(const Draft& draft) {
  for (const auto& [name, test] : draft.tests) {
    if (has_by_hand(entry_of(draft, *find_slot(name)))) continue;
    const bool ended_badly = test.state == TestState::failed || test.state == TestState::cancelled;
    if (is_under_way(test)) {
      return Refusal{409, "still-measuring", "a test is not done yet", name + " is " + key_of(test.state),
                     "wait for it, or take that test out"};
    }
    if (ended_badly && !test.measured_at.empty()) {
      return Refusal{409, "last-measuring-failed", "a test was not measured as it was last asked",
                     name + " is " + key_of(test.state) + "; what is there is of an earlier measuring",
                     "measure it again, or take that test out"};
    }
  }
  return std::nullopt;
}

std::string training_log_of(const Draft& draft) {
  const json log = read_json(draft.session_json).value("training_log", json());
  return log.is_object() ? text_of(log) : "";
}

std::string code_of(const Draft& draft) {
  return read_json(draft.session_json).value("person", json::object()).value("code", "");
}

std::string date_of(const Draft& draft) { return read_json(draft.session_json).value("date", ""); }

}  // namespace risetrace::serve
