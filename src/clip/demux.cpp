#include "clip/demux.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdio>
#include <mutex>
#include <string_view>

namespace risetrace::clip {
namespace {

// The only decoders ever opened. libav has hundreds; each is a door.
struct DecoderRow {
  AVCodecID codec;
  const char* decoder;
};
constexpr std::array decoder_rows = {
    DecoderRow{AV_CODEC_ID_H264, "h264"},    DecoderRow{AV_CODEC_ID_HEVC, "hevc"},
    DecoderRow{AV_CODEC_ID_VP8, "vp8"},      DecoderRow{AV_CODEC_ID_VP9, "vp9"},
    DecoderRow{AV_CODEC_ID_AV1, "libdav1d"}, DecoderRow{AV_CODEC_ID_MJPEG, "mjpeg"},
    DecoderRow{AV_CODEC_ID_MPEG4, "mpeg4"},
};

// The same for sound: what phones, cameras and their editors write.
constexpr std::array sound_decoder_rows = {
    DecoderRow{AV_CODEC_ID_AAC, "aac"},
    DecoderRow{AV_CODEC_ID_OPUS, "opus"},
    DecoderRow{AV_CODEC_ID_VORBIS, "vorbis"},
    DecoderRow{AV_CODEC_ID_MP3, "mp3float"},
    DecoderRow{AV_CODEC_ID_ALAC, "alac"},
    DecoderRow{AV_CODEC_ID_FLAC, "flac"},
    DecoderRow{AV_CODEC_ID_AC3, "ac3"},
    DecoderRow{AV_CODEC_ID_EAC3, "eac3"},
    DecoderRow{AV_CODEC_ID_AMR_NB, "amrnb"},
    DecoderRow{AV_CODEC_ID_AMR_WB, "amrwb"},
    DecoderRow{AV_CODEC_ID_PCM_U8, "pcm_u8"},
    DecoderRow{AV_CODEC_ID_PCM_S16LE, "pcm_s16le"},
    DecoderRow{AV_CODEC_ID_PCM_S16BE, "pcm_s16be"},
    DecoderRow{AV_CODEC_ID_PCM_S24LE, "pcm_s24le"},
    DecoderRow{AV_CODEC_ID_PCM_S24BE, "pcm_s24be"},
    DecoderRow{AV_CODEC_ID_PCM_S32LE, "pcm_s32le"},
    DecoderRow{AV_CODEC_ID_PCM_S32BE, "pcm_s32be"},
    DecoderRow{AV_CODEC_ID_PCM_F32LE, "pcm_f32le"},
    DecoderRow{AV_CODEC_ID_PCM_F32BE, "pcm_f32be"},
    DecoderRow{AV_CODEC_ID_PCM_ALAW, "pcm_alaw"},
    DecoderRow{AV_CODEC_ID_PCM_MULAW, "pcm_mulaw"},
};

const char* demuxer_of(ContainerKind kind) {
  switch (kind) {
    case ContainerKind::mp4:
      return "mov";
    case ContainerKind::matroska:
      return "matroska";
    case ContainerKind::transport_stream:
      return "mpegts";
    case ContainerKind::avi:
      break;
  }
  return "avi";
}

// The core prints nothing; libav would, to standard error.
void quiet_libav() {
  static std::once_flag once;
  std::call_once(once, [] { av_log_set_callback([](void*, int, const char*, va_list) {}); });
}

// A container may name other files: a data reference, a playlist. None is opened.
int refuse_open(AVFormatContext*, AVIOContext**, const char*, int, AVDictionary**) { return AVERROR(EACCES); }

Error unreadable(const std::string& why) { return {Fault::clip_unreadable, why, ""}; }

std::optional<double> length_s(const AVStream& stream) {
  if (stream.duration == AV_NOPTS_VALUE || stream.duration <= 0) return std::nullopt;
  return static_cast<double>(stream.duration) * av_q2d(stream.time_base);
}

bool is_attached(const AVStream& stream) {
  return (stream.disposition & (AV_DISPOSITION_ATTACHED_PIC | AV_DISPOSITION_TIMED_THUMBNAILS)) != 0;
}

template <typename Rows>
const AVCodec* decoder_in(const Rows& rows, AVCodecID codec) {
  const auto* row =
      std::find_if(rows.begin(), rows.end(), [codec](const DecoderRow& each) { return each.codec == codec; });
  return row == rows.end() ? nullptr : avcodec_find_decoder_by_name(row->decoder);
}

const AVCodec* decoder_of(AVCodecID codec) { return decoder_in(decoder_rows, codec); }

}  // namespace

std::string libav_reason(int code) {
  std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
  av_strerror(code, text.data(), text.size());
  return text.data();
}

int Demuxer::read_bytes(void* source, std::uint8_t* to, int count) {
  auto& from = *static_cast<Source*>(source);
  const auto got = from.file->read_at(from.offset, to, count);
  if (!got) return AVERROR(EIO);
  if (*got == 0) return AVERROR_EOF;
  from.offset += *got;
  return static_cast<int>(*got);
}

int Demuxer::read_piped(void* source, std::uint8_t* to, int count) {
  const auto got = static_cast<Source*>(source)->pipe->read(to, count);
  if (!got) return AVERROR(EIO);
  return *got == 0 ? AVERROR_EOF : static_cast<int>(*got);
}

std::int64_t Demuxer::seek(void* source, std::int64_t offset, int whence) {
  auto& from = *static_cast<Source*>(source);
  if ((whence & AVSEEK_SIZE) != 0) return from.file->size_bytes();
  std::int64_t base = 0;
  switch (whence & ~AVSEEK_FORCE) {
    case SEEK_SET:
      break;
    case SEEK_CUR:
      base = from.offset;
      break;
    case SEEK_END:
      base = from.file->size_bytes();
      break;
    default:
      return AVERROR(EINVAL);
  }
  std::int64_t to = 0;
  if (__builtin_add_overflow(base, offset, &to) || to < 0) return AVERROR(EINVAL);
  from.offset = to;
  return to;
}

Result<Demuxer> Demuxer::open(const LocalFile& file, const ContainerLook& look) {
  auto demuxer = open_container({&file, 0, nullptr}, look);
  if (!demuxer) return demuxer;
  const Outcome chosen = demuxer->choose_picture();
  if (!chosen) return chosen.error();
  return demuxer;
}

Result<Demuxer> Demuxer::open_sound(const LocalFile& file, const ContainerLook& look) {
  auto demuxer = open_container({&file, 0, nullptr}, look);
  if (!demuxer) return demuxer;
  const Outcome chosen = demuxer->choose_picture();  // for its length
  if (!chosen) return chosen.error();
  demuxer->choose_sound();
  return demuxer;
}

Result<Demuxer> Demuxer::open_pipe(BytePipe& pipe, const ContainerLook& look) {
  auto demuxer = open_container({nullptr, 0, &pipe}, look);
  if (!demuxer) return demuxer;
  const Outcome chosen = demuxer->choose_picture();
  if (!chosen) return chosen.error();
  return demuxer;
}

Result<Demuxer> Demuxer::open_container(const Source& source, const ContainerLook& look) {
  quiet_libav();
  if (look.index_missing) {
    return Error{Fault::clip_unreadable, "the file ends before its index: the copy or the recording was broken off",
                 "copy the file from the phone again, or film again"};
  }
  Demuxer demuxer;
  demuxer.source_ = std::make_unique<Source>(source);
  constexpr int buffer_bytes = 1 << 15;
  auto* buffer = static_cast<unsigned char*>(av_malloc(buffer_bytes));
  if (buffer == nullptr) return unreadable("out of memory");
  const bool piped = source.pipe != nullptr;
  demuxer.io_.reset(avio_alloc_context(buffer, buffer_bytes, 0, demuxer.source_.get(),
                                       piped ? &read_piped : &read_bytes, nullptr, piped ? nullptr : &seek));
  AVFormatContext* format = avformat_alloc_context();
  if (!demuxer.io_ || format == nullptr) return unreadable("out of memory");
  format->pb = demuxer.io_.get();
  format->flags |= AVFMT_FLAG_CUSTOM_IO;
  format->io_open = &refuse_open;
  AVDictionary* settings = nullptr;
  av_dict_set(&settings, "protocol_whitelist", "none", 0);
  av_dict_set(&settings, "format_whitelist", piped ? "mov,matroska,mpegts" : "mov,matroska,avi", 0);
  av_dict_set(&settings, "codec_whitelist", "h264,hevc,vp8,vp9,libdav1d,mjpeg,mpeg4", 0);
  av_dict_set(&settings, "ignore_chapters", "1", 0);
  const int code = avformat_open_input(&format, "", av_find_input_format(demuxer_of(look.kind)), &settings);
  av_dict_free(&settings);
  if (code < 0) {  // avformat_open_input has freed it
    return unreadable("its index is damaged (" + libav_reason(code) + ")");
  }
  demuxer.format_.reset(format);
  return demuxer;
}

Outcome Demuxer::choose_picture() {
  std::optional<unsigned> best;
  std::string refused;
  const auto area = [this](unsigned index) {
    const AVCodecParameters& facts = *format_->streams[index]->codecpar;
    return static_cast<std::int64_t>(std::max(facts.width, 0)) * std::max(facts.height, 0);
  };
  for (unsigned i = 0; i < format_->nb_streams; ++i) {
    AVStream& stream = *format_->streams[i];
    stream.discard = AVDISCARD_ALL;
    if (stream.codecpar->codec_type != AVMEDIA_TYPE_VIDEO || is_attached(stream)) continue;
    if (decoder_of(stream.codecpar->codec_id) == nullptr) {
      refused = avcodec_get_name(stream.codecpar->codec_id);
    } else if (!best || area(i) > area(*best)) {
      best = i;
    }
  }
  if (!best && !refused.empty()) return unreadable("its pictures are coded as '" + refused + "', which is not opened");
  if (!best) return Error{Fault::clip_no_picture, "the file holds no picture track", ""};
  if (area(*best) > most_pixels) {
    const AVCodecParameters& facts = *format_->streams[*best]->codecpar;
    return Error{Fault::clip_too_large,
                 std::to_string(facts.width) + " x " + std::to_string(facts.height) + " pixels; " +
                     std::to_string(most_pixels / 1'000'000) + " million are taken on",
                 ""};
  }
  picture_index_ = *best;
  picture().discard = AVDISCARD_DEFAULT;
  decoder_ = decoder_of(picture().codecpar->codec_id);
  return Done{};
}

// Of several the one that plays by itself, else the first.
void Demuxer::choose_sound() {
  const auto plays = [this](unsigned index) { return format_->streams[index]->disposition & AV_DISPOSITION_DEFAULT; };
  for (unsigned i = 0; i < format_->nb_streams; ++i) {
    AVStream& stream = *format_->streams[i];
    stream.discard = AVDISCARD_ALL;
    if (stream.codecpar->codec_type != AVMEDIA_TYPE_AUDIO) continue;
    if (decoder_in(sound_decoder_rows, stream.codecpar->codec_id) == nullptr) {
      if (sound_refused_.empty()) sound_refused_ = avcodec_get_name(stream.codecpar->codec_id);
    } else if (!sound_index_ || (plays(i) != 0 && plays(*sound_index_) == 0)) {
      sound_index_ = i;
    }
  }
  if (!sound_index_) return;
  sound_refused_.clear();
  sound()->discard = AVDISCARD_DEFAULT;
  decoder_ = decoder_in(sound_decoder_rows, sound()->codecpar->codec_id);
}

std::int64_t Demuxer::pictures_indexed() const { return std::max(avformat_index_get_entries_count(&picture()), 0); }

int Demuxer::read_stream(unsigned index, AVPacket& packet) const {
  while (true) {
    const int code = av_read_frame(format_.get(), &packet);
    if (code < 0 || packet.stream_index == static_cast<int>(index)) return code;
    av_packet_unref(&packet);
  }
}

Scan scan_times(const Demuxer& demuxer) {
  constexpr std::size_t most_pictures = 3000;
  constexpr std::int64_t most_bytes = 96 << 20;
  Scan scan;
  std::int64_t bytes = 0;
  const AvHold<AVPacket> packet(av_packet_alloc());
  while (packet && scan.ticks.size() < most_pictures && bytes < most_bytes && demuxer.read_picture(*packet) >= 0) {
    const std::int64_t tick = packet->pts != AV_NOPTS_VALUE ? packet->pts : packet->dts;
    const bool shown = (packet->flags & AV_PKT_FLAG_DISCARD) == 0;
    bytes += packet->size;
    av_packet_unref(packet.get());
    if (tick == AV_NOPTS_VALUE || !shown) continue;
    // A picture that comes after pictures shown later than it: as many must be held back.
    const auto place = std::upper_bound(scan.ticks.begin(), scan.ticks.end(), tick);
    scan.reorder_depth = std::max(scan.reorder_depth, static_cast<int>(scan.ticks.end() - place));
    if (place == scan.ticks.begin() || *(place - 1) != tick) scan.ticks.insert(place, tick);
  }
  return scan;
}

std::optional<double> capture_tag(const Demuxer& demuxer) {
  for (const AVDictionary* tags : {demuxer.format().metadata, demuxer.picture().metadata}) {
    const AVDictionaryEntry* entry = av_dict_get(tags, "com.android.capture.fps", nullptr, 0);
    if (entry == nullptr) continue;
    const std::string_view text = entry->value;
    double rate_hz = 0.0;
    std::from_chars(text.data(), text.data() + text.size(), rate_hz);  // unlike strtod, the same in every language
    if (rate_hz >= 1.0 && rate_hz <= 10000.0) return rate_hz;
  }
  return std::nullopt;
}

std::string recorded_at(const Demuxer& demuxer) {
  for (const AVDictionary* tags : {demuxer.format().metadata, demuxer.picture().metadata}) {
    const AVDictionaryEntry* entry = av_dict_get(tags, "creation_time", nullptr, 0);
    if (entry == nullptr) continue;
    std::string text = entry->value;
    constexpr std::size_t longest = 40;
    const bool harmless = text.find_first_not_of("0123456789-+:.TZ") == std::string::npos;
    // Cameras without a clock write the day their format counts from.
    if (harmless && text.size() >= 10 && text.size() <= longest && text > "1971") return text;
  }
  return "";
}

std::optional<double> sound_length_s(const Demuxer& demuxer) {
  for (unsigned i = 0; i < demuxer.format().nb_streams; ++i) {
    const AVStream& stream = *demuxer.format().streams[i];
    if (stream.codecpar->codec_type == AVMEDIA_TYPE_AUDIO) return length_s(stream);
  }
  return std::nullopt;
}

std::optional<double> picture_length_s(const Demuxer& demuxer) { return length_s(demuxer.picture()); }

}  // namespace risetrace::clip
