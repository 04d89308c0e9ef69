// How this computer is called on its networks.
#pragma once

#include <string>
#include <vector>

namespace risetrace::serve {

// IPv4 addresses of the interfaces that are up, but the loopback's.
std::vector<std::string> lan_addresses();

// Is "HOST:PORT" one that this computer answers to: 127.0.0.1, localhost; with `lan` also its addresses and its name?
bool is_own_host(const std::string& host, int port, bool lan);

}  // namespace risetrace::serve
