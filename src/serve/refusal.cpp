#include "serve/refusal.h"

#include <cerrno>
#include <nlohmann/json.hpp>
#include <system_error>

namespace risetrace::serve {
namespace {

std::string code_of(int exit_status) {
  switch (exit_status) {
    case 2:
      return "asked-wrong";
    case 3:
      return "clip-unreadable";
    case 4:
      return "not-measurable";
    case 5:
      return "cannot-write";
    case 130:
      return "stopped";
    case 70:
      return "defect";
    default:
      return "worker-died";
  }
}

int status_of(const Error& error) {
  switch (error.fault) {
    case Fault::not_in_record:
      return 404;
    case Fault::already_in_record:
    case Fault::record_busy:
      return 409;
    case Fault::cannot_write:
      return 507;
    default:
      return exit_status(error.fault) == 2 ? 400 : 500;
  }
}

}  // namespace

Failure failure_of(int exit_status, const std::string& line) {
  std::string text = line;
  if (text.starts_with("risetrace: ")) text.erase(0, 11);
  const auto after_what = text.find(": ");
  const auto before_do = text.rfind("; ");
  if (after_what != std::string::npos && before_do != std::string::npos && before_do > after_what) {
    const std::string what = text.substr(0, after_what);
    return {code_of(exit_status), what, text.substr(after_what + 2, before_do - after_what - 2),
            text.substr(before_do + 2)};
  }
  if (exit_status < 0) {
    return {"worker-died", "it broke off", "how the process ended is not known", "try again"};
  }
  if (exit_status > 128 && exit_status != 130) {
    return {"worker-died", "measuring broke off",
            "the measuring process was ended by signal " + std::to_string(exit_status - 128),
            "try again; if it happens again, film or export the clip anew"};
  }
  return {code_of(exit_status), "measuring failed", text.empty() ? "no reason was given" : text, "try again"};
}

Failure failure_of(const Refusal& refusal) { return {refusal.code, refusal.what, refusal.why, refusal.what_to_do}; }

nlohmann::json failure_json(const Failure& failure) {
  return {{"code", failure.code}, {"what", failure.what}, {"why", failure.why}, {"do", failure.what_to_do}};
}

nlohmann::json failure_json(const std::optional<Failure>& failure) {
  return failure ? failure_json(*failure) : nlohmann::json();
}

Failure hung_failure() {
  return {"hung", "it broke off", "the process that did it said nothing for too long and was ended",
          "try again; if it happens again, film or export the clip anew"};
}

Failure defect_failure(const std::string& why) {
  return {"defect", "the program has a defect", why, "try again; if it happens again, report it"};
}

Refusal refusal_of(const Error& error) {
  const Failure parts = failure_of(exit_status(error.fault), sentence(error));
  return {status_of(error), key_of(error.fault), parts.what, parts.why, parts.what_to_do};
}

Refusal no_such_visit() {
  return {404, "no-such-visit", "there is no such visit", "it was closed, or never was",
          "go back to the list of visits"};
}

Refusal no_such_test() {
  return {404, "no-such-test", "there is no such test", "a visit has no test of that name", "choose one of the list"};
}

Refusal no_such_upload() {
  return {404, "no-such-upload", "there is no such upload", "it is whole already, or was given up", "begin it again"};
}

Refusal no_such_file(const std::string& why) {
  return {404, "no-such-file", "there is no such file", why, "measure the clip first"};
}

Refusal wrong_field(const std::string& why) {
  return {400, "wrong-field", "what was sent is wrong", why, "correct it and send it again"};
}

Refusal cannot_keep(int system_error) {
  if (system_error == ENOSPC || system_error == EDQUOT || system_error == EFBIG) {
    return {507, "disk-full", "the disk is full", "there is no room for it on this computer's disk",
            "make room, then go on: what has come already is kept"};
  }
  return {500, "cannot-write", "it cannot be written", std::generic_category().message(system_error),
          "look at the rights of the record's folder"};
}

}  // namespace risetrace::serve
