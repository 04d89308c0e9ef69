#include "whole/served.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <regex>
#include <thread>

namespace risetrace::test {
namespace fs = std::filesystem;
namespace {

double now_s() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

void pause() { std::this_thread::sleep_for(std::chrono::milliseconds(30)); }

}  // namespace

Served::Served(const Place& place, const ServedOptions& options) : out_(place / "served.txt") {
  Words words = {RISETRACE_PROGRAM, "serve", "--port", "0", "--record", place / "record.sqlite"};
  words.insert(words.end(), options.more.begin(), options.more.end());
  tls_ = std::find(options.more.begin(), options.more.end(), "--lan") != options.more.end();
  write_file(out_, "");
  if (options.user != 0) fs::permissions(place.path(), fs::perms::all);
  process_ = ::fork();
  if (process_ == 0) {
    if (options.most_file_bytes > 0) {
      const rlimit most{options.most_file_bytes, options.most_file_bytes};
      ::setrlimit(RLIMIT_FSIZE, &most);
    }
    if (options.children_ignored) std::signal(SIGCHLD, SIG_IGN);
    const int file = ::open(out_.c_str(), O_WRONLY | O_APPEND);  // NOLINT(cppcoreguidelines-pro-type-vararg)
    ::dup2(file, STDOUT_FILENO);
    ::dup2(file, STDERR_FILENO);
    if (options.user != 0 && ::setuid(options.user) != 0) ::_exit(126);
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    ::execv(argv[0], argv.data());
    ::_exit(127);
  }
  const double until_s = now_s() + 20;
  std::smatch match;
  for (std::string text; now_s() < until_s && port_ == 0; pause()) {
    text = said();
    static const std::regex form("127\\.0\\.0\\.1:([0-9]+)/");
    if (std::regex_search(text, match, form) && text.find("medical") != std::string::npos) port_ = std::stoi(match[1]);
  }
  if (port_ == 0) ADD_FAILURE() << "risetrace serve did not begin: " << said();
}

Served::~Served() { end(SIGKILL); }

std::string Served::said() const { return read_file(out_); }

std::string Served::last_code() const {
  const std::string text = said();
  const auto at = text.rfind("code     ");
  return at == std::string::npos ? "" : text.substr(at + 9, 8);
}

int Served::end(int signal) {
  if (process_ < 0) return -1;
  ::kill(process_, signal);
  int state = 0;
  const double until_s = now_s() + 20;
  while (::waitpid(process_, &state, WNOHANG) == 0) {
    if (now_s() > until_s) ::kill(process_, SIGKILL);
    pause();
  }
  process_ = -1;
  return WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
}

std::unique_ptr<httplib::Client> Served::client() const {
  auto client =
      std::make_unique<httplib::Client>((tls_ ? "https://127.0.0.1:" : "http://127.0.0.1:") + std::to_string(port_));
  client->enable_server_certificate_verification(false);
  client->set_read_timeout(30);
  return client;
}

Answer Served::ask_as(const httplib::Headers& headers, const std::string& method, const std::string& path,
                      const std::string& body, const std::string& type) const {
  httplib::Request request;
  request.method = method;
  request.path = path;
  request.headers = headers;
  request.body = body;
  if (!body.empty()) request.set_header("Content-Type", type);
  const auto result = client()->send(request);
  if (!result) return {};
  return {result->status, result->body, result->headers};
}

Answer Served::ask(const std::string& method, const std::string& path, const nlohmann::json& body) const {
  return ask_as(page(), method, path, body.is_null() ? "" : body.dump(), "application/json");
}

Answer Served::put(const std::string& path, const std::string& bytes, const httplib::Headers& headers) const {
  return ask_as(headers, "PUT", path, bytes, "application/octet-stream");
}

int Served::connect() const {
  const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(static_cast<std::uint16_t>(port_));
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  EXPECT_EQ(::connect(socket, reinterpret_cast<const sockaddr*>(&to), sizeof to),
            0);  // NOLINT: the interface's own way
  return socket;
}

std::string Served::raw(const std::string& bytes, double longest_s) const {
  const int socket = connect();
  for (std::size_t sent = 0; sent < bytes.size();) {
    const ssize_t some = ::send(socket, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
    if (some <= 0) break;
    sent += static_cast<std::size_t>(some);
  }
  std::string answer;
  const double until_s = now_s() + longest_s;
  while (now_s() < until_s) {
    pollfd one{socket, POLLIN, 0};
    if (::poll(&one, 1, 50) <= 0) continue;
    std::array<char, 4096> part{};
    const ssize_t got = ::recv(socket, part.data(), part.size(), 0);
    if (got <= 0) break;
    answer.append(part.data(), static_cast<std::size_t>(got));
  }
  ::close(socket);
  return answer;
}

std::string Served::new_visit(const std::string& code) const {
  const Answer made = ask("POST", "/api/visits", {{"code", code}, {"date", "2026-03-02"}, {"tester", "T-1"}});
  EXPECT_EQ(made.status, 201) << made.body;
  return made.json().value("id", "");
}

void Served::upload(const std::string& id, const std::string& slot, const std::string& name,
                    const std::string& bytes) const {
  const Answer begun =
      ask("POST", "/api/visits/" + id + "/tests/" + slot + "/upload", {{"name", name}, {"size", bytes.size()}});
  ASSERT_EQ(begun.status, 200) << begun.body;
  const std::string path = "/api/uploads/" + begun.json().value("upload", "") + "?offset=";
  constexpr std::size_t piece = 300000;
  for (std::size_t at = 0; at < bytes.size(); at += piece) {
    const Answer sent = put(path + std::to_string(at), bytes.substr(at, piece));
    ASSERT_EQ(sent.status, 200) << sent.body;
  }
}

nlohmann::json Served::wait_for(const std::string& id, const std::function<bool(const nlohmann::json&)>& is_so,
                                double longest_s) const {
  const double until_s = now_s() + longest_s;
  nlohmann::json now = visit(id);
  while (!is_so(now) && now_s() < until_s) {
    pause();
    now = visit(id);
  }
  EXPECT_TRUE(is_so(now)) << now.dump(1);
  return now;
}

nlohmann::json Served::wait_for_state(const std::string& id, const std::string& slot, const std::string& state) const {
  return wait_for(id,
                  [&](const nlohmann::json& visit) { return visit["tests"][slot]["state"] == state; })["tests"][slot];
}

}  // namespace risetrace::test
