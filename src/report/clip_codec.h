// How each codec and container is set up for writing. Inside of clip_writer.
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

#include <memory>
#include <string>

#include "base/result.h"
#include "report/clip_writer.h"

namespace risetrace::report {

struct CodecFree {
  void operator()(AVCodecContext* context) const { avcodec_free_context(&context); }
};
using CodecHold = std::unique_ptr<AVCodecContext, CodecFree>;

struct Container {
  std::string ending;      // ".mp4"
  const char* muxer = "";  // libav's name
  AVRational tick = {1, 90000};
  bool has_matrix = false;       // can carry an orientation
  bool has_capture_tag = false;  // can carry com.android.capture.fps
};

// By the file's ending, which may be in capitals. Fault option_wrong.
Result<Container> container_of(const std::string& path, const ClipWriterOptions& options);

// Opened encoders, ready for pictures with `tick` as their clock. Faults: option_wrong, cannot_write.
Result<CodecHold> open_picture_codec(const ClipWriterOptions& options, const Container& container, bool global_header);
Result<CodecHold> open_sound_codec(int rate_hz, const Container& container, bool global_header);

// What libav says about a negative return value.
std::string libav_reason(int code);

}  // namespace risetrace::report
