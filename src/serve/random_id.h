// Numbers that cannot be guessed: visits, uploads, tickets and cookies are called by them.
#pragma once

#include <string>
#include <string_view>

namespace risetrace::serve {

// 128 bits from the system's generator, 32 hexadecimal digits.
std::string random_id();

// 32 hexadecimal digits, small letters: the only form of an ID that is looked up at all.
bool is_id(std::string_view text);

// So many decimal digits, each as likely: a code to be read from one screen and typed on another.
std::string random_digits(int count);

}  // namespace risetrace::serve
