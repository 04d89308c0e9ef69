// Something a careful person would want to know about a result, that is not a failure.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace risetrace {

struct Note {
  std::string code;           // stable, for scripts: "frames-missing"
  std::string text;           // one plain sentence
  std::optional<double> t_s;  // where in the clip, if it has a place
};

using Notes = std::vector<Note>;

}  // namespace risetrace
