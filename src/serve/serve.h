// The local page: visits entered, clips uploaded and measured by workers, papers shown, the record kept. On this
// machine only, unless asked otherwise; nothing is ever sent anywhere else.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "base/result.h"

namespace risetrace::serve {

struct ServeOptions {
  std::filesystem::path program;  // risetrace itself: the workers are its own commands
  std::filesystem::path models;
  std::filesystem::path record;  // the record's file; open visits lie beside it
  std::string version;
  int port = 0;      // 0: any that is free
  bool lan = false;  // for others on the network too, over TLS
  int measuring_at_once = 1;
};

struct Opened {
  std::vector<std::string> addresses;  // "http://127.0.0.1:8737/"
  std::string fingerprint;             // SHA-256 of the certificate; empty without --lan
};

struct ServeHooks {
  std::function<void(const Opened&)> on_open;
  std::function<void(const std::string& code)> on_code;  // with --lan: the code to be typed, whenever it is a new one
  std::function<bool()> stop_asked;                      // asked some times a second
};

// Until a stop is asked. Faults: cannot_write where the open visits cannot be kept; record_busy where another server
// has them; option_wrong where the port is taken.
Outcome serve(const ServeOptions& options, const ServeHooks& hooks);

}  // namespace risetrace::serve
