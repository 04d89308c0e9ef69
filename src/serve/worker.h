// One of the program's own commands as a process apart: what a crafted clip can reach is that process, not the server.
#pragma once

#include <sys/types.h>

#include <atomic>
#include <filesystem>
#include <functional>
#include <mutex>
#include <string>
#include <vector>

#include "base/result.h"

namespace risetrace::serve {

struct WorkerOptions {
  std::filesystem::path program;       // of risetrace itself
  std::vector<std::string> arguments;  // without the program's name
  std::filesystem::path folder;        // to run in
  bool feeds = false;                  // its standard input is fed with write(); else it has none
  // Each line of its standard output and error, without the line's end, from the thread that runs it. May be empty.
  std::function<void(const std::string&)> on_out_line;
  std::function<void(const std::string&)> on_error_line;
  int nice = 10;
  std::uint64_t most_memory_bytes = std::uint64_t{6} << 30U;  // of addresses
  std::uint64_t most_file_bytes = std::uint64_t{16} << 30U;
  int most_cpu_s = 3600;
  double most_silence_s = 600;  // it says nothing: it hangs, and is ended
  double most_s = 4 * 3600.0;   // of the clock on the wall
};

struct WorkerEnd {
  int status = -1;        // exit status; 128 + N where signal N ended it; -1: not known
  std::string last_line;  // of standard error
  bool hung = false;      // it was ended because it said nothing, or took too long
};

// Started, run to its end by one thread; end_it() and write() may be called from others. It dies with the thread that
// started it, whatever becomes of the server.
class Worker {
 public:
  Worker() = default;
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;
  ~Worker();

  // Fault defect: no process can be made.
  Outcome start(const WorkerOptions& options);
  // Reads what it says until it ends.
  WorkerEnd run();
  // Asks it to end in order; after some seconds it is made to.
  void end_it() { end_asked_ = true; }
  [[nodiscard]] bool ended() const { return ended_; }
  // To its standard input; false where it takes no more, or not within some seconds.
  bool write(const char* bytes, std::size_t count);
  void close_input();

 private:
  struct Pipe {
    int file = -1;
    std::string line;
    const std::function<void(const std::string&)>* on_line = nullptr;
    std::string* last = nullptr;
  };
  bool read_some(Pipe& pipe);
  void listen(int longest_ms);
  void signal_if_asked(double& asked_at_s) const;

  WorkerOptions options_;
  pid_t process_ = -1;
  Pipe out_;
  Pipe error_;
  std::string last_error_line_;
  double heard_s_ = 0;
  std::mutex input_mutex_;
  int input_ = -1;
  std::atomic<bool> end_asked_ = false;
  std::atomic<bool> ended_ = false;
};

}  // namespace risetrace::serve
