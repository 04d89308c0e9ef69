// Reads one JSON object field by field: remembers the first thing wrong, by the field's full name, and finds fields
// that nobody asked for.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace risetrace::model {

// The first thing wrong with a document; empty while nothing is.
struct Complaint {
  std::string document;  // "a scene": what it calls the whole
  std::string text;
};

class Fields {
 public:
  // `complaint` is shared by all parts of one document; both outlive this object.
  Fields(const nlohmann::json& object, std::string path, Complaint& complaint);
  Fields(const Fields&) = delete;
  Fields& operator=(const Fields&) = delete;
  ~Fields();  // complains about unknown fields

  // An absent field leaves the value alone; so does a wrong one, after a complaint.
  void number(const char* name, double& value, double low, double high);
  void number(const char* name, std::optional<double>& value, double low, double high);  // null: unset
  void integer(const char* name, int& value, int low, int high);
  void flag(const char* name, bool& value);
  void text(const char* name, std::string& value);
  void text(const char* name, std::optional<std::string>& value);                // null: unset
  void integer(const char* name, std::optional<int>& value, int low, int high);  // null: unset
  void seed(const char* name, std::uint64_t& value);
  void number_list(const char* name, std::vector<int>& value, int low, int high);
  void text_list(const char* name, std::vector<std::string>& value);

  template <typename Enum>
  void choice(const char* name, Enum& value, const std::vector<std::pair<const char*, Enum>>& names) {
    std::vector<const char*> words;
    words.reserve(names.size());
    for (const auto& entry : names) words.push_back(entry.first);
    if (const auto index = chosen(name, words)) value = names[*index].second;
  }
  // Calls read(Fields&) on the object of that name, if it is there. True if it was.
  template <typename Read>
  bool part(const char* name, Read read) {
    const nlohmann::json* found = object_field(name);
    if (found == nullptr) return false;
    Fields inner(*found, full_name(name), complaint_);
    inner.strict_ = strict_;
    read(inner);
    return true;
  }
  // Calls read(key, Fields&) on each member of the object of that name, whose keys are the document's own. True if it
  // was there.
  template <typename Read>
  bool members(const char* name, Read read) {
    const nlohmann::json* found = object_field(name);
    if (found == nullptr) return false;
    if (!found->is_object()) complain(name, "must be an object");
    if (!found->is_object()) return false;
    for (const auto& [key, value] : found->items()) {
      Fields inner(value, full_name(name) + "." + key, complaint_);
      inner.strict_ = strict_;
      read(key, inner);
    }
    return true;
  }
  // Calls read(Fields&) for each object of the list of that name. True if the list was there.
  template <typename Read>
  bool list(const char* name, Read read) {
    const nlohmann::json* found = list_field(name);
    if (found == nullptr) return false;
    for (std::size_t i = 0; i < found->size(); ++i) {
      Fields inner((*found)[i], full_name(name) + "[" + std::to_string(i) + "]", complaint_);
      inner.strict_ = strict_;
      read(inner);
    }
    return true;
  }
  [[nodiscard]] bool has(const char* name) const;
  // The value as it stands, for what has no form of its own here; null where there is none.
  const nlohmann::json* raw(const char* name) { return find(name); }
  // Fields that nobody asks for are let pass here and in the parts of it: of a document of ours that a later version of
  // the program may have added to.
  void let_unknown_pass() { strict_ = false; }
  void need(const char* name);  // complains where it is absent or null
  void complain(const char* name, const std::string& what);

 private:
  const nlohmann::json* find(const char* name);
  const nlohmann::json* object_field(const char* name);
  const nlohmann::json* list_field(const char* name);
  std::optional<std::size_t> chosen(const char* name, const std::vector<const char*>& words);
  [[nodiscard]] std::string full_name(const std::string& name) const;

  const nlohmann::json* object_;
  std::string path_;
  Complaint& complaint_;
  std::set<std::string> asked_;
  bool strict_ = true;
};

}  // namespace risetrace::model
