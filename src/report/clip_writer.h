// Writes a video file: the overlay, and rendered clips.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip/frame.h"

namespace risetrace::report {

enum class Codec { h264, hevc, hevc_10bit, vp9, av1, mjpeg };

struct ClipWriterOptions {
  Codec codec = Codec::h264;
  int width = 0;  // stored, even
  int height = 0;
  double rate_hz = 60.0;  // nominal; each picture still carries its own time
  double bit_rate_mbps = 20.0;
  // To seek to any picture at once: no picture leans on another one, none is held back, and the file's index comes
  // first. H.264 in an .mp4 only.
  bool every_picture_whole = false;
  std::optional<int> quality;  // the same for all pictures, 0 (best) .. 51, in place of a bit rate; H.264 only
  bool full_range = false;
  clip::Orientation orientation;      // written as the display matrix
  std::optional<double> capture_fps;  // written as com.android.capture.fps (MP4 and MOV)
  std::optional<int> sound_rate_hz;   // a mono AAC track beside the picture
};

// 4:2:0; two bytes a sample, little-endian, low bits, where bits is 10. Planes are not kept after the call.
struct PictureView {
  int bits = 8;
  clip::Plane luma;
  std::array<clip::Plane, 2> chroma;
};

// The container follows the file's ending: .mp4 .mov .mkv .webm .avi. The file is complete only after finish().
class ClipWriter {
 public:
  // Faults: option_wrong, cannot_write.
  static Result<ClipWriter> create(const std::string& path, const ClipWriterOptions& options);
  ClipWriter(const ClipWriter&) = delete;
  ClipWriter& operator=(const ClipWriter&) = delete;
  ClipWriter(ClipWriter&&) noexcept;
  ClipWriter& operator=(ClipWriter&&) noexcept;
  ~ClipWriter();

  // time_s rises from picture to picture. Fault cannot_write.
  Outcome add_picture(const PictureView& picture, double time_s);
  // Mono, -1 .. 1, following on from what was added before, starting at time 0.
  Outcome add_sound(const std::vector<float>& samples);
  Outcome finish();

 private:
  struct Inside;
  explicit ClipWriter(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace risetrace::report
