#include "model/sourced_fields.h"

#include <algorithm>
#include <array>

namespace risetrace::model {
namespace {

constexpr std::array marks = {"published", "from memory", "common practice", "ours"};
constexpr std::size_t least_source = 8;  // letters: a word is no source

}  // namespace

Sourced read_mark_and_source(Fields& in) {
  Sourced out;
  in.need("mark");
  in.text("mark", out.mark);
  if (std::find(marks.begin(), marks.end(), out.mark) == marks.end()) {
    in.complain("mark", "must be one of published, from memory, common practice, ours");
  }
  in.need("source");
  in.text("source", out.source);
  if (out.source.size() < least_source) in.complain("source", "does not say where the value is from");
  return out;
}

Sourced read_sourced_value(Fields& in, double low, double high) {
  Sourced out = read_mark_and_source(in);
  in.need("value");
  in.number("value", out.value, low, high);
  return out;
}

Sourced read_sourced(Fields& in, const char* name, double low, double high) {
  Sourced out;
  in.need(name);
  in.part(name, [&](Fields& part) { out = read_sourced_value(part, low, high); });
  return out;
}

}  // namespace risetrace::model
