#include "cli/synth_clip.h"

#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "report/clip_writer.h"
#include "synth/read_scene.h"
#include "synth/render.h"
#include "synth/truth.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

report::Codec codec_of(synth::CodecName name) {
  switch (name) {
    case synth::CodecName::hevc:
      return report::Codec::hevc;
    case synth::CodecName::hevc_10bit:
      return report::Codec::hevc_10bit;
    case synth::CodecName::vp9:
      return report::Codec::vp9;
    case synth::CodecName::av1:
      return report::Codec::av1;
    case synth::CodecName::mjpeg:
      return report::Codec::mjpeg;
    case synth::CodecName::h264:
      break;
  }
  return report::Codec::h264;
}

report::ClipWriterOptions writer_options(const synth::Scene& scene, const synth::Renderer& renderer) {
  report::ClipWriterOptions options;
  options.codec = codec_of(scene.file.codec);
  options.width = renderer.stored_width();
  options.height = renderer.stored_height();
  options.rate_hz = scene.file.stored_rate_hz.value_or(scene.camera.fps);
  options.bit_rate_mbps = scene.file.bit_rate_mbps;
  options.full_range = scene.file.full_range;
  options.orientation = {scene.file.rotation_deg / 90, scene.file.mirrored};
  if (scene.file.capture_tag) options.capture_fps = scene.camera.fps;
  if (scene.sound.on) options.sound_rate_hz = synth::sound_rate_hz;
  return options;
}

report::PictureView view_of(const synth::RenderedFrame& frame) {
  const auto plane = [&](std::size_t index) {
    const synth::StoredPlane& stored = frame.planes[index];
    return clip::Plane{stored.bytes.data(), static_cast<std::ptrdiff_t>(stored.width) * (frame.bits > 8 ? 2 : 1),
                       stored.width, stored.height};
  };
  return {frame.bits, plane(0), {plane(1), plane(2)}};
}

// Each frame comes with the sound that goes before it, so that the two stay beside each other in the file.
Outcome write_frames(const synth::Scene& scene, synth::Renderer& renderer, const fs::path& file,
                     const std::function<void(double)>& progress) {
  auto writer = report::ClipWriter::create(file.string(), writer_options(scene, renderer));
  if (!writer) return writer.error();
  const std::vector<float> sound = synth::render_sound(scene);
  std::size_t heard = 0;
  const auto add_sound_until = [&](std::size_t end) -> Outcome {
    end = std::min(end, sound.size());
    if (end <= heard) return Done{};
    const std::vector<float> piece(sound.begin() + static_cast<std::ptrdiff_t>(heard),
                                   sound.begin() + static_cast<std::ptrdiff_t>(end));
    heard = end;
    return writer->add_sound(piece);
  };
  while (const auto frame = renderer.next()) {
    if (auto added = writer->add_picture(view_of(*frame), frame->file_time_s); !added) return added.error();
    const auto until = static_cast<std::size_t>(std::max(0.0, frame->file_time_s * synth::sound_rate_hz));
    if (auto added = add_sound_until(until); !added) return added.error();
    if (progress) progress(static_cast<double>(frame->index + 1) / renderer.frame_count());
  }
  if (auto added = add_sound_until(sound.size()); !added) return added.error();
  return writer->finish();
}

Result<std::string> text_of(const fs::path& file) {
  std::ifstream in(file);
  std::ostringstream text;
  if (in) text << in.rdbuf();
  if (!in) return Error{Fault::option_wrong, file.string() + " cannot be read", "give the path of a scene file"};
  return text.str();
}

Outcome write_text(const fs::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary);
  out << text;
  out.close();
  if (!out) return Error{Fault::cannot_write, file.string(), "choose another file with --out"};
  return Done{};
}

// The ending stays, because the container follows it.
fs::path aside_of(const fs::path& file) {
  const std::string name = ".partial-" + std::to_string(getpid()) + "-" + file.filename().string();
  return file.parent_path() / name;
}

Outcome rename_both(const fs::path& clip_aside, const SynthClip& made, const fs::path& truth_aside) {
  std::error_code failed;
  fs::rename(truth_aside, made.truth, failed);
  if (!failed) fs::rename(clip_aside, made.clip, failed);
  if (failed)
    return Error{Fault::cannot_write, made.clip.string() + ": " + failed.message(), "choose another file with --out"};
  return Done{};
}

}  // namespace

fs::path truth_path_of(const fs::path& clip) {
  fs::path truth = clip;
  return truth.replace_extension(".truth.json");
}

Result<SynthClip> render_clip(const fs::path& scene_file, const fs::path& clip, const model::Models& models,
                              const std::function<void(double)>& progress) {
  const auto text = text_of(scene_file);
  if (!text) return text.error();
  const auto scene = synth::read_scene(*text);
  if (!scene) return scene.error();
  synth::Renderer renderer(*scene, models.cards);
  const SynthClip made{scene_file, clip, truth_path_of(clip), renderer.frame_count()};
  const fs::path clip_aside = aside_of(made.clip);
  const fs::path truth_aside = aside_of(made.truth);
  Outcome written = write_frames(*scene, renderer, clip_aside, progress);
  if (written) {
    written = write_text(truth_aside, synth::truth_json(synth::truth_of(*scene, models.cards, models.heel_raise)));
  }
  if (written) written = rename_both(clip_aside, made, truth_aside);
  if (written) return made;
  std::error_code ignored;
  fs::remove(clip_aside, ignored);
  fs::remove(truth_aside, ignored);
  return written.error();
}

}  // namespace risetrace::cli
