#include "cli/result_files.h"

#include "cli/watch.h"
#include "report/overlay.h"
#include "report/report_pdf.h"
#include "report/result_folder.h"
#include "report/trace_csv.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

// Decodes the clip once more, with its colours.
Outcome draw_overlay(const fs::path& file, const measure::Measurement& measurement, const std::string& clip,
                     clip::ReadOptions read, const Watcher& watcher) {
  read.keep_chroma = true;
  Result<clip::ClipReader> reader = clip::ClipReader::open(clip, read);
  if (!reader) return reader.error();
  return report::write_overlay(
      file.string(), measurement, [&] { return reader->next(); }, watcher);
}

}  // namespace

Outcome write_result_files(const fs::path& folder, const measure::Measurement& measurement, const std::string& json,
                           const WantedFiles& wanted, const std::string& clip, const clip::ReadOptions& read,
                           const std::string& version, const Watcher& watcher) {
  Outcome done = report::write_text(folder / "result.json", json);
  if (done) done = report::write_text(folder / "trace.csv", report::trace_csv(measurement));
  if (done && wanted.report) {
    done = report::write_report((folder / "report.pdf").string(), measurement, version, today());
  }
  if (done && wanted.overlay) done = draw_overlay(folder / "overlay.mp4", measurement, clip, read, watcher);
  return done;
}

}  // namespace risetrace::cli
