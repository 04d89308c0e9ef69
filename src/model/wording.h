// The sentences of one audience in one language: a table of keys, so that a language is a file.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace risetrace::model {

struct Wording {
  std::string language;  // BCP 47: "en", "de"
  std::string audience;  // "clinician", "runner"
  std::string decimal_mark = ".";
  std::map<std::string, std::string> words;

  // The sentence, its {names} filled in. An unknown key gives the key itself in brackets: seen at once, never empty.
  [[nodiscard]] std::string say(const std::string& key, const std::map<std::string, std::string>& fill = {}) const;
  [[nodiscard]] bool has(const std::string& key) const { return words.contains(key); }
  // "12.3", or "12,3"; "–" is for the caller where nothing is known.
  [[nodiscard]] std::string number(double value, int decimals) const;
};

}  // namespace risetrace::model
