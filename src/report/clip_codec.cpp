#include "report/clip_codec.h"

extern "C" {
#include <libavutil/channel_layout.h>
#include <libavutil/opt.h>
}

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cmath>
#include <filesystem>

namespace risetrace::report {
namespace {

struct CodecRow {
  Codec codec;
  const char* encoder;
  AVPixelFormat format;
  // Quick settings, because these clips are made in bulk, and no B pictures, because phones write none. No lag between
  // a picture and its packet keeps memory small.
  std::array<std::array<const char*, 2>, 4> settings;
};

constexpr std::array codec_rows = {
    CodecRow{Codec::h264, "libx264", AV_PIX_FMT_YUV420P, {{{"preset", "superfast"}, {"rc-lookahead", "10"}}}},
    CodecRow{
        Codec::hevc, "libx265", AV_PIX_FMT_YUV420P, {{{"preset", "ultrafast"}, {"x265-params", "log-level=none"}}}},
    CodecRow{Codec::hevc_10bit,
             "libx265",
             AV_PIX_FMT_YUV420P10,
             {{{"preset", "ultrafast"}, {"x265-params", "log-level=none"}}}},
    CodecRow{Codec::vp9,
             "libvpx-vp9",
             AV_PIX_FMT_YUV420P,
             {{{"deadline", "realtime"}, {"cpu-used", "7"}, {"lag-in-frames", "0"}, {"row-mt", "1"}}}},
    CodecRow{Codec::av1,
             "libaom-av1",
             AV_PIX_FMT_YUV420P,
             {{{"usage", "realtime"}, {"cpu-used", "8"}, {"lag-in-frames", "0"}, {"row-mt", "1"}}}},
    CodecRow{Codec::mjpeg, "mjpeg", AV_PIX_FMT_YUV420P, {}},
};

const CodecRow& row_of(Codec codec) {
  return *std::find_if(codec_rows.begin(), codec_rows.end(),
                       [codec](const CodecRow& row) { return row.codec == codec; });
}

AVRational rational_rate(double rate_hz) { return av_d2q(rate_hz, 1001000); }

Error wrong(const std::string& why) { return {Fault::option_wrong, why, ""}; }

void set_colour(AVCodecContext& codec, const ClipWriterOptions& options) {
  codec.color_range = options.full_range ? AVCOL_RANGE_JPEG : AVCOL_RANGE_MPEG;
  if (options.codec == Codec::mjpeg) {
    codec.colorspace = AVCOL_SPC_BT470BG;  // what JPEG files are by definition
    if (!options.full_range) codec.strict_std_compliance = FF_COMPLIANCE_UNOFFICIAL;
    return;
  }
  codec.colorspace = AVCOL_SPC_BT709;
  codec.color_primaries = AVCOL_PRI_BT709;
  codec.color_trc = AVCOL_TRC_BT709;
}

Result<Done> options_fit(const ClipWriterOptions& options, const Container& container) {
  const auto even = [](int pixels) { return pixels >= 16 && pixels <= 16384 && pixels % 2 == 0; };
  if (!even(options.width) || !even(options.height)) {
    return wrong("the picture is " + std::to_string(options.width) + " x " + std::to_string(options.height) +
                 "; both must be even and from 16 to 16384");
  }
  if (!(options.rate_hz >= 1.0 && options.rate_hz <= 10000.0)) {
    return wrong("rate_hz is " + std::to_string(options.rate_hz) + "; it must be from 1 to 10000");
  }
  if (!(options.bit_rate_mbps >= 0.01 && options.bit_rate_mbps <= 1000.0)) {
    return wrong("bit_rate_mbps is " + std::to_string(options.bit_rate_mbps) + "; it must be from 0.01 to 1000");
  }
  if (options.capture_fps && !(*options.capture_fps >= 1.0 && *options.capture_fps <= 10000.0)) {
    return wrong("capture_fps is " + std::to_string(*options.capture_fps) + "; it must be from 1 to 10000");
  }
  const bool h264 = options.codec == Codec::h264;
  if ((options.every_picture_whole && (!h264 || container.ending != ".mp4")) || (options.quality && !h264)) {
    return wrong("every_picture_whole is for H.264 in .mp4, quality for H.264");
  }
  if (options.quality && (*options.quality < 0 || *options.quality > 51)) {
    return wrong("quality is " + std::to_string(*options.quality) + "; it must be from 0 to 51");
  }
  const int turns = options.orientation.quarter_turns_cw;
  if (turns < 0 || turns > 3) return wrong("quarter_turns_cw is " + std::to_string(turns) + "; it must be 0 to 3");
  if ((turns != 0 || options.orientation.mirrored) && !container.has_matrix) {
    return wrong("a turned picture can be written to .mp4 and .mov only, not " + container.ending);
  }
  if (options.capture_fps && !container.has_capture_tag) {
    return wrong("the capture rate can be written to .mp4 and .mov only, not " + container.ending);
  }
  if (container.ending == ".webm" && options.codec != Codec::vp9 && options.codec != Codec::av1) {
    return wrong("a .webm file holds VP9 or AV1 only");
  }
  return Done{};
}

}  // namespace

std::string libav_reason(int code) {
  if (code == AVERROR(ENOSPC)) return "the disk is full";
  std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
  av_strerror(code, text.data(), text.size());
  return text.data();
}

Result<Container> container_of(const std::string& path, const ClipWriterOptions& options) {
  Container container;
  container.ending = std::filesystem::path(path).extension().string();
  std::transform(container.ending.begin(), container.ending.end(), container.ending.begin(),
                 [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
  if (container.ending == ".mp4" || container.ending == ".mov") {
    container.muxer = container.ending == ".mp4" ? "mp4" : "mov";
    container.has_matrix = container.has_capture_tag = true;
  } else if (container.ending == ".mkv" || container.ending == ".webm") {
    container.muxer = container.ending == ".mkv" ? "matroska" : "webm";
    container.tick = {1, 1000};  // the muxer knows no finer clock
  } else if (container.ending == ".avi") {
    container.muxer = "avi";
    container.tick = av_inv_q(rational_rate(std::clamp(options.rate_hz, 1.0, 10000.0)));
  } else {
    return wrong("a clip cannot be written as '" + container.ending + "'; the endings are .mp4 .mov .mkv .webm .avi");
  }
  const Outcome fit = options_fit(options, container);
  if (!fit) return fit.error();
  return container;
}

Result<CodecHold> open_picture_codec(const ClipWriterOptions& options, const Container& container, bool global_header) {
  const CodecRow& row = row_of(options.codec);
  const AVCodec* encoder = avcodec_find_encoder_by_name(row.encoder);
  if (encoder == nullptr) {
    return wrong(std::string("this machine's libavcodec has no encoder ") + row.encoder);
  }
  CodecHold codec(avcodec_alloc_context3(encoder));
  if (!codec) return Error{Fault::cannot_write, "out of memory", ""};
  codec->width = options.width;
  codec->height = options.height;
  codec->pix_fmt = row.format;
  codec->time_base = container.tick;
  codec->framerate = rational_rate(options.rate_hz);
  codec->bit_rate = std::llround(options.bit_rate_mbps * 1e6);
  codec->gop_size = std::max(1, static_cast<int>(std::lround(options.rate_hz)));  // a second: quick to seek in
  codec->max_b_frames = 0;
  codec->thread_count = options.codec == Codec::mjpeg ? 1 : 0;
  if (global_header) codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  // MJPEG says "limited range" in a comment that this flag would leave out.
  if (options.codec != Codec::mjpeg || options.full_range) codec->flags |= AV_CODEC_FLAG_BITEXACT;
  const bool mp4 = container.has_matrix;
  if (mp4 && encoder->id == AV_CODEC_ID_HEVC) codec->codec_tag = MKTAG('h', 'v', 'c', '1');  // players want it
  set_colour(*codec, options);
  AVDictionary* settings = nullptr;
  if (options.every_picture_whole) {
    codec->gop_size = 1;
    av_dict_set(&settings, "profile", "baseline", 0);
  }
  if (options.quality) {
    codec->bit_rate = 0;
    av_dict_set_int(&settings, "crf", *options.quality, 0);
  }
  for (const auto& [name, value] : row.settings) {
    if (name != nullptr) av_dict_set(&settings, name, value, 0);
  }
  const int code = avcodec_open2(codec.get(), encoder, &settings);
  av_dict_free(&settings);
  if (code < 0) return Error{Fault::cannot_write, std::string(row.encoder) + ": " + libav_reason(code), ""};
  return codec;
}

Result<CodecHold> open_sound_codec(int rate_hz, const Container& container, bool global_header) {
  if (container.ending == ".avi") return wrong("sound cannot be written to .avi; use .mp4, .mov, .mkv or .webm");
  const bool opus = container.ending == ".webm";
  if (opus && rate_hz != 48000) return wrong("sound in .webm must have 48000 samples a second");
  if (rate_hz < 8000 || rate_hz > 96000) {
    return wrong("sound_rate_hz is " + std::to_string(rate_hz) + "; it must be from 8000 to 96000");
  }
  const AVCodec* encoder = avcodec_find_encoder_by_name(opus ? "libopus" : "aac");
  if (encoder == nullptr) return wrong("this machine's libavcodec has no sound encoder for " + container.ending);
  CodecHold codec(avcodec_alloc_context3(encoder));
  if (!codec) return Error{Fault::cannot_write, "out of memory", ""};
  codec->sample_fmt = opus ? AV_SAMPLE_FMT_FLT : AV_SAMPLE_FMT_FLTP;
  codec->sample_rate = rate_hz;
  codec->time_base = {1, rate_hz};
  codec->bit_rate = 96000;
  codec->flags |= AV_CODEC_FLAG_BITEXACT;
  if (global_header) codec->flags |= AV_CODEC_FLAG_GLOBAL_HEADER;
  av_channel_layout_default(&codec->ch_layout, 1);
  const int code = avcodec_open2(codec.get(), encoder, nullptr);
  if (code < 0) return wrong("sound of " + std::to_string(rate_hz) + " samples a second: " + libav_reason(code));
  return codec;
}

}  // namespace risetrace::report
