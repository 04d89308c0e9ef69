// Who may come in over the network: a code is read off the screen of this computer and typed once; a cookie stands for
// it from then on.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <string>

namespace risetrace::serve {

class Door {
 public:
  // `on_code` is told the first code and every new one; `now_s` is a clock.
  Door(std::function<void(const std::string&)> on_code, std::function<double()> now_s);

  struct Entry {
    bool in = false;
    std::string cookie;  // the session, where in
    double wait_s = 0;   // before the next try from there is looked at; this one was not, or was wrong
  };
  // A right code is used up. A wrong one makes the next try from that address wait, twice as long each time; after ten
  // wrong ones, from wherever, the code is another.
  Entry enter(const std::string& code, const std::string& address);
  // Of the request's whole Cookie header.
  bool knows(const std::string& cookie_header);
  void leave(const std::string& cookie_header);

 private:
  struct Tries {
    int wrong = 0;
    double not_before_s = 0;
  };
  Entry look_at(const std::string& code, const std::string& address);
  void renew_code();
  void tell_code();

  std::function<void(const std::string&)> on_code_;
  std::function<double()> now_s_;
  std::mutex mutex_;
  std::string code_;
  std::string told_;  // the last one that on_code was told
  std::mutex telling_;
  int wrong_ = 0;                           // of this code
  std::map<std::string, Tries> tries_;      // by address
  std::map<std::string, double> sessions_;  // cookie -> when it ends
};

// The value of that name in a Cookie header; empty: none.
std::string cookie_value(const std::string& header, const std::string& name);

inline constexpr const char* cookie_name = "__Host-risetrace";
inline constexpr double session_lasts_s = 12 * 3600;

}  // namespace risetrace::serve
