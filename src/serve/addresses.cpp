#include "serve/addresses.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstring>

namespace risetrace::serve {
namespace {

std::string in_small_letters(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

}  // namespace

std::vector<std::string> lan_addresses() {
  std::vector<std::string> found;
  ifaddrs* all = nullptr;
  if (::getifaddrs(&all) != 0) return found;
  for (const ifaddrs* one = all; one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) continue;
    if ((one->ifa_flags & IFF_UP) == 0 || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
    sockaddr_in in{};
    std::memcpy(&in, one->ifa_addr, sizeof in);
    std::array<char, INET_ADDRSTRLEN> text{};
    ::inet_ntop(AF_INET, &in.sin_addr, text.data(), text.size());
    found.emplace_back(text.data());
  }
  ::freeifaddrs(all);
  return found;
}

bool is_own_host(const std::string& host, int port, bool lan) {
  const std::string colon_port = ":" + std::to_string(port);
  std::string name = in_small_letters(host);
  if (name.ends_with(colon_port)) {
    name.resize(name.size() - colon_port.size());
  } else if (port != (lan ? 443 : 80)) {  // a browser leaves its scheme's own port out
    return false;
  }
  if (name == "127.0.0.1" || name == "localhost") return true;
  if (!lan) return false;
  std::array<char, 256> own{};
  if (::gethostname(own.data(), own.size() - 1) == 0 && own[0] != '\0') {
    const std::string own_name = in_small_letters(own.data());
    if (name == own_name || name == own_name + ".local") return true;
  }
  const auto addresses = lan_addresses();
  return std::find(addresses.begin(), addresses.end(), name) != addresses.end();
}

}  // namespace risetrace::serve
