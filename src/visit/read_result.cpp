#include "visit/read_result.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/read_file.h"
#include "visit/result_values.h"

namespace risetrace::visit {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

Error wrong(const TestEntry& entry, const std::string& why) {
  return {Fault::session_wrong, key_of(entry.slot) + ": " + entry.file.string() + " " + why,
          "give the result.json that `risetrace measure` wrote, or its folder"};
}

// `at` and `get` throw on what is missing or mistyped; read_result turns that into a fault.
std::string text_or(const json& from, const char* name, const std::string& otherwise) {
  const auto found = from.find(name);
  return found == from.end() || !found->is_string() ? otherwise : found->get<std::string>();
}

// Whether what was measured is what the session says it is: empty, or what differs.
std::string differs(const json& asked, const Slot& slot) {
  const std::string test = text_or(asked, "test", "heel-raise");
  if (test != key_of(slot.test)) return "is of another test, " + test;
  const std::string side = text_or(asked, "side", "not-stated");
  if (side != "not-stated" && side != key_of(slot.side)) return "was measured as the side " + side;
  const std::string knee = text_or(asked, "knee", "not-stated");
  if (slot.test == Test::heel_raise && knee != "not-stated" && knee != key_of(slot.knee)) {
    return "was measured with the knee " + knee;
  }
  return "";
}

TestResult frame_of(const TestEntry& entry) {
  TestResult out;
  out.slot = entry.slot;
  out.got_by = entry.got_by;
  out.incline_deg = entry.incline_deg;
  out.marker = entry.marker;
  out.pain = entry.pain;
  out.remark = entry.remark;
  return out;
}

void take_notes(const json& document, TestResult& out) {
  for (const json& note : document.at("notes")) {
    const json& t = note.at("t_s");
    out.notes.push_back(
        {note.at("code"), note.at("text"), t.is_number() ? std::optional(t.get<double>()) : std::nullopt});
  }
}

TestResult taken_from(const json& document, const TestEntry& entry) {
  TestResult out = frame_of(entry);
  if (out.marker.empty()) out.marker = "heel";
  const json& clip = document.at("clip");
  out.source_file = text_or(clip, "file", "");
  out.source_sha256 = text_or(clip, "sha256", "");
  out.recorded_at = text_or(clip, "recorded_at", "");
  out.program_version = text_or(document.at("program"), "version", "");
  out.scale_from = text_or(document.at("scale"), "from", "none");
  take_notes(document, out);
  take_values(document, out);
  return out;
}

// Column `name` of a comma-separated head line; empty where there is none.
std::optional<std::size_t> column_of(const std::string& head, const std::string& name) {
  std::stringstream cells(head);
  std::string cell;
  for (std::size_t i = 0; std::getline(cells, cell, ','); ++i) {
    if (!cell.empty() && cell.back() == '\r') cell.pop_back();
    if (cell == name) return i;
  }
  return std::nullopt;
}

std::optional<double> number_in(const std::string& cell) {
  std::istringstream in(cell);
  in.imbue(std::locale::classic());
  double value = 0;
  return in >> value && std::isfinite(value) ? std::optional(value) : std::nullopt;
}

// Where it cannot be read nothing is drawn; no number hangs on it.
void take_trace(const fs::path& file, TestResult& out) {
  const auto text = read_file(file, most_document_bytes);
  if (!text) return;
  std::stringstream lines(*text);
  std::string line;
  std::getline(lines, line);
  const auto time = column_of(line, "time_s");
  const auto height = column_of(line, "height_cm");
  if (!time || !height) return;
  while (std::getline(lines, line)) {
    std::stringstream cells(line);
    std::string cell;
    std::optional<double> t_s;
    std::optional<double> height_cm;
    for (std::size_t i = 0; std::getline(cells, cell, ','); ++i) {
      if (i == *time) t_s = number_in(cell);
      if (i == *height) height_cm = number_in(cell);
    }
    if (t_s && height_cm) out.trace.push_back({*t_s, *height_cm});
  }
}

}  // namespace

Result<TestResult> read_result(const fs::path& file, const TestEntry& entry) {
  std::error_code ignored;
  const fs::path document_file = fs::is_directory(file, ignored) ? file / "result.json" : file;
  const auto text = read_file(document_file, most_document_bytes);
  if (!text) return wrong(entry, "cannot be read");
  const json document = json::parse(*text, nullptr, false);
  if (document.is_discarded() || !document.is_object()) return wrong(entry, "is not a result");
  const std::string schema = text_or(document, "schema", "");
  if (schema != "risetrace/result/1") {
    return wrong(entry, "is not of schema risetrace/result/1" + (schema.empty() ? "" : " but of " + schema));
  }
  try {
    if (const std::string what = differs(document.at("asked"), entry.slot); !what.empty()) return wrong(entry, what);
    TestResult out = taken_from(document, entry);
    if (entry.slot.test == Test::heel_raise) take_trace(document_file.parent_path() / "trace.csv", out);
    return out;
  } catch (const json::exception& broken) {
    return wrong(entry, std::string("is broken: ") + broken.what());
  }
}

TestResult result_by_hand(const TestEntry& entry) {
  TestResult out = frame_of(entry);
  for (const auto& [quantity, value] : entry.by_hand) out.values[quantity] = {value, std::nullopt, 0.0};
  return out;
}

}  // namespace risetrace::visit
