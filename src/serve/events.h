// What happens, told to every page that listens.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <list>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

namespace risetrace::serve {

class Events {
 public:
  struct Listener;

  // Null once too many listen already.
  std::shared_ptr<Listener> listen();
  // A line of JSON to each. Who does not keep up misses some and is told so with {"what":"missed"}.
  void tell(const std::string& json);
  // The next one; empty after `longest_s` without any. Not to be called after closed().
  std::optional<std::string> next(Listener& listener, double longest_s);
  // No more will come: everybody who waits is woken.
  void close();
  [[nodiscard]] bool closed() const;
  [[nodiscard]] std::size_t listeners() const;

 private:
  mutable std::mutex mutex_;
  std::condition_variable some_;
  std::list<std::weak_ptr<Listener>> listeners_;
  bool closed_ = false;
};

}  // namespace risetrace::serve
