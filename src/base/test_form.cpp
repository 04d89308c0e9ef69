#include "base/test_form.h"

#include <array>
#include <utility>

namespace risetrace {
namespace {

template <typename Form, std::size_t Count>
using Names = std::array<std::pair<Form, const char*>, Count>;

constexpr Names<Test, 3> tests = {{{Test::heel_raise, "heel-raise"}, {Test::hop, "hop"}, {Test::lunge, "lunge"}}};
constexpr Names<Side, 4> sides = {
    {{Side::not_stated, "not-stated"}, {Side::left, "left"}, {Side::right, "right"}, {Side::both, "both"}}};
constexpr Names<Knee, 3> knees = {
    {{Knee::not_stated, "not-stated"}, {Knee::straight, "straight"}, {Knee::bent, "bent"}}};

template <typename Form, std::size_t Count>
const char* name_in(const Names<Form, Count>& names, Form form) {
  for (const auto& [value, name] : names) {
    if (value == form) return name;
  }
  return "";
}

template <typename Form, std::size_t Count>
std::optional<Form> form_in(const Names<Form, Count>& names, std::string_view key) {
  for (const auto& [value, name] : names) {
    if (key == name) return value;
  }
  return std::nullopt;
}

}  // namespace

const char* key_of(Test test) { return name_in(tests, test); }
const char* key_of(Side side) { return name_in(sides, side); }
const char* key_of(Knee knee) { return name_in(knees, knee); }

std::optional<Test> test_from(std::string_view key) { return form_in(tests, key); }
std::optional<Side> side_from(std::string_view key) { return form_in(sides, key); }
std::optional<Knee> knee_from(std::string_view key) { return form_in(knees, key); }

}  // namespace risetrace
