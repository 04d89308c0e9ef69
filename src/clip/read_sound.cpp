#include "clip/read_sound.h"

extern "C" {
#include <libavutil/channel_layout.h>
#include <libavutil/opt.h>
}

#include <algorithm>
#include <array>
#include <cmath>

#include "clip/demux.h"
#include "clip/read_clip.h"

namespace risetrace::clip {
namespace {

constexpr double wanted_rate_hz = 48000.0;
constexpr double gap_s = 0.015;  // shorter than one coded frame of most codecs, longer than a container's rounding

Error no_memory() { return {Fault::clip_unreadable, "out of memory", ""}; }

struct PictureClock {
  double zero_in_file_s = 0.0;
  double stretch = 1.0;
};

// The clock is that of the picture's reader by construction: it is asked.
Result<PictureClock> picture_clock(const std::string& path, const SoundOptions& options) {
  ReadOptions as_picture;
  as_picture.capture_fps = options.capture_fps;
  as_picture.threads = 1;
  auto reader = ClipReader::open(path, as_picture);
  if (!reader) return reader.error();
  const auto first = reader->next();
  if (!first) return first.error();
  return PictureClock{reader->zero_in_file_s().value_or(0.0), reader->facts().stretch};
}

// Slow motion is stored with its sound drawn out with the picture, or with the sound as it was and ending early.
bool sound_is_in_real_time(const Demuxer& demuxer, double stretch) {
  const AVStream& sound = *demuxer.sound();
  const auto picture_s = picture_length_s(demuxer);
  if (!picture_s || sound.duration == AV_NOPTS_VALUE || sound.duration <= 0 || stretch < 1.5) return false;
  const double sound_s = static_cast<double>(sound.duration) * av_q2d(sound.time_base);
  return std::abs(sound_s * stretch / *picture_s - 1.0) < 0.15;
}

AvHold<AVCodecContext> open_decoder(const Demuxer& demuxer) {
  AvHold<AVCodecContext> codec(avcodec_alloc_context3(&demuxer.decoder()));
  if (!codec || avcodec_parameters_to_context(codec.get(), demuxer.sound()->codecpar) < 0) return nullptr;
  codec->pkt_timebase = demuxer.sound()->time_base;  // with it libav cuts off the encoder's priming and mends the times
  codec->thread_count = 1;
  return avcodec_open2(codec.get(), &demuxer.decoder(), nullptr) < 0 ? nullptr : std::move(codec);
}

}  // namespace

struct SoundReader::Inside {
  std::unique_ptr<LocalFile> file;  // before the demuxer, which keeps its address
  std::optional<Demuxer> demuxer;
  AvHold<AVCodecContext> codec;  // null: nothing to read
  AvHold<AVPacket> packet{av_packet_alloc()};
  AvHold<AVFrame> frame{av_frame_alloc()};
  SoundFacts facts;
  double zero_in_file_s = 0.0;

  // The mixer and what it was made for. Its output is centred: output sample k lies at k / its rate after the first
  // input sample, and nothing of that is shifted by the resampling filter.
  AvHold<SwrContext> mixer;
  int rate_in_hz = 0, rate_out_hz = 0, format = -1, channels = 0;
  double origin_s = 0.0;      // in the file: of the first sample given to the mixer
  std::int64_t given = 0;     // samples since
  std::int64_t taken = 0;     // samples it gave back since
  double late_s = 0.0;        // mean of what the file's times are behind the count of samples: rounding, or drift
  std::int64_t averaged = 0;  // frames in that mean
  double taken_to_s = -1e300;

  bool frame_waits = false;  // decoded, and not yet given to the mixer
  bool draining = false;
  bool finished = false;
  std::int64_t packets_damaged = 0;
  std::int64_t frames_backward = 0;
  std::int64_t frames_good = 0;
  std::optional<double> damaged_at_s;

  bool decode();
  void feed();
  Outcome make_mixer();
  bool frame_fits_on() const;
  std::optional<double> frame_time_s() const;
  Result<std::vector<float>> mix(const AVFrame* input);
  Result<std::optional<SoundPiece>> piece_of(const AVFrame* input);
  void meet_frame();
  void finish();
};

void SoundReader::Inside::feed() {
  const int code = demuxer->read_sound(*packet);
  if (code < 0) {
    draining = true;
    avcodec_send_packet(codec.get(), nullptr);
    return;
  }
  if ((packet->flags & AV_PKT_FLAG_CORRUPT) != 0 || avcodec_send_packet(codec.get(), packet.get()) < 0) {
    if (packets_damaged++ == 0 && taken_to_s > -1e299) damaged_at_s = taken_to_s;
  }
  av_packet_unref(packet.get());
}

// True with the next decoded frame in `frame`, false at the end.
bool SoundReader::Inside::decode() {
  constexpr int most_failures = 256;  // while draining nothing new goes in, so failures must end some time
  int failures = 0;
  while (true) {
    const int code = avcodec_receive_frame(codec.get(), frame.get());
    if (code == 0 && frame->nb_samples > 0 && frame->sample_rate >= 4000 && frame->sample_rate <= 400000) return true;
    if (code == AVERROR_EOF || (draining && code != 0 && ++failures > most_failures)) return false;
    if (code == 0) continue;
    if (code != AVERROR(EAGAIN)) {
      ++packets_damaged;
    } else if (draining) {
      return false;
    } else {
      feed();
    }
  }
}

// A mixer for frames of this form: all channels with equal weight, at 48 kHz of filming.
Outcome SoundReader::Inside::make_mixer() {
  rate_in_hz = frame->sample_rate;
  format = frame->format;
  channels = frame->ch_layout.nb_channels;
  rate_out_hz = std::clamp(static_cast<int>(std::lround(wanted_rate_hz / facts.stretch)), 1000, 192000);
  AVChannelLayout mono{};
  av_channel_layout_default(&mono, 1);
  SwrContext* made = nullptr;
  AVChannelLayout plain{};  // the places of the loudspeakers do not matter
  av_channel_layout_default(&plain, channels);
  const int code = swr_alloc_set_opts2(&made, &mono, AV_SAMPLE_FMT_FLT, rate_out_hz, &plain,
                                       static_cast<AVSampleFormat>(format), rate_in_hz, 0, nullptr);
  av_channel_layout_uninit(&plain);
  mixer.reset(made);
  if (code < 0 || !mixer || channels < 1) return no_memory();
  const std::vector<double> weights(static_cast<std::size_t>(channels), 1.0 / channels);
  if (swr_set_matrix(mixer.get(), weights.data(), channels) < 0 || swr_init(mixer.get()) < 0) return no_memory();
  given = taken = averaged = 0;
  late_s = 0.0;
  return Done{};
}

std::optional<double> SoundReader::Inside::frame_time_s() const {
  if (frame->best_effort_timestamp == AV_NOPTS_VALUE) return std::nullopt;
  return static_cast<double>(frame->best_effort_timestamp) * av_q2d(demuxer->sound()->time_base);
}

// The waiting frame goes on where the mixer stands: the same form, and no gap before it.
bool SoundReader::Inside::frame_fits_on() const {
  if (frame->sample_rate != rate_in_hz || frame->format != format || frame->ch_layout.nb_channels != channels) {
    return false;
  }
  const auto stated_s = frame_time_s();
  const double counted_s = origin_s + static_cast<double>(given) / rate_in_hz;
  return !stated_s || std::abs(*stated_s - counted_s - late_s) < gap_s;
}

// What the mixer has to give after `input`, or, without one, at the end.
Result<std::vector<float>> SoundReader::Inside::mix(const AVFrame* input) {
  const int count_in = input != nullptr ? input->nb_samples : 0;
  const int room = swr_get_out_samples(mixer.get(), count_in);
  if (room < 0) return no_memory();
  std::vector<float> samples(static_cast<std::size_t>(room) + 1);
  std::array<std::uint8_t*, 1> out = {reinterpret_cast<std::uint8_t*>(samples.data())};
  const auto** in = input != nullptr ? const_cast<const std::uint8_t**>(input->extended_data) : nullptr;
  const int got = swr_convert(mixer.get(), out.data(), room + 1, in, count_in);
  if (got < 0) return no_memory();
  samples.resize(static_cast<std::size_t>(got));
  for (float& sample : samples) {
    if (!std::isfinite(sample)) sample = 0.0F;  // a floating-point track may hold anything
    sample = std::clamp(sample, -8.0F, 8.0F);
  }
  return samples;
}

Result<std::optional<SoundPiece>> SoundReader::Inside::piece_of(const AVFrame* input) {
  auto samples = mix(input);
  if (!samples) return samples.error();
  if (samples->empty()) return std::optional<SoundPiece>{};
  const double first_in_file_s = origin_s + late_s + static_cast<double>(taken) / rate_out_hz;
  taken += static_cast<std::int64_t>(samples->size());
  SoundPiece piece;
  piece.rate_hz = rate_out_hz * facts.stretch;
  piece.first_s = std::max((first_in_file_s - zero_in_file_s) / facts.stretch, taken_to_s);
  piece.samples = std::move(*samples);
  taken_to_s = piece.first_s + static_cast<double>(piece.samples.size()) / piece.rate_hz;
  return std::optional(std::move(piece));
}

// Keeps the mean of how far the stated times lie from the counted ones. The weight falls to 1/200: some seconds.
void SoundReader::Inside::meet_frame() {
  ++frames_good;
  const auto stated_s = frame_time_s();
  if (!stated_s) return;
  averaged = std::min<std::int64_t>(averaged + 1, 200);
  const double counted_s = origin_s + static_cast<double>(given) / rate_in_hz;
  late_s += (*stated_s - counted_s - late_s) / static_cast<double>(averaged);
}

void SoundReader::Inside::finish() {
  if (finished) return;
  finished = true;
  if (codec && frames_good == 0) {
    facts.there = false;
    facts.notes.push_back(
        {"sound-unreadable", "The sound track is empty or none of it can be decoded; nothing is heard in it.", {}});
  } else if (packets_damaged + frames_backward > 0) {
    facts.notes.push_back(
        {"sound-damaged",
         std::to_string(packets_damaged + frames_backward) + " pieces of the sound are damaged and had to be left out.",
         damaged_at_s});
  }
}

SoundReader::SoundReader(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
SoundReader::SoundReader(SoundReader&&) noexcept = default;
SoundReader& SoundReader::operator=(SoundReader&&) noexcept = default;
SoundReader::~SoundReader() = default;

Result<SoundReader> SoundReader::open(const std::string& path, const SoundOptions& options) {
  const auto clock = picture_clock(path, options);
  if (!clock) return clock.error();
  auto file = LocalFile::open(path);
  if (!file) return file.error();
  const auto look = look_at_container(*file);
  if (!look) return look.error();
  auto inside = std::make_unique<Inside>();
  if (!inside->packet || !inside->frame) return no_memory();
  inside->file = std::make_unique<LocalFile>(std::move(*file));
  auto demuxer = Demuxer::open_sound(*inside->file, *look);
  if (!demuxer) return demuxer.error();
  inside->demuxer = std::move(*demuxer);
  inside->zero_in_file_s = clock->zero_in_file_s;
  SoundFacts& facts = inside->facts;
  facts.stretch = clock->stretch;
  const AVStream* sound = inside->demuxer->sound();
  if (sound == nullptr) {
    const std::string& refused = inside->demuxer->sound_refused();
    if (!refused.empty()) {
      facts.notes.push_back({"sound-not-opened", "The sound is coded as '" + refused + "', which is not opened.", {}});
    }
    return SoundReader(std::move(inside));
  }
  facts.codec = avcodec_get_name(sound->codecpar->codec_id);
  facts.channels = sound->codecpar->ch_layout.nb_channels;
  facts.file_rate_hz = sound->codecpar->sample_rate;
  inside->codec = open_decoder(*inside->demuxer);
  facts.there = inside->codec != nullptr;
  if (!facts.there) {
    facts.notes.push_back({"sound-unreadable", "The sound track's head is damaged; nothing is heard in it.", {}});
  } else if (sound_is_in_real_time(*inside->demuxer, facts.stretch)) {
    facts.stretch = 1.0;
    facts.notes.push_back({"sound-not-slowed",
                           "The picture is slow motion; its sound lasts as long as the filming and is not slowed.",
                           {}});
  }
  return SoundReader(std::move(inside));
}

Result<std::optional<SoundPiece>> SoundReader::next() {
  Inside& in = *inside_;
  if (!in.codec) in.finish();
  while (!in.finished) {
    if (!in.frame_waits) in.frame_waits = in.decode();
    if (!in.frame_waits || (in.mixer && !in.frame_fits_on())) {  // what the mixer still holds comes first
      auto rest = in.mixer ? in.piece_of(nullptr) : Result<std::optional<SoundPiece>>(std::optional<SoundPiece>{});
      in.mixer.reset();
      if (!in.frame_waits) in.finish();
      if (!rest || *rest) return rest;
      continue;
    }
    if (!in.mixer) {
      const auto stated_s = in.frame_time_s();
      const double so_far_in_file_s = in.taken_to_s * in.facts.stretch + in.zero_in_file_s;
      const bool first = in.frames_good == 0;
      if (!first && stated_s && *stated_s < so_far_in_file_s - gap_s) {  // back into what was heard
        ++in.frames_backward;
        in.frame_waits = false;
        continue;
      }
      in.origin_s = stated_s ? *stated_s : first ? in.zero_in_file_s : so_far_in_file_s;
      if (auto made = in.make_mixer(); !made) return made.error();
    }
    in.meet_frame();
    auto piece = in.piece_of(in.frame.get());
    in.given += in.frame->nb_samples;
    in.frame_waits = false;
    if (!piece || *piece) return piece;
  }
  return std::optional<SoundPiece>{};
}

const SoundFacts& SoundReader::facts() const { return inside_->facts; }

}  // namespace risetrace::clip
