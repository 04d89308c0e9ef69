#include "report/frames_clip.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "report/clip_writer.h"
#include "report/cut_out.h"
#include "report/json_number.h"
#include "report/result_folder.h"
#include "report/small_picture.h"

namespace risetrace::report {
namespace {

constexpr double playback_hz = 30.0;
constexpr int widest_px = 960;
constexpr int whole_quality = 27;  // of x264's scale, less is better: the sticker's edge stays clear
constexpr int foot_quality = 20;   // looked at enlarged

ClipWriterOptions options_for(int width, int height, int quality, bool full_range) {
  ClipWriterOptions options;
  options.width = width;
  options.height = height;
  options.rate_hz = playback_hz;
  options.every_picture_whole = true;
  options.quality = quality;
  options.full_range = full_range;
  return options;
}

}  // namespace

struct FramesClip::Inside {
  Inside(std::filesystem::path place, const measure::Measurement& m, const clip::Frame& first)
      : folder(std::move(place)), whole(first, widest_px), foot(foot_view(m)), cut_out(foot.size_px, foot.size_px) {}

  std::filesystem::path folder;
  SmallPicture whole;
  FootView foot;
  CutOut cut_out;
  std::optional<ClipWriter> whole_writer;
  std::optional<ClipWriter> foot_writer;
  std::int64_t frames = 0;
};

FramesClip::FramesClip(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
FramesClip::FramesClip(FramesClip&&) noexcept = default;
FramesClip& FramesClip::operator=(FramesClip&&) noexcept = default;
FramesClip::~FramesClip() = default;

Result<FramesClip> FramesClip::create(const std::filesystem::path& folder, const measure::Measurement& measurement,
                                      const clip::Frame& first) {
  auto inside = std::make_unique<Inside>(folder, measurement, first);
  auto whole = ClipWriter::create((folder / "frames.mp4").string(),
                                  options_for(inside->whole.width(), inside->whole.height(), whole_quality, false));
  if (!whole) return whole.error();
  inside->whole_writer.emplace(*std::move(whole));
  if (inside->foot.size_px > 0) {
    auto foot =
        ClipWriter::create((folder / "foot.mp4").string(),
                           options_for(inside->foot.size_px, inside->foot.size_px, foot_quality, first.full_range));
    if (!foot) return foot.error();
    inside->foot_writer.emplace(*std::move(foot));
  }
  return FramesClip(std::move(inside));
}

Outcome FramesClip::add(const clip::Frame& frame) {
  Inside& in = *inside_;
  const double shown_s = static_cast<double>(in.frames) / playback_hz;
  const auto picture = in.whole.of(frame);
  if (!picture) return picture.error();
  if (auto added = in.whole_writer->add_picture(*picture, shown_s); !added) return added;
  if (in.foot_writer) {
    // A clip may turn out a frame longer than it was when it was measured.
    const auto at = std::min<std::size_t>(static_cast<std::size_t>(in.frames), in.foot.corners.size() - 1);
    const FootView::Corner& corner = in.foot.corners[at];
    if (auto added = in.foot_writer->add_picture(in.cut_out.of(frame, corner.x, corner.y), shown_s); !added)
      return added;
  }
  ++in.frames;
  return Done{};
}

Outcome FramesClip::finish() {
  Inside& in = *inside_;
  if (auto done = in.whole_writer->finish(); !done) return done;
  if (in.foot_writer) {
    if (auto done = in.foot_writer->finish(); !done) return done;
  }
  using Json = nlohmann::ordered_json;
  Json corners = Json::array();
  for (std::size_t i = 0; i < in.foot.corners.size() && static_cast<std::int64_t>(i) < in.frames; ++i) {
    corners.push_back({in.foot.corners[i].x, in.foot.corners[i].y});
  }
  const bool foot = in.foot_writer.has_value();
  const Json document = {{"schema", "risetrace/frames/1"},
                         {"frames", in.frames},
                         {"playback_fps", static_cast<int>(playback_hz)},
                         {"width", in.whole.width()},
                         {"height", in.whole.height()},
                         {"scale", number(in.whole.scale(), 6)},
                         {"foot_size", foot ? Json(in.foot.size_px) : Json(nullptr)},
                         {"foot", foot ? corners : Json(nullptr)}};
  return write_text(in.folder / "frames.json", document.dump() + "\n");
}

}  // namespace risetrace::report
