#include "report/screen_csv.h"

#include "report/csv_row.h"
#include "report/screen_keys.h"

namespace risetrace::report {
namespace {

template <typename Stated>
std::string stated(Stated value) {
  return value == Stated::not_stated ? "" : key_of(value);
}

std::string unit_of(const visit::Screen& screen, const std::string& quantity) {
  const model::Quantity* known = screen.models.norms.quantity(quantity);
  return known == nullptr ? "" : known->ucum;
}

CsvRow begun(const visit::Screen& screen) {
  CsvRow row;
  row.text(screen.session.person.code).text(screen.session.date);
  return row;
}

void add_form(const visit::TestResult& result, CsvRow& row) {
  row.text(key_of(result.got_by)).number(result.asked_bpm).number(result.end_fraction);
  row.text(result.set_end.value_or("")).text(result.marker).number(result.incline_deg);
  row.text(result.scale_from).text(result.program_version);
}

// One table of numbers: those of a whole test, or those at one beat.
class ValueRows {
 public:
  explicit ValueRows(const visit::Screen& screen) : screen_(screen) {}

  void add(const visit::TestResult& result, const visit::BeatValues* beat, const std::string& quantity,
           const visit::Value& value) {
    CsvRow row = begun(screen_);
    row.text(key_of(result.slot.test)).text(stated(result.slot.side)).text(stated(result.slot.knee));
    row.number(beat == nullptr ? std::nullopt : std::optional(beat->beat_bpm));
    row.yes_no(beat == nullptr ? std::nullopt : std::optional(beat->kept));
    row.text(quantity).text(unit_of(screen_, quantity)).number(value.value).number(value.u);
    row.number(value.u ? std::optional(value.shared_relative_u) : std::nullopt);
    add_form(result, row);
    text_ += row.line();
  }
  void pain(const visit::TestResult& result, const char* quantity, std::optional<int> value) {
    if (value) add(result, nullptr, quantity, {static_cast<double>(*value), std::nullopt, 0.0});
  }
  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  const visit::Screen& screen_;
  std::string text_;
};

std::optional<double> value_of(const std::optional<visit::Value>& value) {
  return value ? std::optional(value->value) : std::nullopt;
}
std::optional<double> u_of(const std::optional<visit::Value>& value) { return value ? value->u : std::nullopt; }

void add_pair(const std::optional<visit::Value>& first, const std::optional<visit::Value>& second, CsvRow& row) {
  row.number(value_of(first)).number(u_of(first)).number(value_of(second)).number(u_of(second));
}

std::optional<bool> told(visit::Beyond beyond) {
  return beyond == visit::Beyond::not_known ? std::nullopt : std::optional(beyond == visit::Beyond::yes);
}

void add_difference(const std::optional<visit::Difference>& difference, CsvRow& row) {
  const visit::Difference none;
  const visit::Difference& d = difference ? *difference : none;
  row.number(difference ? std::optional(d.difference) : std::nullopt).number(d.difference_u);
  row.number(d.index_pct).number(d.index_pct_u);
  row.yes_no(told(d.beyond.measuring)).yes_no(told(d.beyond.noise_optimistic));
  row.yes_no(told(d.beyond.noise_cautious)).yes_no(told(d.beyond.cut_off));
  row.number(d.noise_optimistic).number(d.noise_cautious);
  row.number(d.cut_off).text(d.cut_off ? key_of(d.cut_off_kind) : "");
}

// What only a row of sides, and what only a row of a reference has.
void add_sides_only(const std::string& weaker, const std::string& why_not, CsvRow& row) {
  row.text(weaker).text(why_not);
}

void add_reference_only(const visit::ReferenceRow* reference, CsvRow& row) {
  const visit::ReferenceRow none;
  const visit::ReferenceRow& r = reference == nullptr ? none : *reference;
  row.text(r.reference.key).text(r.reference.population).text(r.reference.statistic).number(r.reference.sd);
  row.number(r.reference.low).number(r.reference.high).number(r.of_reference_pct);
  std::string differs;
  for (const std::string& form : r.form_differs) differs += (differs.empty() ? "" : " ") + form;
  row.text(differs).text(r.reference.mark).text(r.reference.source);
}

std::string side_line(const visit::Screen& screen, const visit::SideRow& side) {
  CsvRow row = begun(screen);
  row.text("sides").text(key_of(side.test)).text("").text(stated(side.knee)).number(side.beat_bpm);
  row.text(side.quantity).text(unit_of(screen, side.quantity));
  add_pair(side.left, side.right, row);
  add_difference(side.difference, row);
  add_sides_only(stated(side.weaker), side.why_not, row);
  add_reference_only(nullptr, row);
  return row.line();
}

std::string knee_line(const visit::Screen& screen, const visit::KneeRow& knees) {
  CsvRow row = begun(screen);
  row.text("knees").text(key_of(Test::heel_raise)).text(stated(knees.side)).text("").number(std::nullopt);
  row.text(knees.quantity).text(unit_of(screen, knees.quantity));
  const auto& d = knees.difference;
  add_pair(d ? std::optional(d->first) : std::nullopt, d ? std::optional(d->second) : std::nullopt, row);
  add_difference(d, row);
  add_sides_only("", "", row);
  add_reference_only(nullptr, row);
  return row.line();
}

std::string reference_line(const visit::Screen& screen, const visit::ReferenceRow& one) {
  CsvRow row = begun(screen);
  row.text("reference").text(key_of(one.slot.test)).text(stated(one.slot.side)).text(stated(one.slot.knee));
  row.number(std::nullopt).text(one.quantity).text(unit_of(screen, one.quantity));
  row.number(one.value.value).number(one.value.u).number(one.reference.value).number(std::nullopt);
  add_difference(std::nullopt, row);
  add_sides_only("", "", row);
  add_reference_only(&one, row);
  return row.line();
}

}  // namespace

std::string values_csv(const visit::Screen& screen) {
  ValueRows rows(screen);
  for (const visit::TestResult& result : screen.results) {
    for (const auto& [quantity, value] : result.values) rows.add(result, nullptr, quantity, value);
    for (const visit::BeatValues& beat : result.beats) {
      for (const auto& [quantity, value] : beat.values) rows.add(result, &beat, quantity, value);
    }
    rows.pain(result, "pain_before", result.pain.before);
    rows.pain(result, "pain_worst", result.pain.worst);
    rows.pain(result, "pain_after", result.pain.after);
  }
  return csv_head({"person",     "date",           "test",         "side",    "knee",   "beat_bpm",
                   "beat_kept",  "quantity",       "unit",         "value",   "u",      "shared_relative_u",
                   "got_by",     "asked_bpm",      "end_fraction", "set_end", "marker", "incline_deg",
                   "scale_from", "program_version"}) +
         rows.text();
}

std::string comparison_csv(const visit::Screen& screen) {
  std::string out = csv_head({"person",
                              "date",
                              "compared",
                              "test",
                              "side",
                              "knee",
                              "beat_bpm",
                              "quantity",
                              "unit",  //
                              "first",
                              "first_u",
                              "second",
                              "second_u",
                              "difference",
                              "difference_u",
                              "index_pct",
                              "index_pct_u",
                              "beyond_measuring",
                              "beyond_noise_optimistic",
                              "beyond_noise_cautious",
                              "beyond_cut_off",  //
                              "noise_optimistic",
                              "noise_cautious",
                              "cut_off",
                              "cut_off_kind",
                              "weaker",
                              "why_not",  //
                              "reference",
                              "population",
                              "statistic",
                              "reference_sd",
                              "reference_low",
                              "reference_high",
                              "of_reference_pct",
                              "form_differs",
                              "mark",
                              "source"});
  for (const visit::SideRow& row : screen.comparison.sides) out += side_line(screen, row);
  for (const visit::KneeRow& row : screen.comparison.knees) out += knee_line(screen, row);
  for (const visit::ReferenceRow& row : screen.comparison.references) out += reference_line(screen, row);
  return out;
}

}  // namespace risetrace::report
