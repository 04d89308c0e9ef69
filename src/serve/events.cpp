#include "serve/events.h"

#include <chrono>

namespace risetrace::serve {
namespace {

constexpr std::size_t most_waiting = 500;
constexpr std::size_t most_listeners = 24;

}  // namespace

struct Events::Listener {
  std::deque<std::string> waiting;
};

std::shared_ptr<Events::Listener> Events::listen() {
  const std::lock_guard lock(mutex_);
  std::erase_if(listeners_, [](const auto& one) { return one.expired(); });
  if (closed_ || listeners_.size() >= most_listeners) return nullptr;
  auto listener = std::make_shared<Listener>();
  listeners_.push_back(listener);
  return listener;
}

void Events::tell(const std::string& json) {
  {
    const std::lock_guard lock(mutex_);
    for (const auto& one : listeners_) {
      const auto listener = one.lock();
      if (!listener) continue;
      if (listener->waiting.size() < most_waiting) {
        listener->waiting.push_back(json);
      } else {
        listener->waiting.assign(1, R"({"what":"missed"})");
      }
    }
  }
  some_.notify_all();
}

std::optional<std::string> Events::next(Listener& listener, double longest_s) {
  std::unique_lock lock(mutex_);
  some_.wait_for(lock, std::chrono::duration<double>(longest_s), [&] { return closed_ || !listener.waiting.empty(); });
  if (listener.waiting.empty()) return std::nullopt;
  std::optional<std::string> json(std::move(listener.waiting.front()));
  listener.waiting.pop_front();
  return json;
}

void Events::close() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
  }
  some_.notify_all();
}

bool Events::closed() const {
  const std::lock_guard lock(mutex_);
  return closed_;
}

std::size_t Events::listeners() const {
  const std::lock_guard lock(mutex_);
  std::size_t count = 0;
  for (const auto& one : listeners_) count += one.expired() ? 0 : 1;
  return count;
}

}  // namespace risetrace::serve
