// A clip read from end to end.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "clip/read_clip.h"

namespace risetrace::test {

struct Read {
  std::optional<Error> error;  // of open() or of next()
  clip::ClipFacts facts;
  std::vector<double> times_s;
  std::vector<clip::Frame> frames;  // only where asked for

  [[nodiscard]] const Note* note(const std::string& code) const {
    const auto at =
        std::find_if(facts.notes.begin(), facts.notes.end(), [&code](const Note& each) { return each.code == code; });
    return at == facts.notes.end() ? nullptr : &*at;
  }
};

inline Read read_all(const std::string& path, const clip::ReadOptions& options = {}, bool keep_frames = false) {
  Read read;
  auto reader = clip::ClipReader::open(path, options);
  if (!reader) {
    read.error = reader.error();
    return read;
  }
  while (true) {
    auto frame = reader->next();
    if (!frame) {
      read.error = frame.error();
      break;
    }
    if (!*frame) break;
    read.times_s.push_back((*frame)->time_s);
    if (keep_frames) read.frames.push_back(std::move(**frame));
  }
  read.facts = reader->facts();
  return read;
}

}  // namespace risetrace::test
