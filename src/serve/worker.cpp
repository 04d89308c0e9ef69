#include "serve/worker.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <system_error>

#include "base/close_file.h"
#include "serve/clock.h"

namespace risetrace::serve {
namespace {

constexpr std::size_t longest_line = std::size_t{64} * 1024;
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool addresses_limited = false;  // a sanitizer takes terabytes of them for itself
#else
constexpr bool addresses_limited = true;
#endif
constexpr double patience_s = 5;  // between being asked to end and being made to

void limit(__rlimit_resource_t what, std::uint64_t most) {
  const rlimit both{most, most};
  ::setrlimit(what, &both);
}

struct Ends {
  int in;
  int out;
  int error;
};

// In the child, between fork and exec: system calls only.
[[noreturn]] void become(const WorkerOptions& options, char* const* argv, const Ends& ends, pid_t parent) {
  ::setpgid(0, 0);
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  ::prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  if (::getppid() != parent) ::_exit(127);  // it died before the line above
  ::dup2(ends.in, STDIN_FILENO);
  ::dup2(ends.out, STDOUT_FILENO);
  ::dup2(ends.error, STDERR_FILENO);
  ::close_range(3, ~0U, 0);
  for (const int signal : {SIGINT, SIGTERM, SIGPIPE, SIGHUP, SIGXFSZ, SIGCHLD}) ::signal(signal, SIG_DFL);
  sigset_t none;
  ::sigemptyset(&none);
  ::sigprocmask(SIG_SETMASK, &none, nullptr);
  limit(RLIMIT_CORE, 0);
  if (addresses_limited) limit(RLIMIT_AS, options.most_memory_bytes);
  limit(RLIMIT_FSIZE, options.most_file_bytes);
  limit(RLIMIT_CPU, static_cast<std::uint64_t>(options.most_cpu_s));
  ::setpriority(PRIO_PROCESS, 0, options.nice);
  if (::chdir(options.folder.c_str()) != 0) ::_exit(126);
  ::execv(options.program.c_str(), argv);
  ::_exit(127);
}

}  // namespace

Worker::~Worker() {
  if (process_ > 0) {
    ::kill(-process_, SIGKILL);
    ::waitpid(process_, nullptr, 0);
  }
  close_file(input_);
  close_file(out_.file);
  close_file(error_.file);
}

Outcome Worker::start(const WorkerOptions& options) {
  options_ = options;
  std::array<int, 2> in{-1, -1};
  std::array<int, 2> out{-1, -1};
  std::array<int, 2> error{-1, -1};
  bool made = ::pipe2(out.data(), O_CLOEXEC) == 0 && ::pipe2(error.data(), O_CLOEXEC) == 0;
  if (options.feeds) {
    made = made && ::pipe2(in.data(), O_CLOEXEC) == 0;
  } else {
    in[0] = ::open("/dev/null", O_RDONLY | O_CLOEXEC);
  }
  std::vector<char*> argv;
  std::string name = options_.program.string();
  argv.push_back(name.data());
  for (std::string& word : options_.arguments) argv.push_back(word.data());
  argv.push_back(nullptr);
  const pid_t parent = ::getpid();
  if (made) process_ = ::fork();
  if (process_ == 0) become(options_, argv.data(), {in[0], out[1], error[1]}, parent);
  const int why = errno;
  if (process_ > 0) ::setpgid(process_, process_);  // here too: it may be asked to end before it has done so itself
  close_file(in[0]);
  close_file(out[1]);
  close_file(error[1]);
  input_ = in[1];
  out_ = {out[0], {}, &options_.on_out_line, nullptr};
  error_ = {error[0], {}, &options_.on_error_line, &last_error_line_};
  if (process_ < 0) {
    return Error{Fault::defect, "no process can be started: " + std::generic_category().message(why), "try again"};
  }
  if (input_ >= 0) ::fcntl(input_, F_SETFL, O_NONBLOCK);
  return Done{};
}

// False once the other end is closed.
bool Worker::read_some(Pipe& pipe) {
  std::array<char, 4096> bytes{};
  const ssize_t got = ::read(pipe.file, bytes.data(), bytes.size());
  if (got < 0 && errno == EINTR) return true;
  const auto finish_line = [&] {
    if (pipe.line.empty()) return;
    if (pipe.last != nullptr) *pipe.last = pipe.line;
    if (*pipe.on_line) (*pipe.on_line)(pipe.line);
    pipe.line.clear();
  };
  if (got <= 0) {
    finish_line();
    return false;
  }
  for (ssize_t i = 0; i < got; ++i) {
    const char c = bytes[static_cast<std::size_t>(i)];
    if (c == '\n') {
      finish_line();
    } else if (pipe.line.size() < longest_line) {
      pipe.line += c;
    }
  }
  return true;
}

void Worker::signal_if_asked(double& asked_at_s) const {
  if (!end_asked_) return;
  if (asked_at_s == 0) {
    asked_at_s = steady_s();
    ::kill(-process_, SIGTERM);
  } else if (steady_s() - asked_at_s > patience_s) {
    ::kill(-process_, SIGKILL);
  }
}

// Of what it says, until it has ended; what others hold its pipes open for is waited for a moment only.
void Worker::listen(int longest_ms) {
  std::array<pollfd, 2> both{pollfd{out_.file, POLLIN, 0}, pollfd{error_.file, POLLIN, 0}};
  if (out_.file < 0 && error_.file < 0) {
    ::poll(nullptr, 0, std::min(longest_ms, 20));
    return;
  }
  if (::poll(both.data(), both.size(), longest_ms) <= 0) return;
  heard_s_ = steady_s();
  if (both[0].revents != 0 && !read_some(out_)) close_file(out_.file);
  if (both[1].revents != 0 && !read_some(error_)) close_file(error_.file);
}

WorkerEnd Worker::run() {
  const double began_s = steady_s();
  double asked_at_s = 0;
  heard_s_ = began_s;
  WorkerEnd end;
  int state = 0;
  pid_t gone = 0;
  while ((gone = ::waitpid(process_, &state, WNOHANG)) == 0 || (gone < 0 && errno == EINTR)) {
    if (!end_asked_ && (steady_s() - heard_s_ > options_.most_silence_s || steady_s() - began_s > options_.most_s)) {
      end.hung = true;
      end_it();
    }
    signal_if_asked(asked_at_s);
    listen(50);
  }
  ::kill(-process_, SIGKILL);  // whatever it left running
  process_ = -1;
  const double until_s = steady_s() + 1;
  while ((out_.file >= 0 || error_.file >= 0) && steady_s() < until_s) listen(50);
  close_file(out_.file);
  close_file(error_.file);
  ended_ = true;
  close_input();
  if (gone > 0) end.status = WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
  end.last_line = last_error_line_;
  return end;
}

bool Worker::write(const char* bytes, std::size_t count) {
  const std::lock_guard lock(input_mutex_);
  std::size_t done = 0;
  while (done < count && input_ >= 0) {
    const ssize_t written = ::write(input_, bytes + done, count - done);
    if (written > 0) {
      done += static_cast<std::size_t>(written);
    } else if (errno == EAGAIN) {
      pollfd room{input_, POLLOUT, 0};
      if (::poll(&room, 1, static_cast<int>(patience_s * 1000)) <= 0) return false;
    } else if (errno != EINTR) {
      return false;
    }
  }
  return done == count;
}

void Worker::close_input() {
  const std::lock_guard lock(input_mutex_);
  close_file(input_);
}

}  // namespace risetrace::serve
