// Reads one JSON object field by field: remembers the first thing wrong, by the field's full name, and finds fields
// that nobody asked for.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "synth/scene.h"

namespace risetrace::synth {

class Fields {
 public:
  // `complaint` holds the first thing wrong; shared by all parts of one scene.
  Fields(const nlohmann::json& object, std::string path, std::string& complaint);
  Fields(const Fields&) = delete;
  Fields& operator=(const Fields&) = delete;
  ~Fields();  // complains about unknown fields

  // An absent field leaves the value alone; so does a wrong one, after a complaint.
  void number(const char* name, double& value, double low, double high);
  void number(const char* name, std::optional<double>& value, double low, double high);  // null: unset
  void integer(const char* name, int& value, int low, int high);
  void flag(const char* name, bool& value);
  void text(const char* name, std::string& value);
  void seed(const char* name, std::uint64_t& value);
  void colour(const char* name, Colour& value);  // "#rrggbb"
  void frame_list(const char* name, std::vector<int>& value);

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
    read(inner);
    return true;
  }
  // Calls read(Fields&) for each object of the list of that name. True if the list was there.
  template <typename Read>
  bool list(const char* name, Read read) {
    const nlohmann::json* found = list_field(name);
    if (found == nullptr) return false;
    for (std::size_t i = 0; i < found->size(); ++i) {
      Fields inner((*found)[i], full_name(name) + "[" + std::to_string(i) + "]", complaint_);
      read(inner);
    }
    return true;
  }
  [[nodiscard]] bool has(const char* name) const;
  void complain(const char* name, const std::string& what);

 private:
  const nlohmann::json* find(const char* name);
  const nlohmann::json* object_field(const char* name);
  const nlohmann::json* list_field(const char* name);
  std::optional<std::size_t> chosen(const char* name, const std::vector<const char*>& words);
  [[nodiscard]] std::string full_name(const std::string& name) const;

  const nlohmann::json* object_;
  std::string path_;
  std::string& complaint_;
  std::set<std::string> asked_;
};

}  // namespace risetrace::synth
