#include "record/zip_file.h"

#include <zip.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <set>

#include "record/posix_file.h"

namespace risetrace::record {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t most_entries = 20000;          // ours: a visit a day for years
constexpr std::int64_t most_deflation = 1100;         // deflate's own limit is 1032 (zlib's documentation)
constexpr std::uint16_t first_dos_date = 1 << 5 | 1;  // 1980-01-01, the format's first day

Error broken(const std::string& file, const std::string& why) {
  return {Fault::archive_unreadable, file + ": " + why, ""};
}

Error not_written(const fs::path& to, zip_error_t* error) {
  if (zip_error_system_type(error) == ZIP_ET_SYS) return write_error(to, zip_error_code_system(error));
  return {Fault::cannot_write, to.string() + ": " + zip_error_strerror(error), "choose another place"};
}

bool add_part(zip_t* out, const ZipPart& part) {
  zip_source_t* source = part.file.empty() ? zip_source_buffer(out, part.text.data(), part.text.size(), 0)
                                           : zip_source_file(out, part.file.c_str(), 0, -1);
  if (source == nullptr) return false;
  const zip_int64_t added = zip_file_add(out, part.name.c_str(), source, ZIP_FL_ENC_UTF_8);
  if (added < 0) {
    zip_source_free(source);
    return false;
  }
  const auto index = static_cast<zip_uint64_t>(added);
  const zip_int32_t method = part.file.empty() ? ZIP_CM_DEFLATE : ZIP_CM_STORE;
  return zip_set_file_compression(out, index, method, 0) == 0 &&
         zip_file_set_dostime(out, index, 0, first_dos_date, 0) == 0 &&
         zip_file_set_external_attributes(out, index, 0, ZIP_OPSYS_UNIX, 0100600U << 16) == 0;
}

// libzip by itself writes to a file of its own naming beside the one it is given: that would have no lock.
struct Sink {
  Aside* to;
  zip_error_t* error;
};

zip_int64_t failed(const Sink& sink) {
  zip_error_set(sink.error, ZIP_ER_WRITE, errno);
  return -1;
}

zip_int64_t seek(const Sink& sink, void* data, zip_uint64_t length) {
  const auto* to = ZIP_SOURCE_GET_ARGS(zip_source_args_seek_t, data, length, sink.error);
  if (to == nullptr) return -1;
  return sink.to->seek(to->offset, to->whence) < 0 ? failed(sink) : 0;
}

// The calls of zip_source_function(3) that writing needs.
zip_int64_t pass_to_sink(void* user, void* data, zip_uint64_t length, zip_source_cmd_t what) {
  Sink& sink = *static_cast<Sink*>(user);
  switch (what) {
    case ZIP_SOURCE_SUPPORTS:
      return zip_source_make_command_bitmap(
          ZIP_SOURCE_OPEN, ZIP_SOURCE_READ, ZIP_SOURCE_CLOSE, ZIP_SOURCE_STAT, ZIP_SOURCE_ERROR, ZIP_SOURCE_FREE,
          ZIP_SOURCE_SEEK, ZIP_SOURCE_TELL, ZIP_SOURCE_BEGIN_WRITE, ZIP_SOURCE_COMMIT_WRITE, ZIP_SOURCE_ROLLBACK_WRITE,
          ZIP_SOURCE_WRITE, ZIP_SOURCE_SEEK_WRITE, ZIP_SOURCE_TELL_WRITE, ZIP_SOURCE_REMOVE, -1);
    case ZIP_SOURCE_STAT:
      zip_stat_init(static_cast<zip_stat_t*>(data));
      return sizeof(zip_stat_t);
    case ZIP_SOURCE_ERROR:
      return zip_error_to_data(sink.error, data, length);
    case ZIP_SOURCE_WRITE:
      if (sink.to->write(static_cast<const std::uint8_t*>(data), length)) return static_cast<zip_int64_t>(length);
      return failed(sink);
    case ZIP_SOURCE_SEEK_WRITE:
      return seek(sink, data, length);
    case ZIP_SOURCE_TELL_WRITE: {
      const std::int64_t at = sink.to->seek(0, SEEK_CUR);
      return at < 0 ? failed(sink) : at;
    }
    default:  // opening, closing, committing: nothing is to be done. It is never read
      return 0;
  }
}

struct CloseEntry {
  void operator()(zip_file_t* held) const { zip_fclose(held); }
};

}  // namespace

Outcome write_zip(Aside& to, const std::vector<ZipPart>& parts) {
  zip_error_t error;
  zip_error_init(&error);
  Sink sink{&to, &error};
  zip_source_t* source = zip_source_function_create(&pass_to_sink, &sink, &error);
  zip_t* out = source == nullptr ? nullptr : zip_open_from_source(source, ZIP_CREATE | ZIP_TRUNCATE, &error);
  bool good = out != nullptr;
  for (const ZipPart& part : parts) good = good && add_part(out, part);
  good = good && zip_close(out) == 0;
  Outcome outcome = Done{};
  if (!good) outcome = not_written(to.path(), out == nullptr ? &error : zip_get_error(out));
  if (!good && out != nullptr) zip_discard(out);
  if (out == nullptr && source != nullptr) zip_source_free(source);
  zip_error_fini(&error);
  if (!outcome) return outcome;
  return to.sync();
}

void ZipReader::Close::operator()(zip* held) const { zip_discard(held); }

Result<ZipReader> ZipReader::open(const fs::path& file) {
  const std::string name = file.string();
  auto plain = PosixFile::open(file, Fault::archive_unreadable);
  if (!plain) return plain.error();
  int code = 0;
  zip_t* held = zip_open(file.c_str(), ZIP_RDONLY | ZIP_CHECKCONS, &code);
  if (held == nullptr) return broken(name, "it is not a whole ZIP file");
  ZipReader reader(name, held);
  const zip_int64_t count = zip_get_num_entries(held, 0);
  if (count > most_entries) return broken(name, "it has more than " + std::to_string(most_entries) + " parts");
  std::set<std::string> names;
  std::uint64_t packed = 0;
  for (zip_int64_t i = 0; i < count; ++i) {
    zip_stat_t facts;
    constexpr zip_uint64_t needed = ZIP_STAT_NAME | ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE | ZIP_STAT_COMP_METHOD;
    if (zip_stat_index(held, static_cast<zip_uint64_t>(i), 0, &facts) != 0 || (facts.valid & needed) != needed) {
      return broken(name, "its list of parts is damaged");
    }
    const bool stored = facts.comp_method == ZIP_CM_STORE && facts.size == facts.comp_size;
    if (!stored && facts.comp_method != ZIP_CM_DEFLATE) return broken(name, "a part is packed in an unknown way");
    if (!names.insert(facts.name).second) return broken(name, "two parts have one name");
    packed += std::min<std::uint64_t>(facts.comp_size, INT64_MAX / most_entries);
    // What says that it is longer than deflate can make it lies. (It is read by its true length in any case.)
    if (facts.size / most_deflation > facts.comp_size) return broken(name, "a part is longer than can be");
    reader.entries_.push_back({facts.name, static_cast<std::int64_t>(facts.size), stored});
  }
  if (packed > static_cast<std::uint64_t>(plain->size_bytes())) return broken(name, "its parts lie over one another");
  return reader;
}

bool ZipReader::is_stored(const std::string& name) const {
  return std::any_of(entries_.begin(), entries_.end(),
                     [&](const ZipEntry& entry) { return entry.name == name && entry.stored; });
}

Outcome ZipReader::read(const std::string& name, std::int64_t most_bytes, const Taker& take) const {
  const std::unique_ptr<zip_file_t, CloseEntry> part(zip_fopen(held_.get(), name.c_str(), ZIP_FL_ENC_RAW));
  if (!part) return broken(name_, name + " is not in it, or cannot be unpacked");
  std::vector<std::uint8_t> buffer(std::size_t{1} << 16);
  std::int64_t done = 0;
  while (true) {
    const zip_int64_t got = zip_fread(part.get(), buffer.data(), buffer.size());
    if (got < 0) return broken(name_, name + " is damaged");
    if (got == 0) return Done{};
    done += got;
    if (done > most_bytes) return broken(name_, name + " is longer than it may be");
    if (auto taken = take(buffer.data(), static_cast<std::size_t>(got)); !taken) return taken;
  }
}

Result<std::string> ZipReader::text(const std::string& name, std::size_t most_bytes) const {
  std::string text;
  const auto take = [&](const std::uint8_t* bytes, std::size_t count) -> Outcome {
    text.append(reinterpret_cast<const char*>(bytes), count);
    return Done{};
  };
  if (auto good = read(name, static_cast<std::int64_t>(most_bytes), take); !good) return good.error();
  return text;
}

}  // namespace risetrace::record
