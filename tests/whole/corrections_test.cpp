// A person's corrections through the whole program: measured with them, counted anew without the clip.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "place.h"
#include "report/schema_check.h"
#include "whole/hop_clips.h"
#include "whole/run.h"

namespace risetrace::test {
namespace {

using nlohmann::json;

json said(json more) {
  more.update({{"at", "2026-03-02T10:15:00Z"}, {"by", "T-1"}, {"why", "the toes slipped"}});
  return more;
}

std::string written(const Place& place, const std::vector<json>& list) {
  const std::string file = place / "corrections.json";
  const std::string text = json{{"schema", "risetrace/corrections/1"}, {"corrections", list}}.dump();
  EXPECT_EQ(misfit("corrections.schema.json", text), "");
  write_file(file, text);
  return file;
}

json recounted(const std::string& folder, const Words& more = {}) {
  Words arguments = {"recount", folder, "--json"};
  arguments.insert(arguments.end(), more.begin(), more.end());
  const Ran ran = risetrace_run(arguments);
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(misfit("recount.schema.json", ran.out), "");
  return ran.status == 0 ? json::parse(ran.out) : json();
}

// What both say but uncertainties and, of raises, the knee.
void expect_same(const json& again, const json& result) {
  for (const char* field : {"count", "count_at", "reference_height_cm", "greatest_height_cm", "total_height_cm"}) {
    EXPECT_EQ(again[field], result[field]) << field;
  }
  for (const char* field : {"why", "t_s", "frame", "after_rep", "last_full_rep"}) {
    EXPECT_EQ(again["set_end"][field], result["set_end"][field]) << field;
  }
  ASSERT_EQ(again["reps"].size(), result["reps"].size());
  for (std::size_t i = 0; i < again["reps"].size(); ++i) {
    for (const char* field : {"start_s", "peak_s", "end_s", "height_cm", "floor_cm", "of_reference", "counted"}) {
      EXPECT_EQ(again["reps"][i][field], result["reps"][i][field]) << i << " " << field;
    }
  }
}

}  // namespace

TEST(Corrections, NoneAtAllChangeNoByte) {
  const Place place;
  const std::string clip = rendered(small_scene());
  measured(clip, place / "plain");
  measured(clip, place / "empty", {"--corrections", written(place, {})});
  EXPECT_EQ(read_file(place / "plain/result.json"), read_file(place / "empty/result.json"));
  EXPECT_EQ(read_file(place / "plain/trace.csv"), read_file(place / "empty/trace.csv"));
}

TEST(Corrections, AreInTheResultTheReportAndTheCount) {
  const Place place;
  const std::string clip = rendered(small_scene());
  const json plain = measured(clip, place / "plain");
  expect_same(recounted(place / "plain")["heel_raise"], plain["heel_raise"]);
  const json& reps = plain["heel_raise"]["reps"];
  ASSERT_GE(reps.size(), 2U);
  const std::string file = written(
      place,
      {said({{"what", "take-out"}, {"rep", {{"peak_s", reps[0]["peak_s"]}}}, {"before", nullptr}, {"after", nullptr}}),
       said({{"what", "move"},
             {"rep", {{"peak_s", reps[1]["peak_s"]}}},
             {"after", {{"end_s", reps[1]["end_s"].get<double>() + 0.05}}}})});
  const json preview = recounted(place / "plain", {"--corrections", file});
  const json result = measured(clip, place / "out", {"--corrections", file, "--report"});
  EXPECT_EQ(misfit("result.schema.json", result.dump()), "");
  expect_same(preview["heel_raise"], result["heel_raise"]);
  expect_same(recounted(place / "out")["heel_raise"], result["heel_raise"]);
  EXPECT_EQ(result["heel_raise"]["reps"].size(), reps.size() - 1);
  EXPECT_EQ(result["corrections"].size(), 2U);
  EXPECT_EQ(result["automatic"]["count"], plain["heel_raise"]["count"]);
  EXPECT_EQ(result["heel_raise"]["reps"][0]["by_hand"], "moved");
  const double frame_s = 1 / result["clip"]["frame_rate_hz"].get<double>();
  EXPECT_NEAR(result["heel_raise"]["reps"][0]["end_s_u"].get<double>(), frame_s / std::sqrt(12.0), 1e-6);
  EXPECT_EQ(note_of(result, "corrected-by-hand").rfind("Corrected by hand by T-1: ", 0), 0U);
  if (have("pdftotext")) {
    const Ran text = run({"pdftotext", place / "out/report.pdf", "-"});
    EXPECT_NE(text.out.find("Corrected by hand by T-1, 2 changes; found by the program alone: "), std::string::npos);
  }
}

TEST(Corrections, AreKeptWhereTheClipIsMeasuredAgainWithoutThem) {
  const Place place;
  const std::string clip = rendered(small_scene());
  const std::string out = place / "out";
  const json plain = measured(clip, out);
  const std::string kept = out + "/corrections-before.json";
  EXPECT_FALSE(std::filesystem::exists(kept));
  const json& rep = plain["heel_raise"]["reps"][0];
  const std::string file =
      written(place, {said({{"what", "take-out"}, {"rep", {{"peak_s", rep["peak_s"]}}}, {"after", nullptr}})});
  const json corrected = measured(clip, out, {"--corrections", file});
  EXPECT_FALSE(std::filesystem::exists(kept));
  for (int again = 0; again < 2; ++again) {  // the second time only the kept file has them
    const Ran ran = risetrace_run({"measure", clip, "--out", out});
    EXPECT_EQ(ran.status, 0) << ran.err;
    EXPECT_NE(ran.out.find("--corrections " + kept), std::string::npos) << ran.out;
    EXPECT_TRUE(json::parse(read_file(out + "/result.json"))["corrections"].is_null());
    EXPECT_EQ(misfit("corrections.schema.json", read_file(kept)), "");
  }
  const std::string other = place / "other.mp4";
  run({"ffmpeg", "-v", "error", "-i", clip, "-c", "copy", "-metadata", "title=another", other});
  if (std::filesystem::exists(other)) {
    std::filesystem::copy(out, place / "of_other", std::filesystem::copy_options::recursive);
    measured(other, place / "of_other");
    EXPECT_FALSE(std::filesystem::exists(place / "of_other/corrections-before.json")) << "they are another clip's";
  }
  json back = measured(clip, out, {"--corrections", kept});
  EXPECT_FALSE(std::filesystem::exists(kept));
  EXPECT_EQ(back["heel_raise"], corrected["heel_raise"]);
}

TEST(Corrections, AScaleByTwoPointsCarriesItsUncertainty) {
  const Place place;
  const std::string file = written(
      place, {said({{"what", "scale"}, {"after", {{"from_px", {10, 20}}, {"to_px", {210, 20}}, {"length_cm", 20}}}})});
  const json result = measured(rendered(small_scene()), place / "out", {"--corrections", file});
  EXPECT_EQ(result["scale"]["from"], "given");
  EXPECT_NEAR(result["scale"]["px_per_cm"].get<double>(), 10, 1e-9);
  EXPECT_NEAR(result["scale"]["px_per_cm_u"].get<double>(), 10 * std::hypot(std::sqrt(2.0) / 200, 0.05 / 20), 1e-4);
  EXPECT_FALSE(result["heel_raise"]["reps"][0]["height_cm_u"].is_null());
  EXPECT_NE(note_of(result, "scale-pointed-out"), "");
}

TEST(Corrections, OfHopsAreCountedAnewToo) {
  const Place place;
  const std::string clip = rendered(small_hops());
  const json plain = measured(clip, place / "plain", {"--test", "hop"});
  const json same = recounted(place / "plain")["hop"];
  for (const char* field : {"count", "contact_ms", "flight_ms", "contact_ms_u", "height_cm", "rsi", "hops", "steps"}) {
    EXPECT_EQ(same[field], plain["hop"][field]) << field;
  }
  const auto frame = plain["hop"]["hops"][4]["touchdown_frame"].get<long>();
  const std::string file = written(
      place,
      {said({{"what", "move"}, {"hop", {{"touchdown_frame", frame}}}, {"after", {{"touchdown_frame", frame + 2}}}})});
  const json preview = recounted(place / "plain", {"--corrections", file})["hop"];
  const json result = measured(clip, place / "out", {"--test", "hop", "--corrections", file});
  EXPECT_EQ(misfit("result.schema.json", result.dump()), "");
  EXPECT_EQ(preview["hops"], result["hop"]["hops"]);
  EXPECT_EQ(preview["contact_ms"], result["hop"]["contact_ms"]);
  EXPECT_EQ(result["hop"]["hops"][4]["touchdown_frame"], frame + 2);
  EXPECT_EQ(result["automatic"]["contact_ms"], plain["hop"]["contact_ms"]);
}

TEST(Corrections, ThatDoNotFitAreRefused) {
  const Place place;
  const std::string clip = rendered(small_scene());
  const std::string none = written(place, {said({{"what", "take-out"}, {"rep", {{"peak_s", 900.0}}}})});
  expect_refused_clip(clip, 2, {"the corrections cannot be used", "correction 1 (take-out)"}, {"--corrections", none});
  const std::string hop = written(place, {said({{"what", "no-landing"}, {"hop", {{"touchdown_frame", 9}}}})});
  expect_refused_clip(clip, 2, {"not for the test heel-raise"}, {"--corrections", hop});
  expect_refused_clip(clip, 2, {"cannot be read"}, {"--corrections", place / "nowhere.json"});
  expect_refused(risetrace_run({"recount", place / "nowhere"}), 3, {"the result cannot be read", "is no folder"});
  write_file(place / "result.json", "{}");
  write_file(place / "trace.csv", "");
  expect_refused(risetrace_run({"recount", place.path().string()}), 3, {"schema is missing"});
}

TEST(Frames, AreWrittenBesideTheResultAndReplacedWithIt) {
  const Place place;
  const std::string clip = rendered(small_scene());
  const json result = measured(clip, place / "out", {"--frames", "--overlay"});
  const std::string about = read_file(place / "out/frames.json");
  EXPECT_EQ(misfit("frames.schema.json", about), "");
  EXPECT_EQ(json::parse(about)["frames"], result["clip"]["frames"]);
  if (have("ffprobe")) {
    for (const char* name : {"out/frames.mp4", "out/foot.mp4"}) {
      const Ran probe = run({"ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "packet=pts_time,flags",
                             "-of", "csv=p=0", place / name});
      std::istringstream lines(probe.out);
      long count = 0;
      for (std::string line; std::getline(lines, line); ++count) {
        EXPECT_NEAR(std::stod(line), static_cast<double>(count) / 30, 1e-5);
        EXPECT_NE(line.find('K'), std::string::npos) << "each stands alone";
      }
      EXPECT_EQ(count, result["clip"]["frames"].get<long>()) << name;
    }
  }
  measured(clip, place / "out");
  EXPECT_FALSE(std::filesystem::exists(place / "out/frames.mp4")) << "an earlier result is replaced as a whole";
}

}  // namespace risetrace::test
