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
  if (!host.ends_with(colon_port)) return false;
  const std::string name = host.substr(0, host.size() - colon_port.size());
  if (name == "127.0.0.1" || name == "localhost") return true;
  if (!lan) return false;
  std::array<char, 256> own{};
  if (::gethostname(own.data(), own.size() - 1) == 0 && own[0] != '\0' &&
      (name == own.data() || name == std::string(own.data()) + ".local")) {
    return true;
  }
  const auto addresses = lan_addresses();
  return std::find(addresses.begin(), addresses.end(), name) != addresses.end();
}

}  // namespace risetrace::serve
