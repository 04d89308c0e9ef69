// A value, or the reason why there is none. Nothing is thrown across rooms.
#pragma once

#include <utility>
#include <variant>

#include "base/error.h"

namespace risetrace {

template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::in_place_index<0>, std::move(value)) {}      // NOLINT(google-explicit-constructor)
  Result(Error error) : held_(std::in_place_index<1>, std::move(error)) {}  // NOLINT(google-explicit-constructor)

  [[nodiscard]] bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }

  // Only to be called after ok() said true.
  T& value() & { return std::get<0>(held_); }
  const T& value() const& { return std::get<0>(held_); }
  T&& value() && { return std::get<0>(std::move(held_)); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  // Only to be called after ok() said false.
  [[nodiscard]] const Error& error() const { return std::get<1>(held_); }

 private:
  std::variant<T, Error> held_;
};

struct Done {};
using Outcome = Result<Done>;  // for what yields nothing but success or a reason

}  // namespace risetrace
