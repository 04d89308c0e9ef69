// The edge code on photographs of printed tags: OpenCV documentation's page of six tags (Apache-2.0) against the page
// as printed, and AprilRobotics' outdoor photographs (NASA, CC BY-SA 2.0) against the corner files published with them.
// See the data folder's README.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <vector>

#include "clip/read_clip.h"
#include "math/homography.h"
#include "math/statistics.h"
#include "place.h"
#include "scale/edges.h"

namespace risetrace {
namespace {

using Quad = std::array<Point, 4>;

// A still picture as a clip of one frame, by the ffmpeg program; empty where that is not installed.
std::optional<clip::Frame> frame_of(const std::filesystem::path& picture) {
  const auto clip = std::filesystem::temp_directory_path() / (picture.stem().string() + "-one-frame.mkv");
  const std::string command = "ffmpeg -v error -y -i '" + picture.string() + "' -pix_fmt yuv444p -c:v libx264 -qp 1 '" +
                              clip.string() + "' 2>/dev/null";
  if (std::system(command.c_str()) != 0) return std::nullopt;  // NOLINT(cert-env33-c,concurrency-mt-unsafe)
  auto reader = clip::ClipReader::open(clip.string(), {});
  std::filesystem::remove(clip);
  if (!reader) return std::nullopt;
  auto frame = reader->next();
  return frame && *frame ? std::optional(**frame) : std::nullopt;
}

std::optional<Quad> measured(const clip::Frame& frame, const Quad& about) {
  double side = 1e9;
  for (std::size_t i = 0; i < 4; ++i) {
    side = std::min(side, std::hypot(about[i].x - about[(i + 1) % 4].x, about[i].y - about[(i + 1) % 4].y));
  }
  scale::EdgeOptions options;
  options.reach_px = std::clamp(0.8 * side / 8, 1.5, 6.0);
  const auto patch = clip::upright_patch(frame, scale::box_around(about, 2 * options.reach_px + 2));
  return scale::measure_quad(patch, about, options, nullptr);
}

// Corners to the nearest pixel as OpenCV 4.6's detector of DICT_6X6_250 gave them: where to start, not what to find.
const std::map<int, Quad> on_page = {{23, {{{976, 445}, {1175, 445}, {1175, 644}, {976, 644}}}},
                                     {40, {{{1264, 1237}, {1463, 1237}, {1463, 1436}, {1264, 1436}}}},
                                     {62, {{{690, 1047}, {491, 1047}, {491, 848}, {690, 848}}}},
                                     {98, {{{1608, 919}, {1807, 919}, {1807, 1118}, {1608, 1118}}}},
                                     {124, {{{1693, 243}, {1693, 442}, {1494, 442}, {1494, 243}}}},
                                     {203, {{{391, 206}, {590, 206}, {590, 405}, {391, 405}}}}};
const std::map<int, Quad> in_photo = {{23, {{{298, 185}, {334, 186}, {335, 212}, {297, 211}}}},
                                      {40, {{{359, 310}, {404, 310}, {409, 351}, {362, 350}}}},
                                      {62, {{{233, 273}, {190, 273}, {196, 241}, {237, 241}}}},
                                      {98, {{{427, 255}, {469, 256}, {477, 289}, {434, 288}}}},
                                      {124, {{{425, 163}, {430, 186}, {394, 186}, {390, 162}}}},
                                      {203, {{{195, 155}, {230, 155}, {227, 178}, {190, 178}}}}};

TEST(TagPhotographs, OnePlaneExplainsThePageAsWellAsItExplainsOpenCvsCorners) {
  const auto folder = test::data_folder() / "tags";
  RISETRACE_NEEDS_DATA(folder / "singlemarkerssource.png");
  const auto page = frame_of(folder / "singlemarkerssource.png");
  const auto photo = frame_of(folder / "singlemarkersoriginal.jpg");
  if (!page || !photo) GTEST_SKIP() << "the ffmpeg program is not here to read pictures";
  std::vector<Point> from;
  std::vector<Point> to;
  for (const auto& [id, about] : on_page) {
    const auto printed = measured(*page, about);
    const auto seen = measured(*photo, in_photo.at(id));
    ASSERT_TRUE(printed) << id;
    ASSERT_TRUE(seen) << id;
    from.insert(from.end(), printed->begin(), printed->end());
    to.insert(to.end(), seen->begin(), seen->end());
  }
  const auto fit = math::fit_homography(from, to);
  ASSERT_TRUE(fit);
  RecordProperty("rms_px", std::to_string(fit->rms));
  EXPECT_LT(fit->rms, 0.64);  // what a plain homography left of OpenCV's corners (README of the data)
}

std::vector<Quad> published_corners(const std::filesystem::path& file) {
  std::vector<Quad> quads;
  std::ifstream in(file);
  const std::regex pair(R"(\(([-0-9.]+) ([-0-9.]+)\))");
  for (std::string line; std::getline(in, line);) {
    Quad quad;
    std::size_t at = 0;
    for (std::sregex_iterator i(line.begin(), line.end(), pair), end; i != end && at < 4; ++i) {
      quad[3 - at++] = {std::stod((*i)[1]), std::stod((*i)[2])};  // listed the other way round
    }
    if (at == 4) quads.push_back(quad);
  }
  return quads;
}

TEST(TagPhotographs, CornersAgreeWithThePublishedOnes) {
  std::vector<double> off;
  std::vector<double> off_x;
  std::vector<double> off_y;
  std::size_t asked = 0;
  for (const char* name : {"33369213973_9d9bb4cc96_c", "34085369442_304b6bafd9_c"}) {
    const auto file = test::data_folder() / "tags" / name;
    RISETRACE_NEEDS_DATA(std::filesystem::path(file.string() + ".jpg"));
    const auto frame = frame_of(file.string() + ".jpg");
    if (!frame) GTEST_SKIP() << "the ffmpeg program is not here to read pictures";
    for (const Quad& quad : published_corners(file.string() + ".txt")) {
      Quad about = quad;
      for (std::size_t i = 0; i < 4; ++i) {  // a detector's rough corners: off by up to half a pixel
        about[i].x = std::round(about[i].x);
        about[i].y = std::round(about[i].y);
      }
      ++asked;
      const auto corners = measured(*frame, about);
      if (!corners) continue;  // the small and shadowed ones: refused, not guessed
      for (std::size_t i = 0; i < 4; ++i) {
        off_x.push_back(corners->at(i).x - (quad[i].x - 0.5));  // theirs has pixel centres at halves
        off_y.push_back(corners->at(i).y - (quad[i].y - 0.5));
        off.push_back(std::hypot(off_x.back(), off_y.back()));
      }
    }
  }
  RecordProperty("measured_of", std::to_string(off.size() / 4) + "/" + std::to_string(asked));
  RecordProperty("median_px", std::to_string(math::median(off)));
  EXPECT_GE(off.size() / 4, asked / 2);
  // The published corners are what one detector found, whole pixels among them, on tags of 12 to 33 pixels: half a
  // pixel is what they are good for one by one; on the whole the two must lie on each other.
  EXPECT_LT(math::median(off), 0.5);
  EXPECT_LT(std::abs(math::median(off_x)), 0.2);
  EXPECT_LT(std::abs(math::median(off_y)), 0.2);
}

}  // namespace
}  // namespace risetrace
