#include "serve/tickets.h"

#include <qrcodegen/qrcodegen.hpp>

#include "serve/random_id.h"

namespace risetrace::serve {
namespace {

constexpr std::size_t most_tickets = 200;

}  // namespace

std::string Tickets::issue(const std::string& visit, const std::string& slot) {
  const std::lock_guard lock(mutex_);
  const double now_s = now_s_();
  std::erase_if(tickets_, [&](const auto& one) {
    const Ticket& other = one.second;
    return other.ends_s <= now_s || (other.visit == visit && other.slot == slot && other.upload.empty());
  });
  if (tickets_.size() >= most_tickets) tickets_.erase(tickets_.begin());
  const std::string ticket = random_id();
  tickets_[ticket] = {visit, slot, "", now_s + ticket_lasts_s};
  return ticket;
}

std::optional<Ticket> Tickets::find(const std::string& ticket) {
  const std::lock_guard lock(mutex_);
  const auto found = tickets_.find(ticket);
  if (found == tickets_.end() || found->second.ends_s <= now_s_()) return std::nullopt;
  return found->second;
}

bool Tickets::use(const std::string& ticket, const std::string& upload) {
  const std::lock_guard lock(mutex_);
  const auto found = tickets_.find(ticket);
  if (found == tickets_.end() || found->second.ends_s <= now_s_()) return false;
  if (found->second.upload.empty()) {
    found->second.upload = upload;
    found->second.ends_s = now_s_() + used_ticket_lasts_s;
  }
  return found->second.upload == upload;
}

std::vector<std::string> qr_rows(const std::string& text) {
  const auto code = qrcodegen::QrCode::encodeText(text.c_str(), qrcodegen::QrCode::Ecc::MEDIUM);
  std::vector<std::string> rows;
  for (int y = 0; y < code.getSize(); ++y) {
    std::string row;
    for (int x = 0; x < code.getSize(); ++x) row += code.getModule(x, y) ? '1' : '0';
    rows.push_back(row);
  }
  return rows;
}

}  // namespace risetrace::serve
