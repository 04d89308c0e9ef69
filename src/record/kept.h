// What the record keeps: people by a code, their visits, what was written of each visit, clips, corrections, receipts.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace risetrace::record {

// session: what was asked and told. result: one clip as measured. screen: the visit as judged. log: training done.
enum class Kind { session, result, screen, log };

const char* key_of(Kind kind);  // as files and the command line spell it
std::optional<Kind> kind_from(std::string_view key);

// Handed over to be kept. The text is JSON and is kept byte for byte; the record does not look into it.
struct Document {
  Kind kind = Kind::session;
  std::string slot;  // "heel-raise/left/straight"; empty: of the whole visit. A result has one
  std::string json;
};

struct ClipFile {
  std::string slot;
  std::filesystem::path file;  // copied; the original is left alone
};

// One person has one visit a day.
struct Visit {
  std::string code;  // the person's: letters, digits, dot, line and underscore, 40 at most. Never a name
  std::string date;  // YYYY-MM-DD
  std::vector<Document> documents;
  std::vector<ClipFile> clips;
};

// One saving of a visit. The first is number 0; a later one adds, or corrects and says why.
struct Revision {
  int number = 0;
  std::string at;                  // UTC, 2026-11-02T09:30:00Z
  std::optional<std::string> by;   // unset: not stated
  std::optional<std::string> why;  // unset: nothing was replaced
};

struct KeptDocument {
  Kind kind = Kind::session;
  std::string slot;
  int revision = 0;
  bool current = true;  // false: a later revision replaced it
  std::string sha256;   // of the text, 64 hexadecimal digits
  std::int64_t bytes = 0;
  std::int64_t row = 0;  // within the record's file
};

struct KeptClip {
  std::string slot;
  int revision = 0;
  bool current = true;
  std::string sha256;
  std::int64_t bytes = 0;
  std::string extension;       // "mp4"; empty: it had none
  std::filesystem::path file;  // where it lies now
};

struct KeptSession {
  std::string code;
  std::string date;
  std::vector<Revision> revisions;      // at least one, in order
  std::vector<KeptDocument> documents;  // by kind, slot, revision
  std::vector<KeptClip> clips;          // by slot, revision
};

struct Person {
  std::string code;
  int sessions = 0;
  std::string first_date;
  std::string last_date;
};

// What is left of an erasure. Neither the code nor anything made from it: codes are short, and whatever is made from a
// short code can be guessed back. The number is printed for whoever asked for the erasure.
struct Receipt {
  std::string number;
  std::string at;
  std::optional<std::string> by;
  int sessions = 0;
  int documents = 0;
  int clips = 0;
  std::int64_t clip_bytes = 0;
};

// Something that verify found.
struct Problem {
  std::string code;  // stable, for scripts: "document-damaged"
  std::string text;
  bool mended = false;
};

}  // namespace risetrace::record
