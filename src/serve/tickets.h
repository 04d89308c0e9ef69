// What a phone gets by a picture on the screen: the right to send one clip for one test, and nothing else.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace risetrace::serve {

struct Ticket {
  std::string visit;
  std::string slot;
  std::string upload;  // the one it was used for; empty: not used yet
  double ends_s = 0;
};

class Tickets {
 public:
  explicit Tickets(std::function<double()> now_s) : now_s_(std::move(now_s)) {}

  // For a quarter of an hour. An earlier one of the same test ends.
  std::string issue(const std::string& visit, const std::string& slot);
  // Empty where it is none or over.
  std::optional<Ticket> find(const std::string& ticket);
  // Uses it up for that upload, which may then take its time. False where it was used for another.
  bool use(const std::string& ticket, const std::string& upload);

 private:
  std::function<double()> now_s_;
  std::mutex mutex_;
  std::map<std::string, Ticket> tickets_;
};

inline constexpr double ticket_lasts_s = 15 * 60;
inline constexpr double used_ticket_lasts_s = 2 * 3600;  // a long clip over a slow network, and its measuring

// The rows of a QR code's modules, 1 is dark; without the quiet zone round it (ISO/IEC 18004 asks for four modules).
std::vector<std::string> qr_rows(const std::string& text);

}  // namespace risetrace::serve
