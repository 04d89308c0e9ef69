// Who is at work in a test's folder. One table: whatever writes there holds a claim for as long as it does.
#pragma once

#include <condition_variable>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <tuple>

namespace risetrace::serve {

// Two may be at work in a test at a time: what brings a clip, and what is made of the one that is there.
enum class Place { arrival, result };
enum class Use { upload, live, taking_in, measuring, correcting, previewing, taking_out };

class Claims {
 public:
  class Held {
   public:
    Held(Claims& claims, std::tuple<std::string, std::string, Place> where)
        : claims_(claims), where_(std::move(where)) {}
    Held(const Held&) = delete;
    Held& operator=(const Held&) = delete;
    ~Held() { claims_.let_go(where_); }
    void becomes(Use use) const { claims_.rename(where_, use); }

   private:
    Claims& claims_;
    std::tuple<std::string, std::string, Place> where_;
  };
  using Claim = std::shared_ptr<const Held>;  // given back with the last copy; the table outlives it

  // Waits so long for whoever has it, where that one is soon done; then throws Refusal 409, saying who.
  Claim claim(const std::string& id, const std::string& slot, Place place, Use use, double patience_s = 3);

 private:
  using Where = std::tuple<std::string, std::string, Place>;
  void let_go(const Where& where);
  void rename(const Where& where, Use use);

  std::mutex mutex_;
  std::condition_variable freed_;
  std::map<Where, Use> uses_;
};

}  // namespace risetrace::serve
