// The sample clips through the whole program, held against what is known of them.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "place.h"
#include "report/schema_check.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

struct Sample {
  const char* name;
  Words options;
  double tolerance_cm;  // 0: twice the standard uncertainty that the result itself states
};

std::ostream& operator<<(std::ostream& out, const Sample& sample) { return out << sample.name; }

std::string clip_of(const Sample& sample) {
  return (source_folder() / "sample-clips" / (std::string(sample.name) + ".mp4")).string();
}

class SampleClip : public testing::TestWithParam<Sample> {};

void expect_truth(const json& result, const json& truth, double tolerance_cm) {
  const json& got = result["heel_raise"];
  const json& wanted = truth["heel_raise"];
  EXPECT_EQ(got["count"], wanted["count"]);
  EXPECT_EQ(got["count_at"], wanted["count_at"]);
  EXPECT_EQ(got["set_end"]["why"], wanted["set_end"]["why"]);
  EXPECT_EQ(got["set_end"]["after_rep"], wanted["set_end"]["after_rep"]);
  if (tolerance_cm > 0) return expect_same_heights(heights_cm(result), heights_cm(truth), tolerance_cm);
  ASSERT_EQ(got["reps"].size(), wanted["reps"].size());
  for (std::size_t i = 0; i < got["reps"].size(); ++i) {
    const double stated_cm = got["reps"][i]["height_cm_u"].get<double>();
    EXPECT_NEAR(got["reps"][i]["height_cm"].get<double>(), wanted["reps"][i]["height_cm"].get<double>(), 2 * stated_cm);
  }
}

void expect_rows(const std::string& csv, const json& result) {
  const auto lines = std::count(csv.begin(), csv.end(), '\n');
  EXPECT_EQ(lines, 1 + result["clip"]["frames"].get<long>()) << "a row a frame below the head";
  EXPECT_EQ(csv.substr(0, 12), "frame,time_s");
  EXPECT_EQ(csv.find("nan"), std::string::npos);
  EXPECT_EQ(csv.find("inf"), std::string::npos);
}

}  // namespace

TEST_P(SampleClip, IsMeasuredAsItIs) {
  const Sample& sample = GetParam();
  const Place place;
  Words arguments = {"measure", clip_of(sample), "--out", place / "out", "--json", "--overlay", "--report"};
  arguments.insert(arguments.end(), sample.options.begin(), sample.options.end());
  const Ran ran = risetrace_run(arguments);
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_EQ(place.holds(), Words{"out"});
  const std::string written = read_file(place / "out/result.json");
  EXPECT_EQ(ran.out, written) << "--json says what result.json holds, and nothing else";
  EXPECT_EQ(misfit("result.schema.json", written), "");
  const json result = json::parse(written);
  expect_truth(result, truth_of(clip_of(sample)), sample.tolerance_cm);
  expect_rows(read_file(place / "out/trace.csv"), result);
  EXPECT_EQ(read_file(place / "out/report.pdf").substr(0, 5), "%PDF-");
  EXPECT_EQ(read_file(place / "out/overlay.mp4").substr(4, 4), "ftyp");
  if (have("pdfinfo")) {
    EXPECT_EQ(run({"pdfinfo", place / "out/report.pdf"}).status, 0);
  }
  if (have("ffprobe")) {
    const Ran probe = run({"ffprobe", "-v", "error", "-count_packets", "-select_streams", "v", "-show_entries",
                           "stream=nb_read_packets", "-of", "csv=p=0", place / "out/overlay.mp4"});
    EXPECT_EQ(probe.err, "");
    // The overlay has at most 60 pictures a second.
    const long every = std::max(1L, std::lround(result["clip"]["frame_rate_hz"].get<double>() / 60));
    EXPECT_EQ(std::atol(probe.out.c_str()), result["clip"]["frames"].get<long>() / every);
  }
}

// The bank card is small and its foot lies in a shadow: what it gives is held to what is claimed of it.
INSTANTIATE_TEST_SUITE_P(All, SampleClip,
                         testing::Values(Sample{"left-straight", {}, 0.05}, Sample{"right-straight", {}, 0.05},
                                         Sample{"portrait-slow", {"--card", "id-1"}, 0}),
                         [](const auto& given) {
                           std::string name = given.param.name;
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

TEST(SmallClip, TwiceTheSameBytesAndTheFolderIsReplaced) {
  const Place place;
  const std::string clip = rendered(small_scene());
  measured(clip, place / "out", {"--report"});
  EXPECT_TRUE(std::filesystem::exists(place / "out/report.pdf"));
  const std::string result = read_file(place / "out/result.json");
  const std::string trace = read_file(place / "out/trace.csv");
  measured(clip, place / "out");
  EXPECT_FALSE(std::filesystem::exists(place / "out/report.pdf")) << "a file of the earlier run was left";
  EXPECT_EQ(place.holds(), Words{"out"});
  EXPECT_EQ(read_file(place / "out/result.json"), result);
  EXPECT_EQ(read_file(place / "out/trace.csv"), trace);
}

TEST(SmallClip, FailingKeepsTheEarlierResult) {
  const Place place;
  measured(rendered(small_scene()), place / "out");
  const std::string result = read_file(place / "out/result.json");
  const std::string bare = rendered(small_scene({{"cards", json::array()}}));
  expect_refused(risetrace_run({"measure", bare, "--out", place / "out"}), 4);
  EXPECT_EQ(read_file(place / "out/result.json"), result);
  EXPECT_EQ(place.holds(), Words{"out"});
}

TEST(SmallClip, GoesBesideTheClipWhereNoPlaceIsGiven) {
  const Place place;
  std::filesystem::copy_file(rendered(small_scene()), place / "clip.mp4");
  const Ran ran = risetrace_run({"measure", place / "clip.mp4"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(ran.out.find("result.json"), std::string::npos);
  EXPECT_EQ(place.holds(), (Words{"clip.mp4", "clip.mp4.risetrace"}));
}

// No card, no scale by hand: the sticker is followed in pixels and nothing is said in centimetres.
TEST(SmallClip, WithoutAScaleThereAreNoCentimetres) {
  const Place place;
  const std::string clip = rendered(small_scene({{"cards", json::array()}}));
  const Ran ran = risetrace_run({"measure", clip, "--card", "none", "--mass", "70", "--out", place / "out"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.out.find(" cm"), std::string::npos) << ran.out;
  const std::string written = read_file(place / "out/result.json");
  EXPECT_EQ(misfit("result.schema.json", written), "");
  const json result = json::parse(written);
  EXPECT_EQ(result["scale"]["from"], "none");
  EXPECT_TRUE(result["scale"]["px_per_cm"].is_null());
  EXPECT_TRUE(result["heel_raise"].is_null());
  const std::string trace = read_file(place / "out/trace.csv");
  expect_rows(trace, result);
  const std::string second_row = trace.substr(trace.find('\n') + 1, trace.find('\n', trace.find('\n') + 1));
  EXPECT_NE(second_row.find(",,"), std::string::npos) << "heights stay empty: " << second_row;
}

// The card is in view and nobody asked for it.
TEST(SampleClips, ACardThatWasNotMeasuredIsNotBlamed) {
  const Place place;
  const std::string clip = clip_of(Sample{"left-straight", {}, 0});
  const std::string notes = measured(clip, place / "out", {"--px-per-cm", "9.4"})["notes"].dump();
  EXPECT_NE(notes.find("no card was measured and nothing else showed"), std::string::npos) << notes;
}

TEST(SmallClip, AScaleByHandGivesTheSameHeights) {
  const Place place;
  const std::string clip = rendered(small_scene({{"cards", json::array()}}));
  const json result = measured(clip, place / "out", {"--px-per-cm", "7", "--card", "none"});
  EXPECT_EQ(result["scale"]["from"], "given");
  expect_same_heights(heights_cm(result), heights_cm(truth_of(clip)), 0.05);
}

}  // namespace risetrace::test
