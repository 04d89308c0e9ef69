#include "record/check_visit.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "base/calendar.h"
#include "base/person_code.h"

namespace risetrace::record {
namespace {

constexpr std::size_t longest_text_bytes = std::size_t{64} << 20;  // ours: some hundred times the longest result seen

bool is_small(char c) { return c >= 'a' && c <= 'z'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

// `pattern`: 0 stands for a digit, all else for itself.
bool looks_like(const std::string& text, const std::string& pattern) {
  return text.size() == pattern.size() && std::equal(text.begin(), text.end(), pattern.begin(),
                                                     [](char c, char p) { return p == '0' ? is_digit(c) : c == p; });
}

Error wrong(const std::string& why, const std::string& what_to_do) { return {Fault::option_wrong, why, what_to_do}; }

}  // namespace

bool is_date(const std::string& text) { return day_number(text).has_value(); }

bool is_slot(const std::string& text) {
  const auto fits = [](char c) { return is_small(c) || is_digit(c) || c == '-' || c == '/'; };
  return !text.empty() && text.size() <= 64 && std::all_of(text.begin(), text.end(), fits) && text.front() != '/' &&
         text.back() != '/' && text.find("//") == std::string::npos;
}

bool is_extension(const std::string& text) {
  return text.size() <= 8 && std::all_of(text.begin(), text.end(), [](char c) { return is_small(c) || is_digit(c); });
}

bool is_instant(const std::string& text) {
  return looks_like(text, "0000-00-00T00:00:00Z") && is_date(text.substr(0, 10));
}

bool is_remark(const std::string& text) {
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
  if (text.empty() || text.size() > 500 || std::any_of(text.begin(), text.end(), control)) return false;
  const std::string quoted = nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  return nlohmann::json::parse(quoted, nullptr, false) == text;  // what is not UTF-8 was replaced
}

bool is_json(const std::string& text) { return text.size() <= longest_text_bytes && nlohmann::json::accept(text); }

Outcome check_code(const std::string& code) {
  if (is_person_code(code)) return Done{};
  return wrong("the person's code is '" + code + "'",
               "give letters, digits, dots, lines and underscores, 40 at most; never a name");
}

Outcome check_date(const std::string& date) {
  if (is_date(date)) return Done{};
  return wrong("the visit's date is '" + date + "'", "give a day as YYYY-MM-DD");
}

Outcome check_remark(const char* what, const std::optional<std::string>& remark) {
  if (!remark || is_remark(*remark)) return Done{};
  return wrong(std::string(what) + " is empty, too long or not plain text", "give a line of 1 to 500 bytes of UTF-8");
}

Outcome check_visit(const Visit& visit) {
  if (auto code = check_code(visit.code); !code) return code;
  if (auto date = check_date(visit.date); !date) return date;
  if (visit.documents.empty() && visit.clips.empty()) return wrong("nothing is given to be kept", "give a document");
  std::set<std::pair<std::string, std::string>> seen;
  for (const Document& document : visit.documents) {
    const std::string name = std::string(key_of(document.kind)) + " " + document.slot;
    if (document.slot.empty() && document.kind == Kind::result)
      return wrong("a result has no slot", "say of which test");
    if (!document.slot.empty() && !is_slot(document.slot)) return wrong("'" + document.slot + "' is no slot", "");
    if (!is_json(document.json))
      return wrong(name + " is not JSON, or of more than 64 MiB", "give the file as written");
    if (!seen.insert({key_of(document.kind), document.slot}).second) return wrong(name + " is given twice", "give one");
  }
  for (const ClipFile& clip : visit.clips) {
    if (!is_slot(clip.slot)) return wrong("'" + clip.slot + "' is no slot of a clip", "say of which test");
    if (!seen.insert({"clip", clip.slot}).second) return wrong("two clips are given of " + clip.slot, "give one");
  }
  return Done{};
}

}  // namespace risetrace::record
