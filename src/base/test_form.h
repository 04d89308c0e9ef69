// Which test, on which leg, with the knee how: told apart in results, sessions and the record by the same words.
#pragma once

#include <optional>
#include <string_view>

namespace risetrace {

enum class Test { heel_raise, hop, lunge };
enum class Side { not_stated, left, right, both };
enum class Knee { not_stated, straight, bent };

// As files and the command line spell them: "heel-raise", "hop", "lunge"; "left", "right", "both", "not-stated"; ...
const char* key_of(Test test);
const char* key_of(Side side);
const char* key_of(Knee knee);

// Empty for any other word. "not-stated" is a side's and a knee's word too.
std::optional<Test> test_from(std::string_view key);
std::optional<Side> side_from(std::string_view key);
std::optional<Knee> knee_from(std::string_view key);

}  // namespace risetrace
