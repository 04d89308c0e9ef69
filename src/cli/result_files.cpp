#include "cli/result_files.h"

#include <algorithm>
#include <optional>

#include "cli/watch.h"
#include "report/frames_clip.h"
#include "report/overlay.h"
#include "report/report_pdf.h"
#include "report/result_folder.h"
#include "report/trace_csv.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

// Hands each frame of the clip to the frames' writer before it hands it on.
class FramesTap {
 public:
  FramesTap(const fs::path& folder, const measure::Measurement& measurement, clip::ClipReader& reader)
      : folder_(folder), measurement_(measurement), reader_(reader) {}

  Result<std::optional<clip::Frame>> next() {
    auto frame = reader_.next();
    if (!frame || !frame->has_value()) return frame;
    if (!writer_) {
      auto created = report::FramesClip::create(folder_, measurement_, **frame);
      if (!created) return created.error();
      writer_.emplace(*std::move(created));
    }
    if (auto added = writer_->add(**frame); !added) return added.error();
    return frame;
  }
  Outcome finish() { return writer_ ? writer_->finish() : Outcome(Done{}); }

 private:
  const fs::path& folder_;
  const measure::Measurement& measurement_;
  clip::ClipReader& reader_;
  std::optional<report::FramesClip> writer_;
};

// To the clip's end, where no overlay asks for the frames.
Outcome read_on(const report::NextFrame& next, const measure::Measurement& measurement, const Watcher& watcher) {
  while (true) {
    if (watcher.stop()) return Error{Fault::stopped, "interrupted from the keyboard", ""};
    const auto frame = next();
    if (!frame) return frame.error();
    if (!frame->has_value()) return Done{};
    if (measurement.clip.duration_s > 0) {
      watcher.tell("writing the frames", std::clamp((*frame)->time_s / measurement.clip.duration_s, 0.0, 1.0));
    }
  }
}

// Decodes the clip once more, with its colours.
Outcome write_pictures(const fs::path& folder, const measure::Measurement& measurement, const WantedFiles& wanted,
                       const std::string& clip, clip::ReadOptions read, const Watcher& watcher) {
  read.keep_chroma = true;
  Result<clip::ClipReader> reader = clip::ClipReader::open(clip, read);
  if (!reader) return reader.error();
  FramesTap tap(folder, measurement, *reader);
  const report::NextFrame next = [&] { return wanted.frames ? tap.next() : reader->next(); };
  Outcome done = wanted.overlay ? report::write_overlay((folder / "overlay.mp4").string(), measurement, next, watcher)
                                : read_on(next, measurement, watcher);
  return done ? tap.finish() : done;
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
  if (done && (wanted.overlay || wanted.frames)) {
    done = write_pictures(folder, measurement, wanted, clip, read, watcher);
  }
  return done;
}

}  // namespace risetrace::cli
