#include "report/screen_words.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "report/words.h"

namespace risetrace::report {
namespace {

// Decimals that show the uncertainty too: 9.6 ± 0.04 would be 9.6 ± 0.0.
int decimals_with(int decimals, std::optional<double> u) {
  if (!u || *u <= 0) return decimals;
  int more = decimals;
  while (more < decimals + 2 && *u * std::pow(10.0, more) < 0.95) ++more;
  return more;
}

// With a minus sign in place of a hyphen.
std::string typographic(std::string number) {
  if (number.starts_with('-')) number.replace(0, 1, "−");
  return number;
}

std::vector<std::string> parts_of(const std::string& text, char between) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == between) parts.emplace_back();
    if (c != between) parts.back() += c;
  }
  return parts;
}

}  // namespace

std::string ScreenWords::quoted(const std::string& text) const {
  const std::string key = "quoted." + text;
  return words_.has(key) ? say(key) : readable(text);
}

std::string ScreenWords::mark(const std::string& mark) const {
  std::string key = mark;
  std::replace(key.begin(), key.end(), ' ', '-');
  return words_.has("mark." + key) ? say("mark." + key) : readable(mark);
}

std::string ScreenWords::plain(double value, int most_decimals) const {
  int decimals = 0;
  const auto rounded = [&](int to) { return std::round(value * std::pow(10.0, to)) / std::pow(10.0, to); };
  while (decimals < most_decimals && std::abs(rounded(decimals) - rounded(most_decimals)) > 1e-9) ++decimals;
  return words_.number(value, decimals);
}

std::string ScreenWords::unit(const std::string& quantity) const {
  const model::Quantity* known = screen_.models.norms.quantity(quantity);
  if (known == nullptr || known->unit.empty()) return "";
  const std::string key = "unit." + known->unit;
  return words_.has(key) ? say(key) : known->unit;
}

std::string ScreenWords::number(const std::string& quantity, double value) const {
  const model::Quantity* known = screen_.models.norms.quantity(quantity);
  return typographic(words_.number(value, known == nullptr ? 1 : known->decimals));
}

std::string ScreenWords::figure(const std::string& quantity, double value) const {
  const std::string name = unit(quantity);
  return number(quantity, value) + (name.empty() || name == "°" ? name : " " + name);
}

std::string ScreenWords::with_u(const std::string& quantity, double value, std::optional<double> u) const {
  const model::Quantity* known = screen_.models.norms.quantity(quantity);
  const int decimals = decimals_with(known == nullptr ? 1 : known->decimals, u);
  return typographic(words_.number(value, decimals)) + (u ? " ± " + words_.number(*u, decimals) : "");
}

std::string ScreenWords::with_u(const std::string& quantity, const std::optional<visit::Value>& value) const {
  return value ? with_u(quantity, value->value, value->u) : not_known;
}

std::string ScreenWords::form(Test test, Knee knee, std::optional<double> beat_bpm) const {
  if (test == Test::heel_raise) return say("slot.heel-raise-" + std::string(key_of(knee)));
  if (test == Test::lunge) return say("slot.lunge");
  return beat_bpm ? say("slot.hop-at", {{"beat", plain(*beat_bpm, 0)}}) : say("slot.hop");
}

std::string ScreenWords::slot(const visit::Slot& slot) const {
  return form(slot.test, slot.knee) + ", " + side(slot.side);
}

std::string ScreenWords::slot(const std::string& slot_key) const {
  const auto parts = parts_of(slot_key, '/');
  const auto test = test_from(parts[0]);
  const auto side = parts.size() > 1 ? side_from(parts[1]) : std::nullopt;
  if (!test || !side) return readable(slot_key);
  return slot(
      visit::Slot{*test, *side, parts.size() > 2 ? knee_from(parts[2]).value_or(Knee::not_stated) : Knee::not_stated});
}

std::string ScreenWords::date(const std::string& iso) const {
  int year = 0;
  int month = 0;
  int day = 0;
  if (std::sscanf(iso.c_str(), "%4d-%2d-%2d", &year, &month, &day) != 3 || month < 1 || month > 12) {  // NOLINT
    return readable(iso);
  }
  return say(
      "date",
      {{"day", std::to_string(day)}, {"month", say("month." + std::to_string(month))}, {"year", std::to_string(year)}});
}

std::string ScreenWords::pain(const visit::Pain& pain) const {
  if (!pain.before && !pain.worst && !pain.after) return "";
  const auto one = [](std::optional<int> value) { return value ? std::to_string(*value) : std::string(not_known); };
  return one(pain.before) + " / " + one(pain.worst) + " / " + one(pain.after);
}

std::string ScreenWords::note(const Note& note) const {
  return words_.has("note." + note.code) ? say("note." + note.code) : readable(note.text);
}

std::string ScreenWords::cut_off(const std::string& quantity, const visit::Difference& difference) const {
  if (!difference.cut_off) return not_known;
  if (difference.cut_off_kind == model::CutOffKind::index_pct) return plain(*difference.cut_off) + " %";
  const std::string name = unit(quantity);
  return plain(*difference.cut_off) + (name.empty() || name == "°" ? name : " " + name);
}

std::string ScreenWords::dose(const model::Rung& rung) const {
  const bool reps = rung.reps_low.has_value();
  const auto low = reps ? rung.reps_low : rung.seconds_low;
  const auto high = reps ? rung.reps_high : rung.seconds_high;
  if (!low) return not_known;
  std::string text = say(reps ? "dose.reps" : "dose.seconds", {{"sets", std::to_string(rung.sets)},
                                                               {"low", std::to_string(*low)},
                                                               {"high", std::to_string(high.value_or(*low))}});
  if (rung.one_leg) text += ", " + say("dose.each-leg");
  if (rung.beat_bpm) text += ", " + say("dose.beat", {{"beat", plain(*rung.beat_bpm, 0)}});
  return text;
}

}  // namespace risetrace::report
