#include "model/fields.h"

#include <cmath>
#include <cstdio>

namespace risetrace::model {
namespace {

using nlohmann::json;

std::string shown(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%g", value);
  return text.data();
}

}  // namespace

Fields::Fields(const json& object, std::string path, Complaint& complaint)
    : object_(&object), path_(std::move(path)), complaint_(complaint) {
  if (!object.is_object() && complaint_.text.empty()) {
    complaint_.text = (path_.empty() ? complaint_.document : path_) + " must be an object";
  }
}

Fields::~Fields() {
  if (!strict_ || !object_->is_object() || !complaint_.text.empty()) return;
  for (const auto& entry : object_->items()) {
    if (!asked_.contains(entry.key())) complain(entry.key().c_str(), "is not a field of " + complaint_.document);
  }
}

std::string Fields::full_name(const std::string& name) const { return path_.empty() ? name : path_ + "." + name; }

void Fields::complain(const char* name, const std::string& what) {
  if (complaint_.text.empty()) complaint_.text = full_name(name) + " " + what;
}

bool Fields::has(const char* name) const { return object_->is_object() && object_->contains(name); }

const json* Fields::find(const char* name) {
  asked_.insert(name);
  return has(name) ? &object_->at(name) : nullptr;
}

void Fields::number(const char* name, double& value, double low, double high) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (!found->is_number()) return complain(name, "must be a number");
  const double given = found->get<double>();
  if (!(given >= low && given <= high)) {
    return complain(name, "is " + shown(given) + ", must be " + shown(low) + " to " + shown(high));
  }
  value = given;
}

void Fields::number(const char* name, std::optional<double>& value, double low, double high) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (found->is_null()) {
    value.reset();
    return;
  }
  double given = low;
  number(name, given, low, high);
  value = given;
}

void Fields::integer(const char* name, int& value, int low, int high) {
  double given = value;
  number(name, given, low, high);
  if (given != std::floor(given)) return complain(name, "must be a whole number");
  value = static_cast<int>(given);
}

void Fields::integer(const char* name, std::optional<int>& value, int low, int high) {
  const json* found = find(name);
  if (found == nullptr) return;
  value.reset();
  if (found->is_null()) return;
  int given = low;
  integer(name, given, low, high);
  value = given;
}

void Fields::flag(const char* name, bool& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (!found->is_boolean()) return complain(name, "must be true or false");
  value = found->get<bool>();
}

void Fields::text(const char* name, std::string& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (!found->is_string()) return complain(name, "must be text");
  value = found->get<std::string>();
}

void Fields::text(const char* name, std::optional<std::string>& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  value.reset();
  if (found->is_null()) return;
  std::string given;
  text(name, given);
  value = given;
}

void Fields::seed(const char* name, std::uint64_t& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (!found->is_number_unsigned()) return complain(name, "must be a whole number from 0");
  value = found->get<std::uint64_t>();
}

void Fields::number_list(const char* name, std::vector<int>& value, int low, int high) {
  const json* found = list_field(name);
  if (found == nullptr) return;
  std::vector<int> given;
  for (const json& one : *found) {
    if (!one.is_number_integer() || one.get<double>() < low || one.get<double>() > high) {
      return complain(name, "must hold whole numbers of " + shown(low) + " to " + shown(high));
    }
    given.push_back(one.get<int>());
  }
  value = given;
}

void Fields::text_list(const char* name, std::vector<std::string>& value) {
  const json* found = list_field(name);
  if (found == nullptr) return;
  std::vector<std::string> given;
  for (const json& one : *found) {
    if (!one.is_string()) return complain(name, "must hold text");
    given.push_back(one.get<std::string>());
  }
  value = given;
}

void Fields::need(const char* name) {
  const json* found = find(name);
  if (found == nullptr || found->is_null()) complain(name, "is missing");
}

std::optional<std::size_t> Fields::chosen(const char* name, const std::vector<const char*>& words) {
  const json* found = find(name);
  if (found == nullptr) return std::nullopt;
  std::string all;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (found->is_string() && found->get<std::string>() == words[i]) return i;
    all += (i == 0 ? "" : ", ") + std::string(words[i]);
  }
  complain(name, "must be one of " + all);
  return std::nullopt;
}

const json* Fields::object_field(const char* name) {
  const json* found = find(name);
  return found == nullptr || found->is_null() ? nullptr : found;
}

const json* Fields::list_field(const char* name) {
  const json* found = find(name);
  if (found == nullptr) return nullptr;
  if (found->is_array()) return found;
  complain(name, "must be a list");
  return nullptr;
}

}  // namespace risetrace::model
