// From one thread to another, in order, a few at a time.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <mutex>
#include <optional>
#include <utility>

namespace risetrace {

// One thread puts, one takes.
template <typename T>
class HandOver {
 public:
  // Waits while `most` or more lie ready; at least one finds room. False: none is wanted any more.
  bool put(T item, std::size_t most) {
    std::unique_lock lock(mutex_);
    room_.wait(lock, [&] { return abandoned_ || ready_.empty() || ready_.size() < most; });
    if (abandoned_) return false;
    ready_.push_back(std::move(item));
    lock.unlock();
    some_.notify_one();
    return true;
  }
  // Waits for the next; empty once no more will come, or none is wanted.
  std::optional<T> take() {
    std::unique_lock lock(mutex_);
    some_.wait(lock, [&] { return over_or_ready(); });
    return taken(lock);
  }
  // The same, but no longer than this. `waited`: it was in vain, more may still come.
  std::optional<T> take_within(std::chrono::duration<double> most, bool& waited) {
    std::unique_lock lock(mutex_);
    waited = !some_.wait_for(lock, most, [&] { return over_or_ready(); });
    if (waited) return std::nullopt;
    return taken(lock);
  }
  // By the one who puts: no more will come.
  void close() {
    {
      const std::lock_guard lock(mutex_);
      closed_ = true;
    }
    some_.notify_one();
  }
  // By either: what lies ready is not wanted, nor is more.
  void abandon() {
    {
      const std::lock_guard lock(mutex_);
      abandoned_ = true;
    }
    room_.notify_one();
    some_.notify_one();
  }

 private:
  [[nodiscard]] bool over_or_ready() const { return closed_ || abandoned_ || !ready_.empty(); }
  std::optional<T> taken(std::unique_lock<std::mutex>& lock) {
    if (abandoned_ || ready_.empty()) return std::nullopt;
    std::optional<T> item(std::move(ready_.front()));
    ready_.pop_front();
    lock.unlock();
    room_.notify_one();
    return item;
  }

  std::mutex mutex_;
  std::condition_variable room_;
  std::condition_variable some_;
  std::deque<T> ready_;
  bool closed_ = false;
  bool abandoned_ = false;
};

}  // namespace risetrace
