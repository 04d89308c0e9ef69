// Answers, and what routes share.
#pragma once

#include <httplib.h>

#include <filesystem>
#include <functional>
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "serve/refusal.h"

namespace risetrace::serve {

using Request = httplib::Request;
using Response = httplib::Response;

void answer_json(Response& response, const std::string& json, int status = 200);
// {"error":{"code","what","why","do"}}, and beside it the fields of `more`.
void answer_refusal(Response& response, const Refusal& refusal);
void answer_refusal(Response& response, const Refusal& refusal, const nlohmann::json& more);

// The request's JSON object; an empty one where there is no body. Throws Refusal 400.
nlohmann::json body_of(const Request& request);

// A number in the address, "?n=7". Throws Refusal 400.
std::uint64_t number_in(const Request& request, const char* name);

// Whatever it throws becomes the answer.
httplib::Server::Handler guarded(std::function<void(const Request&, Response&)> handler);

// A file of ours, its ranges as asked, a piece at a time. Throws Refusal where it is not there.
// `download_name`: not empty: the browser is told to save it under this name.
void answer_file(const Request& request, Response& response, const std::filesystem::path& file, const std::string& mime,
                 const std::string& download_name = "");

// ETag of something that changed: the client has it already.
bool answered_unchanged(const Request& request, Response& response, const std::string& etag);

}  // namespace risetrace::serve
