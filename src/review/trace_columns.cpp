#include "review/trace_columns.h"

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string_view>

namespace risetrace::review {
namespace {

Error broken(const std::string& why) { return {Fault::result_unreadable, "trace.csv: " + why, ""}; }

// Takes the text up to the next `mark` off the front.
std::string_view next_part(std::string_view& rest, char mark) {
  const std::size_t end = rest.find(mark);
  const std::string_view part = rest.substr(0, end);
  rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end + 1);
  return part;
}

std::string_view next_line(std::string_view& rest) {
  std::string_view line = next_part(rest, '\n');
  if (line.ends_with('\r')) line.remove_suffix(1);
  return line;
}

template <typename Number>
std::optional<Number> number_in(std::string_view cell) {
  Number value{};
  const auto [end, wrong] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (wrong != std::errc{} || end != cell.data() + cell.size()) return std::nullopt;
  return value;
}

constexpr std::array names = {"frame", "exact_s", "exact_up_cm", "exact_across_cm", "seen"};
constexpr std::size_t none = static_cast<std::size_t>(-1);

class Rows {
 public:
  explicit Rows(bool times_only) : times_only_(times_only) {}

  Outcome read_head(std::string_view head) {
    for (std::size_t column = 0; !head.empty(); ++column) {
      const std::string_view name = next_part(head, ',');
      for (std::size_t i = 0; i < names.size(); ++i) {
        if (name == names.at(i)) columns_.at(i) = column;
      }
    }
    for (std::size_t i = 0; i < wanted(); ++i) {
      if (columns_.at(i) == none) {
        return broken(std::string("there is no column ") + names.at(i) +
                      "; the result may be of an earlier version of the program: measure the clip again");
      }
    }
    return Done{};
  }

  Outcome read_row(std::string_view row, std::size_t number, std::vector<path::PathSample>& out) const {
    std::array<std::string_view, names.size()> cells;
    for (std::size_t column = 0; !row.empty(); ++column) {
      const std::string_view cell = next_part(row, ',');
      for (std::size_t i = 0; i < cells.size(); ++i) {
        if (columns_.at(i) == column) cells.at(i) = cell;
      }
    }
    const auto bad = [&](std::size_t i) {
      return broken("row " + std::to_string(number) + ": " + names.at(i) + " is no number");
    };
    if (cells[1].empty()) return Done{};  // a frame with no path
    path::PathSample sample;
    const auto frame = number_in<std::int64_t>(cells[0]);
    if (!frame || *frame < 0) return bad(0);
    sample.frame = *frame;
    const std::array into = {&sample.time_s, &sample.up_cm, &sample.across_cm};
    for (std::size_t i = 1; i < wanted(); ++i) {
      const auto value = number_in<double>(cells.at(i));
      if (!value || !std::isfinite(*value) || std::abs(*value) > 1e9) return bad(i);
      *into.at(i - 1) = *value;
    }
    sample.seen = cells[4] == "1";
    if (!out.empty() && !(out.back().frame < sample.frame && out.back().time_s < sample.time_s)) {
      return broken("row " + std::to_string(number) + " is not after the one before");
    }
    out.push_back(sample);
    return Done{};
  }

 private:
  [[nodiscard]] std::size_t wanted() const { return times_only_ ? 2 : 4; }

  bool times_only_;
  std::array<std::size_t, names.size()> columns_{none, none, none, none, none};
};

}  // namespace

Result<std::vector<path::PathSample>> read_trace(const std::string& trace_csv, bool times_only) {
  std::string_view rest = trace_csv;
  Rows rows(times_only);
  if (auto head = rows.read_head(next_line(rest)); !head) return head.error();
  std::vector<path::PathSample> out;
  for (std::size_t number = 2; !rest.empty(); ++number) {
    const std::string_view line = next_line(rest);
    if (line.empty()) continue;
    if (auto row = rows.read_row(line, number, out); !row) return row.error();
  }
  return out;
}

}  // namespace risetrace::review
