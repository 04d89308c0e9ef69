#include "synth/fields.h"

#include <cmath>
#include <cstdio>

namespace risetrace::synth {
namespace {

using nlohmann::json;

std::string shown(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%g", value);
  return text.data();
}

std::optional<int> hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return std::nullopt;
}

std::optional<double> hex_pair(const std::string& text, std::size_t at) {
  const auto high = hex_digit(text[at]);
  const auto low = hex_digit(text[at + 1]);
  if (!high || !low) return std::nullopt;
  return (*high * 16 + *low) / 255.0;
}

std::optional<Colour> colour_of(const std::string& text) {
  if (text.size() != 7 || text[0] != '#') return std::nullopt;
  const auto r = hex_pair(text, 1);
  const auto g = hex_pair(text, 3);
  const auto b = hex_pair(text, 5);
  if (!r || !g || !b) return std::nullopt;
  return Colour{*r, *g, *b};
}

}  // namespace

Fields::Fields(const json& object, std::string path, std::string& complaint)
    : object_(&object), path_(std::move(path)), complaint_(complaint) {
  if (!object.is_object() && complaint_.empty()) {
    complaint_ = (path_.empty() ? "the scene" : path_) + " must be an object";
  }
}

Fields::~Fields() {
  if (!object_->is_object() || !complaint_.empty()) return;
  for (const auto& entry : object_->items()) {
    if (!asked_.contains(entry.key())) complain(entry.key().c_str(), "is not a field of a scene");
  }
}

std::string Fields::full_name(const std::string& name) const { return path_.empty() ? name : path_ + "." + name; }

void Fields::complain(const char* name, const std::string& what) {
  if (complaint_.empty()) complaint_ = full_name(name) + " " + what;
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

void Fields::seed(const char* name, std::uint64_t& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  if (!found->is_number_unsigned()) return complain(name, "must be a whole number from 0");
  value = found->get<std::uint64_t>();
}

void Fields::colour(const char* name, Colour& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  const auto given = found->is_string() ? colour_of(found->get<std::string>()) : std::nullopt;
  if (!given) return complain(name, "must be a colour like \"#30a040\"");
  value = *given;
}

void Fields::frame_list(const char* name, std::vector<int>& value) {
  const json* found = find(name);
  if (found == nullptr) return;
  std::vector<int> given;
  if (!found->is_array()) return complain(name, "must be a list of frame numbers");
  for (const json& one : *found) {
    if (!one.is_number_integer() || one.get<double>() < 1 || one.get<double>() > 1e8) {
      return complain(name, "must hold frame numbers from 1");
    }
    given.push_back(one.get<int>());
  }
  value = given;
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

}  // namespace risetrace::synth
