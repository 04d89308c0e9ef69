#include "report/overlay.h"

#include <algorithm>
#include <memory>

#include "report/clip_writer.h"
#include "report/hop_overlay.h"
#include "report/lunge_overlay.h"
#include "report/overlay_drawing.h"
#include "report/overlay_look.h"
#include "report/picture_canvas.h"
#include "report/words.h"
#include "review/say_corrections.h"

namespace risetrace::report {
namespace {

constexpr int longest_px = 1280;
constexpr int shortest_px = 640;  // of the long side: letters upon less cannot be read
constexpr double fastest_hz = 60.0;
constexpr const char* stage = "drawing the overlay";

using Draw = std::function<void(const Ink&, const clip::Frame&)>;

Draw drawing_of(const measure::Measurement& m, const PictureCanvas& canvas) {
  if (m.asked.test == Test::hop) {
    return [drawing = std::make_shared<HopOverlay>(m, canvas)](const Ink& ink, const clip::Frame& frame) {
      drawing->draw(ink, frame.number, frame.time_s);
    };
  }
  if (m.asked.test == Test::lunge) {
    return [drawing = std::make_shared<LungeOverlay>(m, canvas)](const Ink& ink, const clip::Frame& frame) {
      drawing->draw(ink, frame.number, frame.time_s);
    };
  }
  return [drawing = std::make_shared<OverlayDrawing>(m, canvas)](const Ink& ink, const clip::Frame& frame) {
    drawing->draw(ink, frame.number, frame.time_s);
  };
}

// Seconds shown per second of filming.
double slowed_by(const measure::Measurement& m) { return m.asked.test == Test::hop ? HopOverlay::slowed_by : 1.0; }

ClipWriterOptions options_for(const PictureCanvas& canvas, const measure::Measurement& m) {
  ClipWriterOptions options;
  options.codec = Codec::h264;
  options.width = canvas.width();
  options.height = canvas.height();
  const double shown_hz = m.clip.frame_rate_hz / slowed_by(m);
  options.rate_hz = shown_hz > 0 ? std::min(shown_hz, fastest_hz) : fastest_hz;
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

// On every picture, since one alone may be shown.
void say_corrected(const PictureCanvas& canvas, const std::string& text) {
  const Ink ink = canvas.ink();
  const double unit = std::min(canvas.width(), canvas.height()) / 100.0;
  const TextStyle style{.size = unit * 3, .bold = true, .colour = overlay_look::bright};
  const TextSize size = ink.measure(text, style);
  const double x = canvas.width() - size.width - 5 * unit;
  const double y = canvas.height() - 14.5 * unit - size.height;  // above the strip
  overlay_look::rounded_box(ink, x - unit, y - 0.5 * unit, size.width + 2 * unit, size.height + unit, unit,
                            overlay_look::panel);
  ink.text(x, y, text, style);
}

Outcome add_drawn(ClipWriter& writer, PictureCanvas& canvas, const Draw& draw, const clip::Frame& frame,
                  double shown_s) {
  if (auto loaded = canvas.load(frame); !loaded) return loaded;
  draw(canvas.ink(), frame);
  const auto picture = canvas.picture();
  if (!picture) return picture.error();
  return writer.add_picture(*picture, shown_s);
}

}  // namespace

Outcome write_overlay(const std::string& path, const measure::Measurement& measurement, const NextFrame& next_frame,
                      const Watcher& watcher) {
  auto frame = next_frame();
  if (!frame) return frame.error();
  if (!frame->has_value()) return Error{Fault::clip_no_frames, measurement.clip.file, ""};
  PictureCanvas canvas(**frame, shortest_px, longest_px);
  const Draw drawn = drawing_of(measurement, canvas);
  const std::string by = readable(review::who_corrected(measurement.corrections));
  const Draw draw = [&](const Ink& ink, const clip::Frame& shown) {
    drawn(ink, shown);
    if (!by.empty()) say_corrected(canvas, "corrected by hand: " + by);
  };
  auto writer = ClipWriter::create(path, options_for(canvas, measurement));
  if (!writer) return writer.error();
  Thinner thinner;
  while (frame->has_value()) {
    if (watcher.stop()) return Error{Fault::stopped, stage, ""};
    const clip::Frame& shown = **frame;
    const double shown_s = shown.time_s * slowed_by(measurement);
    if (thinner.takes(shown_s)) {
      if (auto added = add_drawn(*writer, canvas, draw, shown, shown_s); !added) return added;
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
