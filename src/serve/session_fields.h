// The session as the page enters it, and as `risetrace screen` takes it. A client names no file: what is where is put
// in here.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "serve/draft.h"

namespace risetrace::serve {

// `session` with the top-level fields of `fields` in place of its own (null takes one away). Throws Refusal 400 for a
// field that a page may not set or that is of another kind, naming it.
std::string with_fields(const std::string& session_json, const std::string& fields_json);

// A new session of a code and a day. Throws Refusal 400.
std::string new_session(const std::string& code, const std::string& date, const std::string& tester);

// What the record kept, as the page enters it: without files and without results.
std::string session_for_page(const std::string& kept_session_json);

// The options of a test as `measure` takes them, and side, knee, mass. Throws Refusal 400 naming the wrong one.
std::vector<std::string> measure_arguments(const Draft& draft, const std::string& slot);

// Those options alone.
std::vector<std::string> option_arguments(const std::string& options_json);

// Whether a test has an option of that name.
bool is_option(const std::string& name);

// Options as they came, checked. Throws Refusal 400.
std::string checked_options(const std::string& options_json);

// For `screen`: tests measured here by their result, those typed in as they are, the rest left out.
struct SessionFile {
  std::vector<std::string> earlier;  // screen.json of earlier visits, beside it
  bool has_log = false;              // training-log.json lies beside it
};
std::string session_for_screen(const Draft& draft, const SessionFile& file);
// Why papers cannot be made now; empty: they can. A test that is under way, or whose last measuring failed beside an
// earlier result, would be in them as it is not.
std::optional<Refusal> why_no_papers(const Draft& draft);
// The log that the page entered; empty: none.
std::string training_log_of(const Draft& draft);

std::string code_of(const Draft& draft);
std::string date_of(const Draft& draft);

}  // namespace risetrace::serve
