#include "serve/door.h"

#include <openssl/crypto.h>

#include <algorithm>
#include <cmath>

#include "serve/random_id.h"

namespace risetrace::serve {
namespace {

constexpr int code_digits = 8;
constexpr int most_wrong = 10;
constexpr double first_wait_s = 1;
constexpr double longest_wait_s = 60;
constexpr std::size_t most_addresses = 1000;
constexpr std::size_t most_sessions = 200;

// As typed: with blanks or a line between the halves.
std::string digits_of(const std::string& text) {
  std::string digits;
  for (const char c : text) {
    if (c >= '0' && c <= '9') digits += c;
  }
  return digits;
}

bool same(const std::string& a, const std::string& b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace

std::string cookie_value(const std::string& header, const std::string& name) {
  std::size_t from = 0;
  while (from < header.size()) {
    const std::size_t end = std::min(header.find(';', from), header.size());
    const std::size_t begin = header.find_first_not_of(' ', from);
    if (begin < end && header.compare(begin, name.size() + 1, name + "=") == 0) {
      return header.substr(begin + name.size() + 1, end - begin - name.size() - 1);
    }
    from = end + 1;
  }
  return "";
}

Door::Door(std::function<void(const std::string&)> on_code, std::function<double()> now_s)
    : on_code_(std::move(on_code)), now_s_(std::move(now_s)) {
  renew_code();
  tell_code();
}

void Door::renew_code() {
  code_ = random_digits(code_digits);
  wrong_ = 0;
}

// Without the door's own lock: a terminal that is held up would hold up everybody who is in.
void Door::tell_code() {
  const std::lock_guard one_after_the_other(telling_);
  {
    const std::lock_guard lock(mutex_);
    if (told_ == code_) return;
    told_ = code_;
  }
  if (on_code_) on_code_(told_);
}

Door::Entry Door::enter(const std::string& code, const std::string& address) {
  Entry entry = look_at(code, address);
  tell_code();
  return entry;
}

Door::Entry Door::look_at(const std::string& code, const std::string& address) {
  const std::lock_guard lock(mutex_);
  const double now_s = now_s_();
  if (tries_.size() >= most_addresses) tries_.clear();
  Tries& tries = tries_[address];
  if (now_s < tries.not_before_s) return {false, "", tries.not_before_s - now_s};
  if (same(digits_of(code), code_)) {
    tries_.erase(address);
    std::erase_if(sessions_, [&](const auto& one) { return one.second <= now_s; });
    if (sessions_.size() >= most_sessions) sessions_.erase(sessions_.begin());
    const std::string cookie = random_id();
    sessions_[cookie] = now_s + session_lasts_s;
    renew_code();
    return {true, cookie, 0};
  }
  ++tries.wrong;
  const double wait_s = std::min(longest_wait_s, first_wait_s * std::pow(2.0, std::min(tries.wrong, 20) - 1));
  tries.not_before_s = now_s + wait_s;
  if (++wrong_ >= most_wrong) renew_code();
  return {false, "", wait_s};
}

bool Door::knows(const std::string& cookie_header) {
  const std::string cookie = cookie_value(cookie_header, cookie_name);
  if (!is_id(cookie)) return false;
  const std::lock_guard lock(mutex_);
  const auto found = sessions_.find(cookie);
  return found != sessions_.end() && found->second > now_s_();
}

void Door::leave(const std::string& cookie_header) {
  const std::lock_guard lock(mutex_);
  sessions_.erase(cookie_value(cookie_header, cookie_name));
}

}  // namespace risetrace::serve
