#include "clip/read_clip.h"

extern "C" {
#include <libavutil/display.h>
}

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "clip/account.h"
#include "clip/demux.h"
#include "clip/open_decoder.h"
#include "clip/orientation.h"
#include "clip/picture_change.h"
#include "clip/pixel_format.h"

namespace risetrace::clip {
namespace {

Outcome options_fit(const ReadOptions& options) {
  if (options.capture_fps && !(*options.capture_fps >= 1.0 && *options.capture_fps <= 10000.0)) {
    return Error{Fault::option_wrong,
                 "capture_fps is " + std::to_string(*options.capture_fps) + "; it must be from 1 to 10000", ""};
  }
  if (options.threads < 0 || options.threads > 64) {
    return Error{Fault::option_wrong, "threads is " + std::to_string(options.threads) + "; it must be from 0 to 64",
                 ""};
  }
  return Done{};
}

MatrixReading matrix_of(const AVStream& stream) {
  std::size_t bytes = 0;
  const std::uint8_t* side = av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, &bytes);
  std::array<std::int32_t, 9> matrix{};
  if (side == nullptr || bytes < sizeof(matrix)) return {};
  std::memcpy(matrix.data(), side, sizeof(matrix));
  return read_matrix(matrix);
}

// The picture's own clock, where its codec keeps one and it is the rate of a camera: encoders that take each time from
// the container write a tick in its place (90000, 1000).
std::optional<double> bitstream_rate_hz(const AVCodecContext& codec) {
  if (codec.framerate.num <= 0 || codec.framerate.den <= 0) return std::nullopt;
  const double rate_hz = av_q2d(codec.framerate);
  return rate_hz >= 10.0 && rate_hz <= 960.0 ? std::optional(rate_hz) : std::nullopt;
}

std::string rate_text(double rate_hz) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.4g", rate_hz);
  return text.data();
}

// Signs that the file plays slower than it was filmed. Only signs: no rate is guessed from them.
std::optional<std::string> stretch_sign(const Demuxer& demuxer, const AVCodecContext& codec, double file_rate_hz) {
  const auto own_rate_hz = bitstream_rate_hz(codec);
  if (own_rate_hz && file_rate_hz > 0.0 && *own_rate_hz > 1.5 * file_rate_hz) {
    return "the pictures are marked as " + rate_text(*own_rate_hz) + " a second, the file shows " +
           rate_text(file_rate_hz);
  }
  const auto sound_s = sound_length_s(demuxer);
  const auto picture_s = picture_length_s(demuxer);
  if (sound_s && picture_s && *picture_s > 1.0 && *sound_s < 0.6 * *picture_s) {
    return "the sound lasts " + rate_text(*sound_s) + " s, the picture " + rate_text(*picture_s) + " s";
  }
  return std::nullopt;
}

bool is_damaged(const AVFrame& picture) {
  return (picture.flags & AV_FRAME_FLAG_CORRUPT) != 0 || picture.decode_error_flags != 0;
}

}  // namespace

struct ClipReader::Inside {
  std::unique_ptr<LocalFile> file;  // before the demuxer, which keeps its address; this one ...
  std::shared_ptr<BytePipe> pipe;   // ... or that
  Demuxer demuxer;
  AvHold<AVCodecContext> codec;
  Account account;
  AvHold<AVPacket> packet{av_packet_alloc()};
  AvHold<AVFrame> picture{av_frame_alloc()};
  PictureChange change;
  bool keep_chroma = false;
  std::optional<double> most_s;
  bool enough = false;  // most_s was reached
  bool stretch_may_be_noted = false;
  bool only_counted = false;  // AVI has no times: it counts pictures at a fixed rate
  bool spoiled = false;
  bool packet_failed = false;
  Orientation orientation;
  std::int64_t pictures_read = 0;
  bool draining = false;
  bool read_failed = false;
  bool finished = false;
  int picture_format = AV_PIX_FMT_NONE;
  PixelKind kind;

  Inside(Demuxer the_demuxer, AvHold<AVCodecContext> the_codec, Account the_account)
      : demuxer(std::move(the_demuxer)), codec(std::move(the_codec)), account(std::move(the_account)) {}

  void feed();
  Result<bool> decode();
  Outcome meet_first();
  Outcome take_format();
  std::optional<Frame> frame_of_picture();
  void finish();
};

// One packet from the file into the decoder, or the word that there are no more.
void ClipReader::Inside::feed() {
  const int code = demuxer.read_picture(*packet);
  if (code < 0) {
    read_failed = code != AVERROR_EOF;
    draining = true;
    avcodec_send_packet(codec.get(), nullptr);
    return;
  }
  ++pictures_read;
  if ((packet->flags & AV_PKT_FLAG_CORRUPT) != 0 || avcodec_send_packet(codec.get(), packet.get()) < 0) {
    packet_failed = true;
    account.add_damaged();
  }
  av_packet_unref(packet.get());
}

// True with the next decoded picture in `picture`, false at the end.
Result<bool> ClipReader::Inside::decode() {
  constexpr int most_failures = 256;  // while draining nothing new goes in, so failures must end some time
  int failures = 0;
  while (true) {
    const int code = avcodec_receive_frame(codec.get(), picture.get());
    if (code == 0) return true;
    if (code == AVERROR_EOF) return false;
    if (code == AVERROR(ENOMEM)) return Error{Fault::clip_unreadable, "out of memory", ""};
    if (code != AVERROR(EAGAIN)) {
      packet_failed = true;
      account.add_damaged();
      if (draining && ++failures > most_failures) return false;
    } else if (draining) {
      return false;
    } else {
      feed();
    }
  }
}

Outcome ClipReader::Inside::take_format() {
  if (picture->format == picture_format) return Done{};
  const auto read = pixel_kind(picture->format);
  if (!read) return read.error();
  picture_format = picture->format;
  kind = *read;
  return Done{};
}

// The size in the container is a promise; the first picture is the fact.
Outcome ClipReader::Inside::meet_first() {
  ClipFacts& facts = account.known();
  const bool upright_is_turned = orientation.quarter_turns_cw % 2 == 1;
  facts.width_px = upright_is_turned ? picture->height : picture->width;
  facts.height_px = upright_is_turned ? picture->width : picture->height;
  if (stretch_may_be_noted) {
    const auto sign = stretch_sign(demuxer, *codec, account.file_rate_hz());
    if (sign) {
      account.note({"clock-may-be-stretched",
                    "This may be slow motion that plays slower than it was filmed: " + *sign +
                        ". If so, give the filming rate with --capture-fps.",
                    std::nullopt});
    }
  }
  const AVRational aspect = picture->sample_aspect_ratio;
  if (aspect.num > 0 && aspect.den > 0 && aspect.num != aspect.den) {
    account.note({"pixels-not-square",
                  "The file says that its pixels are not square (" + std::to_string(aspect.num) + ":" +
                      std::to_string(aspect.den) + "); they are measured as they are stored.",
                  std::nullopt});
  }
  return take_format();
}

// Nothing where the decoded picture is not to be shown.
std::optional<Frame> ClipReader::Inside::frame_of_picture() {
  if ((picture->flags & AV_FRAME_FLAG_DISCARD) != 0) return std::nullopt;
  std::optional<std::int64_t> tick;
  if (picture->best_effort_timestamp != AV_NOPTS_VALUE) {
    tick = picture->best_effort_timestamp;
  } else if (only_counted) {  // the last pictures out of a reordering decoder: no packet is left to lend its time
    tick = account.next_tick();
  }
  if (!tick) {
    account.add_timeless();
    return std::nullopt;
  }
  // A damaged or lost picture spoils those built on it, up to the next one that stands alone. A packet that fails may
  // have held no picture; a gap in time tells.
  if (picture->key_frame != 0) spoiled = packet_failed = false;
  if (spoiled || is_damaged(*picture) || (packet_failed && account.leaves_gap(*tick))) {
    spoiled = true;
    account.add_damaged();
    return std::nullopt;
  }
  const auto time_s = account.time_of(*tick, picture->pkt_duration);
  if (!time_s) return std::nullopt;
  AvHold<AVFrame> kept(av_frame_clone(picture.get()));
  if (!kept) return std::nullopt;
  Frame frame;
  frame.number = account.frames() - 1;
  frame.time_s = *time_s;
  frame.width_px = account.known().width_px;
  frame.height_px = account.known().height_px;
  frame.orientation = orientation;
  set_planes(frame, *kept, kind, keep_chroma);
  frame.like_last = change.like_last(frame);
  frame.owner = std::shared_ptr<const AVFrame>(kept.release(), AvFree{});
  return frame;
}

void ClipReader::Inside::finish() {
  if (finished) return;
  finished = true;
  const bool index_promises_more = pictures_read < demuxer.pictures_indexed();
  if (read_failed || (index_promises_more && !enough)) account.set_cut_off();
  account.finish();
}

ClipReader::ClipReader(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
ClipReader::ClipReader(ClipReader&&) noexcept = default;
ClipReader& ClipReader::operator=(ClipReader&&) noexcept = default;
ClipReader::~ClipReader() = default;

namespace {

ClipFacts facts_at_open(const std::string& path, const Demuxer& demuxer, Orientation orientation) {
  ClipFacts facts;
  facts.file = std::filesystem::path(path).filename().string();
  const AVCodecParameters& stored = *demuxer.picture().codecpar;
  facts.recorded_at = recorded_at(demuxer);
  facts.codec = avcodec_get_name(stored.codec_id);
  const bool turned = orientation.quarter_turns_cw % 2 == 1;
  facts.width_px = turned ? stored.height : stored.width;
  facts.height_px = turned ? stored.width : stored.height;
  facts.rotation_deg = 90 * orientation.quarter_turns_cw;
  facts.mirrored = orientation.mirrored;
  return facts;
}

}  // namespace

// Among a thousand clips, the message must say which.
Result<ClipReader> ClipReader::open(const std::string& path, const ReadOptions& options) {
  Result<ClipReader> opened = open_unnamed(path, options);
  if (opened || opened.error().fault == Fault::option_wrong) return opened;
  Error named = opened.error();
  if (named.why.find(path) == std::string::npos) named.why = path + ": " + named.why;
  return named;
}

// `scan`: null of what still grows.
Result<ClipReader> ClipReader::begin(const std::string& name, Demuxer demuxer, const Scan* scan,
                                     const ReadOptions& options) {
  auto codec =
      open_decoder(demuxer, {options.threads, scan != nullptr ? scan->reorder_depth : 0, options.smooth_blocks});
  if (!codec) return codec.error();
  const MatrixReading matrix = matrix_of(demuxer.picture());
  ClipFacts facts = facts_at_open(name, demuxer, matrix.orientation);
  const auto tag = capture_tag(demuxer);
  if (scan != nullptr && options.capture_fps) {
    facts.frame_rate_from = FrameRateFrom::given;
  } else if (scan != nullptr && tag) {
    facts.frame_rate_from = FrameRateFrom::capture_tag;
  }
  Account account(std::move(facts), av_q2d(demuxer.picture().time_base));
  if (scan != nullptr) {
    account.set_clock(scan->ticks, options.capture_fps ? options.capture_fps : tag);
  } else {
    account.learn_clock();
  }
  if (!matrix.exact) {
    account.note({"turn-not-square", "The file asks for a turn that is no quarter turn; the nearest one is used.",
                  std::nullopt});
  }
  auto inside = std::make_unique<Inside>(std::move(demuxer), *std::move(codec), std::move(account));
  inside->keep_chroma = options.keep_chroma;
  inside->stretch_may_be_noted = scan != nullptr && !options.capture_fps && !tag;
  inside->orientation = matrix.orientation;
  return ClipReader(std::move(inside));
}

Result<ClipReader> ClipReader::open_unnamed(const std::string& path, const ReadOptions& options) {
  const Outcome fit = options_fit(options);
  if (!fit) return fit.error();
  auto file = LocalFile::open(path);
  if (!file) return file.error();
  const auto look = look_at_container(*file);
  if (!look) return look.error();
  // Opened twice: reading on for the times and seeking back is not exact in every container.
  Scan scan;
  {
    const auto scanned = Demuxer::open(*file, *look);
    if (!scanned) return scanned.error();
    scan = scan_times(*scanned);
  }
  auto kept_file = std::make_unique<LocalFile>(std::move(*file));
  auto demuxer = Demuxer::open(*kept_file, *look);
  if (!demuxer) return demuxer.error();
  auto reader = begin(path, *std::move(demuxer), &scan, options);
  if (!reader) return reader;
  reader->inside_->file = std::move(kept_file);
  reader->inside_->only_counted = look->kind == ContainerKind::avi;
  if (look->cut_off) reader->inside_->account.set_cut_off();
  return reader;
}

Result<ClipReader> ClipReader::open_pipe(std::shared_ptr<BytePipe> pipe, const std::string& name,
                                         const ReadOptions& options) {
  const Outcome fit = options_fit(options);
  if (!fit) return fit.error();
  const auto look = look_at_growing(*pipe);
  if (!look) return look.error();
  auto demuxer = Demuxer::open_pipe(*pipe, *look);
  if (!demuxer) return demuxer.error();
  auto reader = begin(name, *std::move(demuxer), nullptr, options);
  if (reader) reader->inside_->pipe = std::move(pipe);
  return reader;
}

Result<std::optional<Frame>> ClipReader::next() {
  Inside& in = *inside_;
  while (!in.finished) {
    const auto decoded = in.decode();
    if (!decoded) return decoded.error();
    if (!*decoded) {
      in.finish();
      break;
    }
    ClipFacts& facts = in.account.known();
    const bool first = in.picture_format == AV_PIX_FMT_NONE;
    const Outcome met = first ? in.meet_first() : in.take_format();
    if (!met) return met.error();
    const bool turned = in.orientation.quarter_turns_cw % 2 == 1;
    const int upright_width = turned ? in.picture->height : in.picture->width;
    const int upright_height = turned ? in.picture->width : in.picture->height;
    if (upright_width != facts.width_px || upright_height != facts.height_px) {
      in.account.note({"picture-size-changes", "The picture changes its size; the clip is read up to there.",
                       in.account.facts().duration_s});
      in.finish();
      break;
    }
    auto frame = in.frame_of_picture();
    av_frame_unref(in.picture.get());
    if (frame) {
      in.enough = in.most_s && frame->time_s >= *in.most_s;
      if (in.enough) in.finish();
      return frame;
    }
  }
  if (in.account.frames() > 0) return std::optional<Frame>{};
  const std::int64_t damaged = in.account.damaged();
  if (in.pipe && damaged == 0) {
    return Error{Fault::clip_no_frames,
                 "no picture came; a plain MP4 has its index at its end and cannot come through a pipe",
                 growing_advice};
  }
  return Error{Fault::clip_no_frames,
               damaged > 0 ? "none of its " + std::to_string(damaged) + " pictures can be decoded"
                           : "its picture track is empty",
               ""};
}

void ClipReader::stop_after(double filming_s) { inside_->most_s = filming_s; }

ClipFacts ClipReader::facts() const { return inside_->account.facts(); }

std::optional<double> ClipReader::zero_in_file_s() const { return inside_->account.zero_in_file_s(); }

double ClipReader::share_read() const {
  const Inside& in = *inside_;
  if (in.finished) return 1.0;
  if (in.pipe) return 0.0;
  auto length_s = picture_length_s(in.demuxer);
  const std::int64_t whole = in.demuxer.format().duration;
  if (!length_s && whole > 0) length_s = static_cast<double>(whole) / AV_TIME_BASE;
  const double share =
      length_s ? in.account.time_in_file_s() / *length_s
               : static_cast<double>(in.demuxer.format().pb->pos) / static_cast<double>(in.file->size_bytes());
  return std::clamp(share, 0.0, 1.0);
}

}  // namespace risetrace::clip
