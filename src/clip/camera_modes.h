// What a camera of this machine can give, asked of Linux's video interface (V4L2), and which of it to film with.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "base/result.h"

namespace risetrace::clip {

struct CameraMode {
  std::string coding;  // as ffmpeg names it to the device: "mjpeg", "h264", "yuyv422"
  bool coded = false;  // a stream of pictures already coded, that is kept as it is
  int width_px = 0;
  int height_px = 0;
  double frame_rate_hz = 0;
};

// By its name: /dev/video0, /dev/v4l/by-id/...
bool is_camera(const std::string& source);

// One question to the device, as ioctl(2) takes it; 0 where it was answered.
using AskDevice = std::function<int(unsigned long question, void* answer)>;

// All modes with a coding known here; empty where it names none. Fault clip_missing: it is no camera.
Result<std::vector<CameraMode>> list_modes(const AskDevice& ask, const std::string& device);

// The same of a device's path. Fault clip_missing where there is none, it may not be opened, or it is no camera.
Result<std::vector<CameraMode>> modes_of_camera(const std::string& device);

// First the most lines up to 720, then the most frames a second up to 120, then coded before raw (a raw one is coded
// here while it is filmed), then the most lines up to 1080. `modes` must not be empty.
CameraMode best_mode(const std::vector<CameraMode>& modes);

}  // namespace risetrace::clip
