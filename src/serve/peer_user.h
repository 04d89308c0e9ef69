// Whose connection of this computer to itself it is.
#pragma once

#include <sys/types.h>

#include <string>

namespace risetrace::serve {

enum class PeerIs {
  of_user,   // of that user, who has it open
  nobodys,   // it was closed already: whose it was is not told any more
  not_told,  // the system does not say whose anything is
};

struct Peer {
  PeerIs is = PeerIs::not_told;
  uid_t user = 0;
};

// Who the other end of this IPv4 connection of this computer to itself belongs to, by Linux's /proc/net/tcp (proc(5)).
Peer peer_of(int socket);

// As above of the table's text: "0100007F:A1B2" (the peer's end) and the other one, which somebody listens at.
Peer peer_in_table(const std::string& table, const std::string& peer, const std::string& own);

}  // namespace risetrace::serve
