#include "report/frame_format.h"

#include <algorithm>

namespace risetrace::report {

AVPixelFormat format_of(const clip::Frame& frame) {
  const bool grey = frame.chroma[0].data == nullptr || frame.chroma[1].data == nullptr;
  switch (frame.bits) {
    case 8:
      return grey ? AV_PIX_FMT_GRAY8 : AV_PIX_FMT_YUV420P;
    case 10:
      return grey ? AV_PIX_FMT_GRAY10LE : AV_PIX_FMT_YUV420P10LE;
    case 12:
      return grey ? AV_PIX_FMT_GRAY12LE : AV_PIX_FMT_YUV420P12LE;
    default:
      return AV_PIX_FMT_NONE;
  }
}

int colour_matrix(const clip::Frame& frame) {
  return std::min(frame.luma.width, frame.luma.height) < 720 ? SWS_CS_ITU601 : SWS_CS_ITU709;
}

}  // namespace risetrace::report
