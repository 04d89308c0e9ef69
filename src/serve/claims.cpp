#include "serve/claims.h"

#include <chrono>

#include "serve/refusal.h"

namespace risetrace::serve {
namespace {

// Minutes, and nobody knows how many: not waited for.
bool is_long(Use use) { return use == Use::live || use == Use::measuring; }

Refusal busy(Use use) {
  switch (use) {
    case Use::upload:
      return {409, "upload-busy", "this test's clip is being sent already", "another request appends to it",
              "wait until that one has ended"};
    case Use::live:
      return {409, "recording-already", "this test is being recorded", "in another tab or on another device",
              "end that recording first"};
    case Use::measuring:
      return {409, "measuring-already", "the clip is being measured", "it was asked for before", "wait, or cancel it"};
    default:
      return {409, "test-busy", "this test is being worked at", "something else was asked of it a moment ago",
              "wait a moment and try again"};
  }
}

}  // namespace

Claims::Claim Claims::claim(const std::string& id, const std::string& slot, Place place, Use use, double patience_s) {
  const Where where{id, slot, place};
  std::unique_lock lock(mutex_);
  const auto settled = [&] { return !uses_.contains(where) || is_long(uses_.at(where)); };
  freed_.wait_for(lock, std::chrono::duration<double>(patience_s), settled);
  if (uses_.contains(where)) throw busy(uses_.at(where));
  auto held = std::make_shared<const Held>(*this, where);
  uses_[where] = use;
  return held;
}

void Claims::let_go(const Where& where) {
  {
    const std::lock_guard lock(mutex_);
    uses_.erase(where);
  }
  freed_.notify_all();
}

void Claims::rename(const Where& where, Use use) {
  {
    const std::lock_guard lock(mutex_);
    uses_[where] = use;
  }
  freed_.notify_all();
}

}  // namespace risetrace::serve
