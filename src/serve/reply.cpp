#include "serve/reply.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <memory>
#include <nlohmann/json.hpp>

#include "serve/byte_range.h"
#include "serve/read_json.h"
#include "serve/whole_number.h"

namespace risetrace::serve {
namespace {

using nlohmann::json;

class OpenFile {
 public:
  explicit OpenFile(const std::filesystem::path& file)
      : number_(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW)) {}
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  ~OpenFile() {
    if (number_ >= 0) ::close(number_);
  }
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

httplib::ContentProvider pieces_of(std::shared_ptr<OpenFile> file, std::uint64_t from) {
  return [file = std::move(file), from](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
    std::array<char, 65536> piece{};
    const ssize_t got =
        ::pread(file->number(), piece.data(), std::min(length, piece.size()), static_cast<off_t>(from + offset));
    return got > 0 && sink.write(piece.data(), static_cast<std::size_t>(got));
  };
}

}  // namespace

void answer_json(Response& response, const std::string& json, int status) {
  response.status = status;
  response.set_header("Cache-Control", "no-store");
  response.set_content(json, "application/json");
}

void answer_refusal(Response& response, const Refusal& refusal) { answer_refusal(response, refusal, json::object()); }

void answer_refusal(Response& response, const Refusal& refusal, const json& more) {
  json answer = {{"error", failure_json(failure_of(refusal))}};
  answer.update(more);
  answer_json(response, answer.dump(-1, ' ', false, json::error_handler_t::replace), refusal.status);
}

std::uint64_t number_in(const Request& request, const char* name) {
  const auto number = whole_number(request.get_param_value(name));
  if (!number) throw wrong_field(std::string(name) + " must be a number");
  return *number;
}

json body_of(const Request& request) {
  if (request.body.empty()) return json::object();
  json body = read_json(request.body);
  if (!body.is_object()) throw wrong_field("the body must be a JSON object, nested 32 deep at most");
  return body;
}

httplib::Server::Handler guarded(std::function<void(const Request&, Response&)> handler) {
  return [handler = std::move(handler)](const Request& request, Response& response) {
    try {
      handler(request, response);
    } catch (const Refusal& refusal) {
      answer_refusal(response, refusal);
    } catch (const json::exception&) {  // a field of another kind than is asked for
      answer_refusal(response, wrong_field("a field is of the wrong kind"));
    } catch (const std::exception& defect) {
      answer_refusal(response, refusal_of({Fault::defect, defect.what(), ""}));
    }
  };
}

bool answered_unchanged(const Request& request, Response& response, const std::string& etag) {
  response.set_header("ETag", etag);
  if (request.get_header_value("If-None-Match") != etag) return false;
  response.status = 304;
  return true;
}

void answer_file(const Request& request, Response& response, const std::filesystem::path& path, const std::string& mime,
                 const std::string& download_name) {
  auto file = std::make_shared<OpenFile>(path);
  struct stat facts {};
  if (file->number() < 0 || ::fstat(file->number(), &facts) != 0 || !S_ISREG(facts.st_mode)) {
    throw no_such_file("it was not made, or is gone");
  }
  const auto bytes = static_cast<std::uint64_t>(facts.st_size);
  response.set_header("Cache-Control", "no-store");
  response.set_header("Accept-Ranges", "bytes");
  if (!download_name.empty()) {
    response.set_header("Content-Disposition", "attachment; filename=\"" + download_name + "\"");
  }
  const std::string etag = "\"" + std::to_string(facts.st_ino) + "-" + std::to_string(bytes) + "-" +
                           std::to_string(facts.st_mtim.tv_sec) + "." + std::to_string(facts.st_mtim.tv_nsec) + "\"";
  if (answered_unchanged(request, response, etag)) return;
  // A part of a file that was replaced meanwhile would not fit to the parts that came before.
  const std::string if_range = request.get_header_value("If-Range");
  const bool same = if_range.empty() || if_range == etag;
  const AskedRange asked = read_range(same ? request.get_header_value("Range") : "", bytes);
  if (asked.kind == RangeKind::unsatisfiable) {
    response.set_header("Content-Range", "bytes */" + std::to_string(bytes));
    throw Refusal{416, "no-such-range", "that part is not there", "it begins past the end of the file",
                  "ask for a part within it"};
  }
  if (asked.kind == RangeKind::whole) {
    response.status = 200;
    if (bytes == 0) return response.set_content("", mime);
    return response.set_content_provider(bytes, mime, pieces_of(std::move(file), 0));
  }
  response.status = 206;
  response.set_header("Content-Range", "bytes " + std::to_string(asked.part.first) + "-" +
                                           std::to_string(asked.part.first + asked.part.length - 1) + "/" +
                                           std::to_string(bytes));
  response.set_content_provider(asked.part.length, mime, pieces_of(std::move(file), asked.part.first));
}

}  // namespace risetrace::serve
