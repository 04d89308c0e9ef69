#include "serve/peer_user.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdio>
#include <fstream>
#include <sstream>

namespace risetrace::serve {
namespace {

using NameOf = int (*)(int, sockaddr*, socklen_t*);

// As the table writes it: the address as it lies in memory, the port in its natural order. Empty: not IPv4.
std::string end_of(int socket, NameOf name_of) {
  sockaddr_in in{};
  socklen_t size = sizeof in;
  if (name_of(socket, reinterpret_cast<sockaddr*>(&in), &size) != 0 || in.sin_family != AF_INET) return "";  // NOLINT
  std::array<char, 24> text{};
  std::snprintf(text.data(), text.size(), "%08X:%04X", in.sin_addr.s_addr, ntohs(in.sin_port));
  return text.data();
}

}  // namespace

// A connection that its process has closed has no inode, and then root's number in place of the user's; one that was
// reset has no line. Neither tells whose it was, so neither may come in where the table tells of our own socket.
Peer peer_in_table(const std::string& table, const std::string& peer, const std::string& own) {
  std::istringstream lines(table);
  std::string line;
  std::getline(lines, line);  // the heads
  const std::string own_port = own.substr(std::min(own.find(':'), own.size()));
  bool tells_of_us = false;
  while (std::getline(lines, line)) {
    std::istringstream fields(line);
    std::string number;
    std::string local;
    std::string remote;
    std::string state;
    std::string skipped;
    uid_t user = 0;
    std::uint64_t inode = 0;
    fields >> number >> local >> remote >> state >> skipped >> skipped >> skipped >> user >> skipped >> inode;
    if (!fields) continue;
    if (local == peer && remote == own) return inode != 0 ? Peer{PeerIs::of_user, user} : Peer{PeerIs::nobodys, 0};
    tells_of_us = tells_of_us || (state == "0A" && local.ends_with(own_port));
  }
  return {tells_of_us ? PeerIs::nobodys : PeerIs::not_told, 0};
}

Peer peer_of(int socket) {
  const std::string own = end_of(socket, ::getsockname);
  const std::string peer = end_of(socket, ::getpeername);
  if (own.empty()) return {};
  if (peer.empty()) return {PeerIs::nobodys, 0};  // reset already
  Peer found;
  for (int tries = 0; tries < 3; ++tries) {  // the table may miss a line while others come and go
    std::ifstream file("/proc/net/tcp");
    std::ostringstream table;
    table << file.rdbuf();
    found = peer_in_table(table.str(), peer, own);
    if (found.is == PeerIs::of_user) break;
  }
  return found;
}

}  // namespace risetrace::serve
