#include "clip/open_decoder.h"

#include <algorithm>
#include <thread>

namespace risetrace::clip {

Result<AvHold<AVCodecContext>> open_decoder(const Demuxer& demuxer, const DecodeOptions& options) {
  const auto refused = [](int code) {
    return Error{Fault::clip_unreadable, "its picture stream cannot be decoded (" + libav_reason(code) + ")", ""};
  };
  AvHold<AVCodecContext> codec(avcodec_alloc_context3(&demuxer.decoder()));
  if (!codec) return refused(AVERROR(ENOMEM));
  int code = avcodec_parameters_to_context(codec.get(), demuxer.picture().codecpar);
  if (code < 0) return refused(code);
  const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
  codec->thread_count = options.threads > 0 ? options.threads : std::min(4, cores);
  codec->thread_type = FF_THREAD_FRAME;  // slices gain nothing on phone clips; whole frames decode beside the caller
  codec->pkt_timebase = demuxer.picture().time_base;
  codec->max_pixels = most_pixels;
  // Damaged pictures must come out to be counted; they are not handed on.
  codec->flags |= AV_CODEC_FLAG_OUTPUT_CORRUPT;
  constexpr int deepest = 16;  // H.264 and HEVC know no deeper reordering
  codec->has_b_frames = std::max(codec->has_b_frames, std::min(options.reorder_depth, deepest));
  if (!options.smooth_blocks) codec->skip_loop_filter = AVDISCARD_ALL;
  code = avcodec_open2(codec.get(), &demuxer.decoder(), nullptr);
  if (code < 0) return refused(code);
  return codec;
}

}  // namespace risetrace::clip
