// Any bytes at all as an exported file: reading it must end in an archive whose every part is what it says, or in a
// named fault, and leave nothing behind. The first byte chooses: the file itself, a manifest within a whole ZIP file,
// or a document under a manifest that fits.
#include <sodium.h>
#include <unistd.h>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string>

#include "fuzz/memory_file.h"
#include "record/digest.h"
#include "record/read_archive.h"
#include "record/seal.h"
#include "record/zip_file.h"

namespace {

using namespace risetrace;
using namespace risetrace::record;
namespace fs = std::filesystem;

void demand(bool holds) {
  if (!holds) std::abort();
}

// One folder for the whole run; nothing may stay in it.
const ClipStore& clips() {
  static const ClipStore store([] {
    if (sodium_init() < 0) std::abort();
    const fs::path folder = fs::temp_directory_path() / ("risetrace-fuzz-" + std::to_string(::getpid()));
    fs::create_directories(folder);
    return folder;
  }());
  return store;
}

void look_at(const fs::path& file) {
  const auto archive = read_archive(file, clips());
  if (!archive) {
    demand(!archive.error().why.empty() && archive.error().fault == Fault::archive_unreadable);
    return;
  }
  for (const auto& [sha256, text] : archive->texts) demand(sha256_of(text) == sha256);
  const auto again = read_manifest(manifest_text(archive->manifest));
  demand(again.ok() && manifest_text(*again) == manifest_text(archive->manifest));
}

void look_at_parts(const std::vector<ZipPart>& parts) {
  auto zip = clips().aside();
  demand(zip.ok() && write_zip(*zip, parts).ok());
  look_at(zip->path());
}

void look_at_document(const std::string& text) {
  KeptSession session{"R-014", "2026-11-02", {{0, "2026-11-02T09:30:00Z", std::nullopt, std::nullopt}}, {}, {}};
  session.documents = {{Kind::session, "", 0, true, sha256_of(text), static_cast<std::int64_t>(text.size()), 0}};
  look_at_parts(
      {{"manifest.json", manifest_text({"0.1.0", "R-014", {session}}), {}}, {"2026-11-02/session.json", text, {}}});
}

void look_at_sealed(const fs::path& file) {
  auto plain = clips().aside();
  demand(plain.ok());
  if (unseal(file, *plain, "a heron on one leg")) look_at(plain->path());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string rest(reinterpret_cast<const char*>(data) + 1, size - 1);
  switch (data[0] % 4) {
    case 0:
      fuzz::as_file(data + 1, size - 1, [](const std::string& path) { look_at(path); });
      break;
    case 1:
      look_at_parts({{"manifest.json", rest, {}}, {"2026-11-02/session.json", "{}", {}}});
      break;
    case 2:
      look_at_document(rest);
      break;
    default:
      // The cost of a key is bounded in seal.cpp, but still too much for a fuzzer: only small ones.
      if (size > 33 && (rest[17] != 0 || rest[18] != 0 || rest[26] != 0)) return 0;
      fuzz::as_file(data + 1, size - 1, [](const std::string& path) { look_at_sealed(path); });
  }
  demand(fs::is_empty(clips().folder()));
  return 0;
}
