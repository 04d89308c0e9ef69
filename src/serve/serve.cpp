#include "serve/serve.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <thread>

#include "serve/guard.h"
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

void add_guard(HttpServer& server, Guard guard) {
  server.set_default_headers({{"Content-Security-Policy", content_security_policy},
                              {"X-Content-Type-Options", "nosniff"},
                              {"Referrer-Policy", "no-referrer"},
                              {"Cross-Origin-Resource-Policy", "same-origin"},
                              {"Cross-Origin-Opener-Policy", "same-origin"}});
  server.set_payload_max_length(guard.most_raw_bytes);
  server.set_pre_routing_handler([guard = std::move(guard)](const Request& request, Response& response) {
    const auto refusal = why_not(guard, asked_of(request));
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

std::function<bool(const std::string&)> local_hosts(int port) {
  return [colon_port = ":" + std::to_string(port)](const std::string& host) {
    return host == "127.0.0.1" + colon_port || host == "localhost" + colon_port;
  };
}

// Ends the server when that is asked for, and quick visits that have lain too long.
class Watchman {
 public:
  Watchman(const ServeHooks& hooks, HttpServer& server, Events& events, Desk& desk)
      : thread_([&hooks, &server, &events, &desk, this] {
          for (int tick = 0; !done_; ++tick) {
            if (hooks.stop_asked && hooks.stop_asked()) {
              events.close();
              server.end();
              return;
            }
            if (tick % 600 == 0) desk.remove_quick(quick_visits_last_s);
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

fs::path quick_folder() {
  std::error_code wrong;
  fs::path temporary = fs::temp_directory_path(wrong);
  return (wrong ? fs::path("/tmp") : temporary) / ("risetrace-quick-" + std::to_string(::getuid()));
}

}  // namespace

Outcome serve(const ServeOptions& options, const ServeHooks& hooks) {
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  auto lasting = DraftStore::open(options.record.parent_path() / "open-visits");
  if (!lasting) return lasting.error();
  auto quick = DraftStore::open(quick_folder());
  if (!quick) return quick.error();
  Events events;
  Desk desk(*std::move(lasting), *std::move(quick), events);

  HttpServer server(nullptr);
  int port = options.port;
  const bool bound =
      port == 0 ? (port = server.bind_to_any_port("127.0.0.1")) > 0 : server.bind_to_port("127.0.0.1", port);
  if (!bound) {
    return Error{Fault::option_wrong,
                 "port " + std::to_string(options.port) + " cannot be listened at: another program has it",
                 "choose another with --port, or 0 for any that is free"};
  }
  Jobs jobs(desk, {options.program, options.record, options.measuring_at_once, {}});
  Site site{desk, jobs, events, options.models, options.record, options.program, options.version, options.lan, ""};
  Guard guard;
  guard.is_ours = local_hosts(port);
  add_guard(server, guard);
  add_visit_routes(server, site);
  add_upload_routes(server, site);
  add_test_routes(server, site);
  add_screen_routes(server, site);
  add_event_routes(server, site);
  add_page_routes(server, site);
  jobs.take_up();
  if (hooks.on_open) hooks.on_open({{"http://127.0.0.1:" + std::to_string(port) + "/"}, ""});
  {
    const Watchman watchman(hooks, server, events, desk);
    server.listen_after_bind();
  }
  events.close();
  desk.remove_quick(0);
  return Done{};
}

}  // namespace risetrace::serve
