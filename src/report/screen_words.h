// A visit's names and figures in the words of one audience: what all papers of a visit are written with.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "model/wording.h"
#include "report/screen_keys.h"
#include "visit/screen.h"

namespace risetrace::report {

using Fill = std::map<std::string, std::string>;

// Holds references only: screen and words outlive it.
class ScreenWords {
 public:
  ScreenWords(const visit::Screen& screen, const model::Wording& words) : screen_(screen), words_(words) {}

  [[nodiscard]] const visit::Screen& screen() const { return screen_; }
  [[nodiscard]] const model::Wording& words() const { return words_; }
  [[nodiscard]] std::string say(const std::string& key, const Fill& fill = {}) const { return words_.say(key, fill); }
  // What someone wrote or a file says, harmless to print; in the audience's language where the words have it under
  // "quoted.TEXT".
  [[nodiscard]] std::string quoted(const std::string& text) const;
  [[nodiscard]] std::string mark(const std::string& mark) const;  // "published"

  // "12.3", as few decimals as say it.
  [[nodiscard]] std::string plain(double value, int most_decimals = 1) const;
  // In the quantity's decimals and unit.
  [[nodiscard]] std::string quantity(const std::string& key) const { return say("quantity." + key); }
  [[nodiscard]] std::string unit(const std::string& quantity) const;                  // "cm"; empty for a count
  [[nodiscard]] std::string number(const std::string& quantity, double value) const;  // "9.6"
  [[nodiscard]] std::string figure(const std::string& quantity, double value) const;  // "9.6 cm"
  [[nodiscard]] std::string with_u(const std::string& quantity, double value, std::optional<double> u) const;
  [[nodiscard]] std::string with_u(const std::string& quantity, const std::optional<visit::Value>& value) const;

  [[nodiscard]] std::string form(Test test, Knee knee, std::optional<double> beat_bpm = std::nullopt) const;
  [[nodiscard]] std::string slot(const visit::Slot& slot) const;      // "Hops, left"
  [[nodiscard]] std::string slot(const std::string& slot_key) const;  // of "hop/left"
  [[nodiscard]] std::string side(Side side) const { return say("side." + std::string(key_of(side))); }
  [[nodiscard]] std::string date(const std::string& iso) const;   // the text itself where it is no date
  [[nodiscard]] std::string pain(const visit::Pain& pain) const;  // "0 / 2 / –"; empty where not asked

  // Its sentence in the audience's language where the words have one under "note.CODE", else its own.
  [[nodiscard]] std::string note(const Note& note) const;

  // "5", "10 %": a limit of a difference.
  [[nodiscard]] std::string cut_off(const std::string& quantity, const visit::Difference& difference) const;
  [[nodiscard]] std::string dose(const model::Rung& rung) const;

 private:
  const visit::Screen& screen_;
  const model::Wording& words_;
};

inline constexpr const char* not_known = "–";

}  // namespace risetrace::report
