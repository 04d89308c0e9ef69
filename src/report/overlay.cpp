#include "report/overlay.h"

#include <algorithm>

#include "report/clip_writer.h"
#include "report/overlay_drawing.h"
#include "report/picture_canvas.h"

namespace risetrace::report {
namespace {

constexpr int longest_px = 1280;
constexpr int shortest_px = 640;  // of the long side: letters upon less cannot be read
constexpr double fastest_hz = 60.0;
constexpr const char* stage = "drawing the overlay";

ClipWriterOptions options_for(const PictureCanvas& canvas, const measure::Measurement& m) {
  ClipWriterOptions options;
  options.codec = Codec::h264;
  options.width = canvas.width();
  options.height = canvas.height();
  options.rate_hz = m.clip.frame_rate_hz > 0 ? std::min(m.clip.frame_rate_hz, fastest_hz) : fastest_hz;
  options.bit_rate_mbps = 8.0;  // 1280 x 720 at 60 a second, sharp enough for the thin lines
  return options;
}

// Lets through at most 60 pictures a second; a tenth of a picture's time of grace, since clocks jitter.
class Thinner {
 public:
  bool takes(double time_s) {
    if (last_s_ && time_s - *last_s_ < 0.9 / fastest_hz) return false;
    last_s_ = time_s;
    return true;
  }

 private:
  std::optional<double> last_s_;
};

Outcome add_drawn(ClipWriter& writer, PictureCanvas& canvas, const OverlayDrawing& drawing, const clip::Frame& frame) {
  if (auto loaded = canvas.load(frame); !loaded) return loaded;
  drawing.draw(canvas.ink(), frame.number, frame.time_s);
  const auto picture = canvas.picture();
  if (!picture) return picture.error();
  return writer.add_picture(*picture, frame.time_s);
}

}  // namespace

Outcome write_overlay(const std::string& path, const measure::Measurement& measurement, const NextFrame& next_frame,
                      const Watcher& watcher) {
  auto frame = next_frame();
  if (!frame) return frame.error();
  if (!frame->has_value()) return Error{Fault::clip_no_frames, measurement.clip.file, ""};
  PictureCanvas canvas(**frame, shortest_px, longest_px);
  const OverlayDrawing drawing(measurement, canvas);
  auto writer = ClipWriter::create(path, options_for(canvas, measurement));
  if (!writer) return writer.error();
  Thinner thinner;
  while (frame->has_value()) {
    if (watcher.stop()) return Error{Fault::stopped, stage, ""};
    const clip::Frame& shown = **frame;
    if (thinner.takes(shown.time_s)) {
      if (auto added = add_drawn(*writer, canvas, drawing, shown); !added) return added;
    }
    if (measurement.clip.duration_s > 0) {
      watcher.tell(stage, std::clamp(shown.time_s / measurement.clip.duration_s, 0.0, 1.0));
    }
    frame = next_frame();
    if (!frame) return frame.error();
  }
  return writer->finish();
}

}  // namespace risetrace::report
