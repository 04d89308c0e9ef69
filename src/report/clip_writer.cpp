#include "report/clip_writer.h"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
}

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <mutex>

#include "report/clip_codec.h"

namespace risetrace::report {
namespace {

struct PacketFree {
  void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct FrameFree {
  void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct FormatFree {
  void operator()(AVFormatContext* format) const {
    if (format->pb != nullptr) avio_closep(&format->pb);
    avformat_free_context(format);
  }
};

// The core prints nothing; the encoders would.
void quiet_libav() {
  static std::once_flag once;
  std::call_once(once, [] { av_log_set_callback([](void*, int, const char*, va_list) {}); });
}

Error failed(const std::string& what, int code) { return {Fault::cannot_write, what + ": " + libav_reason(code), ""}; }

// Mirrored first, then turned: see Orientation. The matrix maps a stored point (p, q) to (a p + c q, b p + d q).
void write_matrix(std::int32_t* matrix, const ClipWriterOptions& options) {
  int image_of_x[2] = {options.orientation.mirrored ? -1 : 1, 0};
  int image_of_y[2] = {0, 1};
  for (int turn = 0; turn < options.orientation.quarter_turns_cw; ++turn) {
    for (int* image : {image_of_x, image_of_y}) {
      const int x = image[0];
      image[0] = -image[1];
      image[1] = x;
    }
  }
  constexpr int one = 1 << 16;
  // The turned picture is shifted so that it lies right of and below the origin.
  const auto shift = [&](int axis) {
    return (image_of_x[axis] < 0 ? options.width : 0) + (image_of_y[axis] < 0 ? options.height : 0);
  };
  const std::int32_t values[9] = {image_of_x[0] * one, image_of_x[1] * one, 0,
                                  image_of_y[0] * one, image_of_y[1] * one, 0,
                                  shift(0) * one,      shift(1) * one,      1 << 30};
  std::copy(std::begin(values), std::end(values), matrix);
}

struct Samples {
  const std::uint8_t* row = nullptr;
  int bits = 8;
};

// One row of samples, its depth changed where the codec's differs; a change of depth moves values by a whole shift.
void copy_row(std::uint8_t* to, int to_bits, Samples from, int count) {
  if (to_bits == from.bits) {
    std::memcpy(to, from.row, static_cast<std::size_t>(count) * (to_bits > 8 ? 2 : 1));
    return;
  }
  for (std::ptrdiff_t i = 0; i < count; ++i) {
    const std::uint8_t* deep = from.row + 2 * i;  // used where two bytes hold a sample
    const int value = from.bits > 8 ? deep[0] | (deep[1] << 8) : from.row[i];
    const int moved = to_bits > from.bits
                          ? value << (to_bits - from.bits)
                          : std::min(((value >> (from.bits - to_bits - 1)) + 1) >> 1, (1 << to_bits) - 1);
    if (to_bits > 8) {
      to[2 * i] = static_cast<std::uint8_t>(moved & 255);
      to[2 * i + 1] = static_cast<std::uint8_t>(moved >> 8);
    } else {
      to[i] = static_cast<std::uint8_t>(moved);
    }
  }
}

// A plane that was not given is filled with the middle value: grey, where it is chroma.
void copy_plane(AVFrame& frame, int index, int bits, const clip::Plane& plane, int plane_bits) {
  const int width = index == 0 ? frame.width : frame.width / 2;
  const int height = index == 0 ? frame.height : frame.height / 2;
  const std::uint8_t middle = 128;
  for (int row = 0; row < height; ++row) {
    std::uint8_t* to = frame.data[index] + static_cast<std::ptrdiff_t>(row) * frame.linesize[index];
    if (plane.data != nullptr) {
      copy_row(to, bits, {plane.data + row * plane.stride_bytes, plane_bits}, width);
    } else if (bits == 8) {
      std::memset(to, middle, static_cast<std::size_t>(width));
    } else {
      const std::vector<std::uint8_t> grey(static_cast<std::size_t>(width), middle);
      copy_row(to, bits, {grey.data(), 8}, width);
    }
  }
}

bool fits(const clip::Plane& plane, int width, int height) { return plane.width == width && plane.height == height; }

}  // namespace

struct ClipWriter::Inside {
  std::string path;
  std::string path_aside;  // written here, renamed when whole
  ClipWriterOptions options;
  Container container;
  std::unique_ptr<AVFormatContext, FormatFree> format;
  CodecHold picture_codec;
  CodecHold sound_codec;
  AVStream* picture_stream = nullptr;
  AVStream* sound_stream = nullptr;
  std::unique_ptr<AVPacket, PacketFree> packet{av_packet_alloc()};
  std::unique_ptr<AVFrame, FrameFree> picture{av_frame_alloc()};
  std::unique_ptr<AVFrame, FrameFree> sound{av_frame_alloc()};
  std::vector<float> sound_waiting;
  std::int64_t last_tick = -1;
  std::int64_t samples_sent = 0;
  bool finished = false;

  Inside() = default;
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  ~Inside() {
    format.reset();
    if (!finished && !path_aside.empty()) std::remove(path_aside.c_str());
  }

  Outcome add_streams();
  Outcome begin_file();
  Outcome encode(AVCodecContext& codec, AVStream& stream, const AVFrame* frame);
  Outcome send_sound(std::size_t first, std::size_t count);
};

namespace {

Result<AVStream*> new_stream(AVFormatContext& format, const AVCodecContext& codec) {
  AVStream* stream = avformat_new_stream(&format, nullptr);
  if (stream == nullptr) return Error{Fault::cannot_write, "out of memory", ""};
  const int code = avcodec_parameters_from_context(stream->codecpar, &codec);
  if (code < 0) return failed("the stream's settings", code);
  stream->time_base = codec.time_base;
  return stream;
}

}  // namespace

Outcome ClipWriter::Inside::add_streams() {
  const bool global_header = (format->oformat->flags & AVFMT_GLOBALHEADER) != 0;
  auto picture_opened = open_picture_codec(options, container, global_header);
  if (!picture_opened) return picture_opened.error();
  picture_codec = std::move(*picture_opened);
  const auto picture_added = new_stream(*format, *picture_codec);
  if (!picture_added) return picture_added.error();
  picture_stream = *picture_added;
  picture_stream->avg_frame_rate = picture_codec->framerate;
  if (options.orientation.quarter_turns_cw != 0 || options.orientation.mirrored) {
    std::uint8_t* side = av_stream_new_side_data(picture_stream, AV_PKT_DATA_DISPLAYMATRIX, 9 * sizeof(std::int32_t));
    if (side == nullptr) return Error{Fault::cannot_write, "out of memory", ""};
    std::int32_t matrix[9];
    write_matrix(matrix, options);
    std::memcpy(side, matrix, sizeof(matrix));
  }
  if (!options.sound_rate_hz) return Done{};
  auto sound_opened = open_sound_codec(*options.sound_rate_hz, container, global_header);
  if (!sound_opened) return sound_opened.error();
  sound_codec = std::move(*sound_opened);
  const auto sound_added = new_stream(*format, *sound_codec);
  if (!sound_added) return sound_added.error();
  sound_stream = *sound_added;
  return Done{};
}

Outcome ClipWriter::Inside::begin_file() {
  format->flags |= AVFMT_FLAG_BITEXACT;  // the same pictures make the same file
  AVDictionary* settings = nullptr;
  if (options.capture_fps) {
    av_dict_set(&format->metadata, "com.android.capture.fps", std::to_string(*options.capture_fps).c_str(), 0);
    av_dict_set(&settings, "movflags", "use_metadata_tags", 0);
  }
  if (options.every_picture_whole) av_dict_set(&settings, "movflags", "+faststart", AV_DICT_APPEND);
  if (container.has_matrix) av_dict_set_int(&settings, "video_track_timescale", container.tick.den, 0);
  // "file:" keeps a path with a colon in it from being taken for an address.
  const std::string place = "file:" + path_aside;
  av_freep(&format->url);  // the muxer opens it once more where the index is to come first
  format->url = av_strdup(place.c_str());
  int code = avio_open(&format->pb, place.c_str(), AVIO_FLAG_WRITE);
  if (code < 0) {
    av_dict_free(&settings);
    path_aside.clear();
    return failed(path, code);
  }
  code = avformat_write_header(format.get(), &settings);
  av_dict_free(&settings);
  if (code < 0) return failed(path, code);
  return Done{};
}

Outcome ClipWriter::Inside::encode(AVCodecContext& codec, AVStream& stream, const AVFrame* frame) {
  int code = avcodec_send_frame(&codec, frame);
  if (code < 0) return failed("encoding", code);
  while (true) {
    code = avcodec_receive_packet(&codec, packet.get());
    if (code == AVERROR(EAGAIN) || code == AVERROR_EOF) return Done{};
    if (code < 0) return failed("encoding", code);
    packet->stream_index = stream.index;
    if (&stream == picture_stream) packet->duration = av_rescale_q(1, av_inv_q(codec.framerate), codec.time_base);
    av_packet_rescale_ts(packet.get(), codec.time_base, stream.time_base);
    code = av_interleaved_write_frame(format.get(), packet.get());
    if (code < 0) return failed(path, code);
  }
}

Outcome ClipWriter::Inside::send_sound(std::size_t first, std::size_t count) {
  av_frame_unref(sound.get());
  sound->format = sound_codec->sample_fmt;
  sound->sample_rate = sound_codec->sample_rate;
  sound->nb_samples = static_cast<int>(count);
  sound->pts = samples_sent;
  int code = av_channel_layout_copy(&sound->ch_layout, &sound_codec->ch_layout);
  if (code >= 0) code = av_frame_get_buffer(sound.get(), 0);
  if (code < 0) return failed("sound", code);
  std::memcpy(sound->data[0], sound_waiting.data() + first, count * sizeof(float));
  samples_sent += static_cast<std::int64_t>(count);
  return encode(*sound_codec, *sound_stream, sound.get());
}

ClipWriter::ClipWriter(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
ClipWriter::ClipWriter(ClipWriter&&) noexcept = default;
ClipWriter& ClipWriter::operator=(ClipWriter&&) noexcept = default;
ClipWriter::~ClipWriter() = default;

Result<ClipWriter> ClipWriter::create(const std::string& path, const ClipWriterOptions& options) {
  quiet_libav();
  const auto container = container_of(path, options);
  if (!container) return container.error();
  auto inside = std::make_unique<Inside>();
  inside->path = path;
  inside->options = options;
  inside->container = *container;
  AVFormatContext* format = nullptr;
  const int code = avformat_alloc_output_context2(&format, nullptr, container->muxer, nullptr);
  if (code < 0) return failed(path, code);
  inside->format.reset(format);
  const Outcome streams = inside->add_streams();
  if (!streams) return streams.error();
  inside->path_aside = path + ".part";
  const Outcome begun = inside->begin_file();
  if (!begun) return begun.error();
  return ClipWriter(std::move(inside));
}

Outcome ClipWriter::add_picture(const PictureView& picture, double time_s) {
  Inside& in = *inside_;
  if (in.finished) return Error{Fault::defect, "a picture was added to a finished clip", ""};
  const int width = in.options.width;
  const int height = in.options.height;
  if (picture.bits < 8 || picture.bits > 16 || picture.luma.data == nullptr || !fits(picture.luma, width, height)) {
    return Error{Fault::cannot_write, "a picture's size or depth differs from the clip's", ""};
  }
  for (const clip::Plane& plane : picture.chroma) {
    if (plane.data != nullptr && !fits(plane, width / 2, height / 2)) {
      return Error{Fault::cannot_write, "a picture's colour planes are not half its size", ""};
    }
  }
  const double ticks = time_s * in.picture_codec->time_base.den / in.picture_codec->time_base.num;
  const std::int64_t tick = ticks >= -0.5 && ticks < 1e15 ? std::llround(ticks) : -1;
  if (tick <= in.last_tick) {
    return Error{Fault::cannot_write, "a picture's time, " + std::to_string(time_s) + " s, is not after the last one's",
                 ""};
  }
  av_frame_unref(in.picture.get());
  in.picture->format = in.picture_codec->pix_fmt;
  in.picture->width = width;
  in.picture->height = height;
  in.picture->color_range = in.picture_codec->color_range;
  in.picture->pts = in.last_tick = tick;
  const int code = av_frame_get_buffer(in.picture.get(), 0);
  if (code < 0) return failed("a picture", code);
  const int bits = in.options.codec == Codec::hevc_10bit ? 10 : 8;
  copy_plane(*in.picture, 0, bits, picture.luma, picture.bits);
  for (int i = 0; i < 2; ++i)
    copy_plane(*in.picture, i + 1, bits, picture.chroma[static_cast<std::size_t>(i)], picture.bits);
  return in.encode(*in.picture_codec, *in.picture_stream, in.picture.get());
}

Outcome ClipWriter::add_sound(const std::vector<float>& samples) {
  Inside& in = *inside_;
  if (!in.sound_codec || in.finished) return Error{Fault::defect, "the clip was opened without sound", ""};
  in.sound_waiting.insert(in.sound_waiting.end(), samples.begin(), samples.end());
  const auto step = static_cast<std::size_t>(in.sound_codec->frame_size);
  std::size_t sent = 0;
  while (in.sound_waiting.size() - sent >= step) {
    Outcome outcome = in.send_sound(sent, step);
    if (!outcome) return outcome;
    sent += step;
  }
  in.sound_waiting.erase(in.sound_waiting.begin(), in.sound_waiting.begin() + static_cast<std::ptrdiff_t>(sent));
  return Done{};
}

Outcome ClipWriter::finish() {
  Inside& in = *inside_;
  if (in.finished) return Done{};
  if (in.sound_codec) {
    if (!in.sound_waiting.empty()) {
      Outcome rest = in.send_sound(0, in.sound_waiting.size());
      if (!rest) return rest;
    }
    Outcome drained = in.encode(*in.sound_codec, *in.sound_stream, nullptr);
    if (!drained) return drained;
  }
  Outcome drained = in.encode(*in.picture_codec, *in.picture_stream, nullptr);
  if (!drained) return drained;
  int code = av_write_trailer(in.format.get());
  if (code < 0) return failed(in.path, code);
  code = avio_closep(&in.format->pb);
  if (code < 0) return failed(in.path, code);
  if (std::rename(in.path_aside.c_str(), in.path.c_str()) != 0) return failed(in.path, AVERROR(errno));
  in.finished = true;
  return Done{};
}

}  // namespace risetrace::report
