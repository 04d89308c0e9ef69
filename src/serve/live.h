// Filming and measuring at once: the recording comes in pieces, goes to a file and to a worker, and what the worker
// says goes out as events.
#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "serve/desk.h"
#include "serve/events.h"

namespace risetrace::serve {

struct LiveEnd {
  std::string visit;
  std::string slot;
  std::filesystem::path recording;
  std::string name;     // for clip_file_for
  Claims::Claim claim;  // on what arrives in the slot
};

// What a server that ended left of recordings in a slot's folder.
std::vector<LiveEnd> left_recordings(const Draft& draft, Claims& claims);

class Lives {
 public:
  Lives(Desk& desk, Events& events, std::filesystem::path program);
  Lives(const Lives&) = delete;
  Lives& operator=(const Lives&) = delete;
  ~Lives();

  // An ID. One at a time in a slot. Throws Refusal.
  std::string begin(const std::string& visit, const std::string& slot, const std::string& mime,
                    const std::vector<std::string>& arguments);
  // Piece number `n`, from 0 on, in order; whether the worker still takes them. Throws Refusal: 409 wrong-piece with
  // the number wanted in `wanted`.
  bool push(const std::string& live, std::uint64_t n, const std::string& bytes, std::uint64_t& wanted);
  // The recording is whole. Waits until the worker has said its last.
  LiveEnd end(const std::string& live);
  // Those that nothing has come of for so long: their page is gone.
  [[nodiscard]] std::vector<std::string> forgotten(double after_s = 60);
  // The recording is dropped.
  void abandon(const std::string& live);
  // All of a visit, or of one test of it; dropped.
  void abandon_of(const std::string& visit, const std::string& slot = "");

 private:
  struct Live;
  std::shared_ptr<Live> find(const std::string& live, bool take_out);
  void follow(Live& live, const std::vector<std::string>& arguments);

  Desk& desk_;
  Events& events_;
  std::filesystem::path program_;
  std::mutex mutex_;
  std::map<std::string, std::shared_ptr<Live>> lives_;
};

}  // namespace risetrace::serve
