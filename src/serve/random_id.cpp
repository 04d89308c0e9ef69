#include "serve/random_id.h"

#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cstdlib>

namespace risetrace::serve {
namespace {

void fill(unsigned char* bytes, std::size_t count) {
  std::size_t done = 0;
  while (done < count) {
    const ssize_t got = ::getrandom(bytes + done, count - done, 0);
    if (got < 0 && errno != EINTR) std::abort();  // a kernel without it: nothing here would be safe
    if (got > 0) done += static_cast<std::size_t>(got);
  }
}

}  // namespace

std::string random_id() {
  std::array<unsigned char, 16> bytes{};
  fill(bytes.data(), bytes.size());
  std::string text;
  for (const unsigned char byte : bytes) {
    text += "0123456789abcdef"[byte >> 4U];
    text += "0123456789abcdef"[byte & 15U];
  }
  return text;
}

bool is_id(std::string_view text) {
  return text.size() == 32 &&
         std::all_of(text.begin(), text.end(), [](char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); });
}

std::string random_digits(int count) {
  std::string text;
  while (text.size() < static_cast<std::size_t>(count)) {
    unsigned char byte = 0;
    fill(&byte, 1);
    if (byte < 250) text += static_cast<char>('0' + byte % 10);  // 250 is the greatest multiple of 10 in a byte
  }
  return text;
}

}  // namespace risetrace::serve
