// Owners of libav's objects. Inside of the reader.
#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswresample/swresample.h>
}

#include <memory>
#include <string>

namespace risetrace::clip {

struct AvFree {
  void operator()(AVPacket* packet) const { av_packet_free(&packet); }
  void operator()(AVFrame* frame) const { av_frame_free(&frame); }
  void operator()(AVCodecContext* codec) const { avcodec_free_context(&codec); }
  void operator()(AVFormatContext* format) const { avformat_close_input(&format); }  // leaves a pb of ours alone
  void operator()(SwrContext* mixer) const { swr_free(&mixer); }
  void operator()(AVIOContext* io) const {
    av_freep(&io->buffer);
    avio_context_free(&io);
  }
};

template <typename T>
using AvHold = std::unique_ptr<T, AvFree>;

std::string libav_reason(int code);

}  // namespace risetrace::clip
