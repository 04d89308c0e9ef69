#include "model/form_fields.h"

namespace risetrace::model {
namespace {

template <typename Form>
void read_form(Fields& in, const char* name, Form& form, const std::vector<Form>& forms) {
  std::vector<std::pair<const char*, Form>> names;
  for (const Form one : forms) names.emplace_back(key_of(one), one);
  in.choice(name, form, names);
}

}  // namespace

void read_test(Fields& in, const char* name, Test& test) {
  read_form(in, name, test, {Test::heel_raise, Test::hop, Test::lunge});
}

void read_side(Fields& in, const char* name, Side& side) {
  read_form(in, name, side, {Side::left, Side::right, Side::both});
}

void read_knee(Fields& in, const char* name, Knee& knee) { read_form(in, name, knee, {Knee::straight, Knee::bent}); }

}  // namespace risetrace::model
