// Why a request is not answered as asked. Thrown by what the routes call, within this room only, and made into the
// answer in one place (reply.h).
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>

#include "base/error.h"

namespace risetrace::serve {

struct Refusal {
  int status = 400;  // HTTP
  std::string code;  // stable, for the page: "no-such-visit"
  std::string what;
  std::string why;
  std::string what_to_do;
};

// What a worker or a room said, told apart: "WHAT: WHY; WHAT TO DO".
struct Failure {
  std::string code;  // the fault's own name ("sticker-not-found"), or by the exit status: "not-measurable"
  std::string what;
  std::string why;
  std::string what_to_do;
};

// `line` with or without "risetrace: " before it; an empty line or one of another form: what is known of the status.
Failure failure_of(int exit_status, const std::string& line);
Failure hung_failure();
Failure failure_of(const Refusal& refusal);
// {"code","what","why","do"}, as pages read it and desk.json keeps it.
nlohmann::json failure_json(const Failure& failure);
nlohmann::json failure_json(const std::optional<Failure>& failure);  // null where there is none
// Something that was thrown and is nobody's refusal.
Failure defect_failure(const std::string& why);

// A room's error as an answer.
Refusal refusal_of(const Error& error);

Refusal no_such_visit();
Refusal no_such_test();
Refusal no_such_upload();
Refusal no_such_file(const std::string& why);
Refusal wrong_field(const std::string& why);
// Of a write that failed with this errno.
Refusal cannot_keep(int system_error);

}  // namespace risetrace::serve
