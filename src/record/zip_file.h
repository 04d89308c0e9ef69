// ZIP (PKWARE's APPNOTE 6.3), written and read with care for files that come from elsewhere.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/result.h"
#include "record/clip_store.h"

struct zip;

namespace risetrace::record {

struct ZipPart {
  std::string name;
  std::string text;            // deflated
  std::filesystem::path file;  // not empty: this file's bytes instead, as they stand
};

// The same parts give the same bytes: no times, no owners. cannot_write.
Outcome write_zip(Aside& to, const std::vector<ZipPart>& parts);

struct ZipEntry {
  std::string name;
  std::int64_t bytes = 0;
  bool stored = false;  // as it stands, so that it takes no more room than in the file
};

class ZipReader {
 public:
  // archive_unreadable: no ZIP file, damaged, encrypted, more than 20000 entries, a name twice, or entries that
  // together are longer than the file can hold.
  static Result<ZipReader> open(const std::filesystem::path& file);

  [[nodiscard]] const std::vector<ZipEntry>& entries() const { return entries_; }
  [[nodiscard]] bool is_stored(const std::string& name) const;  // false too where it is not there
  // archive_unreadable: not there, damaged, or longer than `most_bytes`.
  Result<std::string> text(const std::string& name, std::size_t most_bytes) const;
  using Taker = std::function<Outcome(const std::uint8_t*, std::size_t)>;
  Outcome read(const std::string& name, std::int64_t most_bytes, const Taker& take) const;

 private:
  struct Close {
    void operator()(zip* held) const;
  };
  ZipReader(std::string name, zip* held) : name_(std::move(name)), held_(held) {}
  std::string name_;
  std::unique_ptr<zip, Close> held_;
  std::vector<ZipEntry> entries_;
};

}  // namespace risetrace::record
