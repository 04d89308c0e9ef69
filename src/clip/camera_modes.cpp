#include "clip/camera_modes.h"

#include <fcntl.h>
#include <linux/videodev2.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>
#include <tuple>

namespace risetrace::clip {
namespace {

struct Coding {
  unsigned v4l2;
  const char* name;
  bool coded;
};

constexpr std::array codings{Coding{V4L2_PIX_FMT_MJPEG, "mjpeg", true},     Coding{V4L2_PIX_FMT_JPEG, "mjpeg", true},
                             Coding{V4L2_PIX_FMT_H264, "h264", true},       Coding{V4L2_PIX_FMT_YUYV, "yuyv422", false},
                             Coding{V4L2_PIX_FMT_UYVY, "uyvy422", false},   Coding{V4L2_PIX_FMT_NV12, "nv12", false},
                             Coding{V4L2_PIX_FMT_YUV420, "yuv420p", false}, Coding{V4L2_PIX_FMT_GREY, "gray", false}};

constexpr int most_answers = 256;  // to one question: a driver that never ends a list is not asked for ever

struct Size {
  unsigned width = 0;
  unsigned height = 0;
};

// A camera that gives any size in a range is asked for the usual ones.
std::vector<Size> sizes_of(const AskDevice& ask, unsigned coding) {
  std::vector<Size> sizes;
  for (int i = 0; i < most_answers; ++i) {
    v4l2_frmsizeenum one{};
    one.index = static_cast<unsigned>(i);
    one.pixel_format = coding;
    if (ask(VIDIOC_ENUM_FRAMESIZES, &one) != 0) break;
    if (one.type == V4L2_FRMSIZE_TYPE_DISCRETE) {
      sizes.push_back({one.discrete.width, one.discrete.height});
      continue;
    }
    for (const Size usual : {Size{1920, 1080}, Size{1280, 720}, Size{640, 480}}) {
      const auto& range = one.stepwise;
      if (usual.width >= range.min_width && usual.width <= range.max_width && usual.height >= range.min_height &&
          usual.height <= range.max_height)
        sizes.push_back(usual);
    }
    break;
  }
  return sizes;
}

double rate_of(const v4l2_fract& interval) {
  return interval.numerator == 0 ? 0.0 : static_cast<double>(interval.denominator) / interval.numerator;
}

std::vector<double> rates_of(const AskDevice& ask, unsigned coding, Size size) {
  std::vector<double> rates_hz;
  for (int i = 0; i < most_answers; ++i) {
    v4l2_frmivalenum one{};
    one.index = static_cast<unsigned>(i);
    one.pixel_format = coding;
    one.width = size.width;
    one.height = size.height;
    if (ask(VIDIOC_ENUM_FRAMEINTERVALS, &one) != 0) break;
    const bool listed = one.type == V4L2_FRMIVAL_TYPE_DISCRETE;
    rates_hz.push_back(rate_of(listed ? one.discrete : one.stepwise.min));
    if (!listed) break;
  }
  return rates_hz;
}

Error no_camera(const std::string& device, const std::string& why) {
  return {Fault::clip_missing, device + ": it is no camera that can be used: " + why,
          "name another (ls /dev/video*), or send a recording through a pipe"};
}

}  // namespace

bool is_camera(const std::string& source) {
  return source.starts_with("/dev/video") || source.starts_with("/dev/v4l/");
}

Result<std::vector<CameraMode>> list_modes(const AskDevice& ask, const std::string& device) {
  v4l2_capability can{};
  if (ask(VIDIOC_QUERYCAP, &can) != 0) return no_camera(device, "it does not answer as one");
  const unsigned own = (can.capabilities & V4L2_CAP_DEVICE_CAPS) != 0 ? can.device_caps : can.capabilities;
  if ((own & V4L2_CAP_VIDEO_CAPTURE) == 0) return no_camera(device, "it gives no pictures");
  std::vector<CameraMode> modes;
  for (int i = 0; i < most_answers; ++i) {
    v4l2_fmtdesc format{};
    format.index = static_cast<unsigned>(i);
    format.type = V4L2_BUF_TYPE_VIDEO_CAPTURE;
    if (ask(VIDIOC_ENUM_FMT, &format) != 0) break;
    const auto* const coding =
        std::find_if(codings.begin(), codings.end(), [&](const Coding& c) { return c.v4l2 == format.pixelformat; });
    if (coding == codings.end()) continue;
    for (const Size size : sizes_of(ask, format.pixelformat)) {
      for (const double rate_hz : rates_of(ask, format.pixelformat, size)) {
        modes.push_back(
            {coding->name, coding->coded, static_cast<int>(size.width), static_cast<int>(size.height), rate_hz});
      }
    }
  }
  return modes;
}

Result<std::vector<CameraMode>> modes_of_camera(const std::string& device) {
  const int file = ::open(device.c_str(), O_RDWR | O_NONBLOCK | O_CLOEXEC);
  if (file < 0) {
    if (errno == ENOENT) {
      return Error{Fault::clip_missing, device + ": there is no such camera", "see which there are: ls /dev/video*"};
    }
    if (errno == EACCES) {
      return Error{Fault::clip_missing, device + ": you may not open this camera",
                   "become a member of its group (mostly: video) and log in anew"};
    }
    return no_camera(device, std::generic_category().message(errno));
  }
  auto modes = list_modes(
      [file](unsigned long question, void* answer) {
        int got = 0;
        do got = ::ioctl(file, question, answer);
        while (got < 0 && errno == EINTR);
        return got;
      },
      device);
  ::close(file);
  return modes;
}

CameraMode best_mode(const std::vector<CameraMode>& modes) {
  static constexpr int enough_lines = 720;
  constexpr int useful_lines = 1080;
  static constexpr double useful_rate_hz = 120;
  const auto merit = [](const CameraMode& m) {
    return std::tuple(std::min(m.height_px, enough_lines), std::min(m.frame_rate_hz, useful_rate_hz), m.coded,
                      m.height_px <= useful_lines ? m.height_px : -m.height_px, m.width_px, m.frame_rate_hz);
  };
  return *std::max_element(modes.begin(), modes.end(),
                           [&](const CameraMode& a, const CameraMode& b) { return merit(a) < merit(b); });
}

}  // namespace risetrace::clip
