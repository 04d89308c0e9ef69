#include "serve/serve.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <thread>

#include "serve/addresses.h"
#include "serve/certificate.h"
#include "serve/clock.h"
#include "serve/guard.h"
#include "serve/random_id.h"
#include "serve/site.h"

namespace risetrace::serve {
namespace {

namespace fs = std::filesystem;

constexpr double quick_visits_last_s = 12 * 3600;

Asked asked_of(const Request& request) {
  const auto header = [&](const char* name) { return request.get_header_value(name); };
  return {request.method,
          request.path,
          header("Host"),
          static_cast<int>(request.get_header_value_count("Host")),
          header("Origin"),
          header("Sec-Fetch-Site"),
          header("X-Risetrace"),
          header("Content-Type"),
          header("Content-Encoding"),
          header("Transfer-Encoding"),
          header("Content-Length"),
          static_cast<int>(request.get_header_value_count("Content-Length"))};
}

void add_guard(HttpServer& server, Site& site, Guard guard) {
  server.set_default_headers({{"Content-Security-Policy", content_security_policy},
                              {"X-Content-Type-Options", "nosniff"},
                              {"Referrer-Policy", "no-referrer"},
                              {"Cross-Origin-Resource-Policy", "same-origin"},
                              {"Cross-Origin-Opener-Policy", "same-origin"}});
  server.set_payload_max_length(guard.most_raw_bytes);
  server.set_pre_routing_handler([&site, guard = std::move(guard)](const Request& request, Response& response) {
    auto refusal = why_not(guard, asked_of(request));
    if (!refusal) refusal = why_not_in(site, request);
    if (!refusal) return httplib::Server::HandlerResponse::Unhandled;
    answer_refusal(response, *refusal);
    response.set_header("Connection", "close");
    return httplib::Server::HandlerResponse::Handled;
  });
  server.set_error_handler([](const Request&, Response& response) {
    if (response.body.empty() && response.status >= 400) {
      answer_refusal(response, {response.status, "not-done", "the request was not answered",
                                "there is no such address, or it cannot be asked so", "reload the page"});
    }
  });
}

// One thing that may fail without anybody waiting for it.
void try_to(const std::function<void()>& thing) {
  try {
    thing();
  } catch (const Refusal&) {  // it is tried again, or was done by somebody else meanwhile
  } catch (const std::exception&) {
  }
}

void close_quick_visits(Site& site, double older_than_s) {
  for (const std::string& id : site.desk.quick_ones(older_than_s)) {
    try_to([&] { close_visit(site, id); });
  }
}

void look_round(Site& site) {
  site.desk.save_unsaved();
  close_quick_visits(site, quick_visits_last_s);
  for (const std::string& live : site.lives.forgotten()) {
    try_to([&] { take_recording(site, site.lives.end(live)); });
  }
}

// Recordings that a server left when it ended become clips.
void take_left_recordings(Site& site) {
  for (const Draft& draft : site.desk.drafts()) {
    try_to([&] {
      for (const LiveEnd& end : left_recordings(draft, site.desk.claims())) take_recording(site, end);
    });
  }
}

// Ends the server when that is asked for, and what nobody comes back to.
class Watchman {
 public:
  Watchman(const ServeHooks& hooks, HttpServer& server, Site& site)
      : thread_([&hooks, &server, &site, this] {
          for (int tick = 0; !done_; ++tick) {
            if (hooks.stop_asked && hooks.stop_asked() && server.is_running()) {
              site.events.close();
              site.jobs.stop();
              server.end();
              return;
            }
            if (tick % 50 == 0) try_to([&] { look_round(site); });
            std::this_thread::sleep_for(std::chrono::milliseconds(100));
          }
        }) {}
  Watchman(const Watchman&) = delete;
  Watchman& operator=(const Watchman&) = delete;
  ~Watchman() {
    done_ = true;
    thread_.join();
  }

 private:
  std::atomic<bool> done_ = false;
  std::thread thread_;
};

// What of a measured clip the page shows beside result, trace and report.
std::vector<std::string> measure_extras() { return {"--frames"}; }

// A place for visits that are not to stay, gone with the server. What one that was killed left goes now.
class QuickPlace {
 public:
  QuickPlace() {
    std::error_code wrong;
    fs::path temporary = fs::temp_directory_path(wrong);
    if (wrong) temporary = "/tmp";
    const std::string begin = "risetrace-quick-" + std::to_string(::getuid()) + "-";
    path_ = temporary / (begin + random_id());
    std::vector<fs::path> left;
    for (fs::directory_iterator one(temporary, wrong), end; !wrong && one != end; one.increment(wrong)) {
      if (one->path().filename().string().starts_with(begin) && is_own_folder(one->path())) left.push_back(one->path());
    }
    for (const fs::path& folder : left) {
      if (const auto nobodys = DraftStore::open(folder)) fs::remove_all(folder, wrong);
    }
  }
  QuickPlace(const QuickPlace&) = delete;
  QuickPlace& operator=(const QuickPlace&) = delete;
  ~QuickPlace() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  static bool is_own_folder(const fs::path& path) {
    struct stat facts {};
    return ::lstat(path.c_str(), &facts) == 0 && S_ISDIR(facts.st_mode) && facts.st_uid == ::getuid();
  }
  fs::path path_;
};

Result<int> bind(HttpServer& server, const ServeOptions& options) {
  const char* at = options.lan ? "0.0.0.0" : "127.0.0.1";
  const int port = options.port == 0                       ? server.bind_to_any_port(at)
                   : server.bind_to_port(at, options.port) ? options.port
                                                           : -1;
  if (port > 0) server.widen_queue();
  if (port > 0) return port;
  return Error{Fault::option_wrong,
               "port " + std::to_string(options.port) + " cannot be listened at: another program has it",
               "choose another with --port, or 0 for any that is free"};
}

Opened opened_at(int port, const ServeOptions& options, const std::string& fingerprint) {
  const std::string end = ":" + std::to_string(port) + "/";
  if (!options.lan) return {{"http://127.0.0.1" + end}, ""};
  Opened opened{{}, fingerprint};
  for (const std::string& address : lan_addresses()) opened.addresses.push_back("https://" + address + end);
  opened.addresses.push_back("https://127.0.0.1" + end);
  return opened;
}

void add_routes(HttpServer& server, Site& site) {
  add_phone_routes(server, site);
  add_visit_routes(server, site);
  add_upload_routes(server, site);
  add_test_routes(server, site);
  add_correction_routes(server, site);
  add_live_routes(server, site);
  add_screen_routes(server, site);
  add_people_routes(server, site);
  add_event_routes(server, site);
  add_move_routes(server, site);
  add_page_routes(server, site);  // last: it takes what is left
}

}  // namespace

Outcome serve(const ServeOptions& options, const ServeHooks& hooks) {
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  std::signal(SIGCHLD, SIG_DFL);  // who started us may have had it ignored: no worker's end would be told
  // Standard input and output may be closed: no file of ours takes their numbers, which a worker is given.
  while (true) {
    const int number = ::open("/dev/null", O_RDWR | O_CLOEXEC);
    if (number > STDERR_FILENO || number < 0) {
      if (number >= 0) ::close(number);
      break;
    }
  }
  ::umask(077);  // whatever is made here or by a worker is of this user alone
  auto lasting = DraftStore::open(options.record.parent_path() / "open-visits");
  if (!lasting) return lasting.error();
  const QuickPlace quick_place;
  auto quick = DraftStore::open(quick_place.path());
  if (!quick) return quick.error();
  Tls tls;
  if (options.lan) {
    auto opened = open_tls(options.record.parent_path() / "serve-certificate.pem", lan_addresses());
    if (!opened) return opened.error();
    tls = *std::move(opened);
  }
  HttpServer server(tls.context.get());
  const auto port = bind(server, options);
  if (!port) return port.error();
  Events events;
  Desk desk(*std::move(lasting), *std::move(quick), events);
  Tickets tickets(steady_s);
  Lives lives(desk, events, options.program);
  Jobs jobs(desk, {options.program, options.record, options.measuring_at_once, measure_extras()});
  Site site{desk,    jobs,    events, options.models, options.record, options.version, options.lan, tls.fingerprint,
            nullptr, tickets, lives};
  Guard guard;
  guard.tls = options.lan;
  guard.is_ours = [port = *port, lan = options.lan](const std::string& host) { return is_own_host(host, port, lan); };
  add_guard(server, site, guard);
  add_routes(server, site);
  jobs.take_up();
  take_left_recordings(site);
  if (hooks.on_open) hooks.on_open(opened_at(*port, options, tls.fingerprint));
  std::optional<Door> door;
  if (options.lan) site.door = &door.emplace(hooks.on_code, steady_s);
  {
    const Watchman watchman(hooks, server, site);
    server.listen_after_bind();
  }
  events.close();
  close_quick_visits(site, 0);
  return Done{};
}

}  // namespace risetrace::serve
