// Server-Sent Events (HTML Living Standard, section 9.2).
#include "serve/site.h"

namespace risetrace::serve {
namespace {

void listen(Site& site, Response& response) {
  const auto listener = site.events.listen();
  if (!listener) {
    throw Refusal{503, "too-many-listeners", "too many pages are open", "no more can be told of what happens",
                  "close some of them"};
  }
  response.set_header("Cache-Control", "no-store");
  response.set_chunked_content_provider(
      "text/event-stream", [&site, listener](std::size_t offset, httplib::DataSink& sink) {
        constexpr double silence_s = 10;
        std::string text;
        if (offset == 0) {
          text = "retry: 1000\n\ndata: {\"what\":\"hello\"}\n\n";
        } else {
          double waited_s = 0;
          std::optional<std::string> json;
          while (!json && waited_s < silence_s && !site.events.closed() && sink.is_writable()) {
            json = site.events.next(*listener, 1);  // a client that has gone is seen within a second
            waited_s += 1;
          }
          if (site.events.closed() || !sink.is_writable()) return false;
          text = json ? "data: " + *json + "\n\n" : ": still here\n\n";
        }
        return sink.write(text.data(), text.size());
      });
}

}  // namespace

void add_event_routes(HttpServer& server, Site& site) {
  server.Get("/api/events", guarded([&site](const Request&, Response& response) { listen(site, response); }));
}

}  // namespace risetrace::serve
