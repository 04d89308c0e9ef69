// A container opened from a local file, with nothing else in reach, and its picture or its sound stream chosen. Inside
// of the readers.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "clip/byte_pipe.h"
#include "clip/libav_hold.h"
#include "clip/local_file.h"

namespace risetrace::clip {

// The largest picture taken on; 8K is 33 million. Each decoded picture of this size holds 60 to 120 MB.
constexpr std::int64_t most_pixels = 40'000'000;

class Demuxer {
 public:
  // Faults: clip_unreadable, clip_no_picture, clip_too_large. `file` must outlive the result.
  static Result<Demuxer> open(const LocalFile& file, const ContainerLook& look);
  // The same for the sound: no stream is chosen where there is none, or none whose coding is opened; see sound().
  static Result<Demuxer> open_sound(const LocalFile& file, const ContainerLook& look);

  // The picture of what comes through a pipe, which must outlive the result. Waits until the container has said what is
  // in it. Nothing in it is looked for again: it is read from front to back, once.
  static Result<Demuxer> open_pipe(BytePipe& pipe, const ContainerLook& look);

  [[nodiscard]] AVFormatContext& format() const { return *format_; }
  [[nodiscard]] AVStream& picture() const { return *format_->streams[picture_index_]; }
  [[nodiscard]] const AVCodec& decoder() const { return *decoder_; }
  // The chosen sound stream; null where there is none. Its decoder is decoder().
  [[nodiscard]] AVStream* sound() const { return sound_index_ ? format_->streams[*sound_index_] : nullptr; }
  // A sound stream is there and its coding, libav's name, is not opened; empty otherwise.
  [[nodiscard]] const std::string& sound_refused() const { return sound_refused_; }
  // Pictures that the container's own index promises; 0 where it has no full index.
  [[nodiscard]] std::int64_t pictures_indexed() const;
  // The next packet of the picture stream into `packet`, which must be empty. Returns libav's code.
  int read_picture(AVPacket& packet) const { return read_stream(picture_index_, packet); }
  // The same for the sound stream, which must be there.
  int read_sound(AVPacket& packet) const { return read_stream(*sound_index_, packet); }

 private:
  struct Source {                     // what the read callback needs
    const LocalFile* file = nullptr;  // this one ...
    std::int64_t offset = 0;
    BytePipe* pipe = nullptr;  // ... or that
  };
  static int read_bytes(void* source, std::uint8_t* to, int count);
  static std::int64_t seek(void* source, std::int64_t offset, int whence);
  static int read_piped(void* source, std::uint8_t* to, int count);
  static Result<Demuxer> open_container(const Source& source, const ContainerLook& look);
  int read_stream(unsigned index, AVPacket& packet) const;
  Outcome choose_picture();
  void choose_sound();

  std::unique_ptr<Source> source_;
  AvHold<AVIOContext> io_;
  AvHold<AVFormatContext> format_;  // after io_: it must go first
  unsigned picture_index_ = 0;
  std::optional<unsigned> sound_index_;
  std::string sound_refused_;
  const AVCodec* decoder_ = nullptr;
};

// What a look through the packets, without decoding, tells before the first picture is wanted.
struct Scan {
  std::vector<std::int64_t> ticks;  // rising presentation times of the pictures shown, in ticks of the stream's clock
  int reorder_depth = 0;            // pictures that must be held back to come in the order shown
};
// At most some thousands of pictures from the start. Reads `demuxer` forward: open another one to decode.
Scan scan_times(const Demuxer& demuxer);

// com.android.capture.fps of the file or of its picture stream, where it is a rate from 1 to 10000.
std::optional<double> capture_tag(const Demuxer& demuxer);
// When the file says it was recorded, as it spells that; only digits and the marks of ISO 8601. Empty: it does not say.
std::string recorded_at(const Demuxer& demuxer);
// Lengths as the container states them.
std::optional<double> sound_length_s(const Demuxer& demuxer);
std::optional<double> picture_length_s(const Demuxer& demuxer);

}  // namespace risetrace::clip
