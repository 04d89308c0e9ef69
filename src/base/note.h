// Something a careful person would want to know about a result, that is not a failure.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace risetrace {

struct Note {
  std::string code;           // stable, for scripts: "frames-missing"
  std::string text;           // one plain sentence
  std::optional<double> t_s;  // where in the clip, if it has a place
};

using Notes = std::vector<Note>;

inline bool has_note(const Notes& notes, std::string_view code) {
  return std::any_of(notes.begin(), notes.end(), [code](const Note& note) { return note.code == code; });
}

}  // namespace risetrace
