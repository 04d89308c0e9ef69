// Whose connection of this computer to itself it is.
#pragma once

#include <sys/types.h>

#include <optional>
#include <string>

namespace risetrace::serve {

// The user that the other end of this IPv4 connection belongs to, where that end is on this computer, by Linux's
// /proc/net/tcp (proc(5)). Empty where it is not told.
std::optional<uid_t> user_of_peer(int socket);

// As above of the table's text: "0100007F:A1B2" (the peer's end) and the other one.
std::optional<uid_t> user_in_table(const std::string& table, const std::string& peer, const std::string& own);

}  // namespace risetrace::serve
