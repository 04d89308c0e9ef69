// Cost of the hot pieces: one fit, one piece of luma, a sticker followed, one search of a whole picture. Compare within
// one run only.
#include <benchmark/benchmark.h>

#include <vector>

#include "bench/first_look.h"
#include "bench/sticker_world.h"
#include "clip/frame.h"
#include "sticker/drawing.h"
#include "sticker/find_blobs.h"
#include "sticker/fit_sticker.h"
#include "sticker/follow.h"

namespace risetrace {
namespace {

test::Disc ringed(double radius) {
  test::Disc disc;
  disc.centre_px = {160.3, 119.6};
  disc.outer_px = radius;
  disc.inner_px = 0.65 * radius;
  return disc;
}

sticker::Look look_of(double radius) {
  sticker::Look look;
  look.ringed = true;
  look.outer_radius_px = radius;
  look.inner_share = 0.65;
  look.disc_step = 200;
  look.ring_step = -90;
  return look;
}

void patch(benchmark::State& state) {
  const clip::Frame frame = test::frame_of({}, {ringed(10)}, 0, 0);
  for (auto _ : state) benchmark::DoNotOptimize(clip::upright_patch(frame, {130, 90, 60, 60}));
}
BENCHMARK(patch);

void fit(benchmark::State& state) {
  const auto radius = static_cast<double>(state.range(0));
  const clip::Frame frame = test::frame_of({}, {ringed(radius)}, 0, 0);
  const sticker::Look look = look_of(radius);
  const clip::Patch luma = clip::upright_patch(frame, sticker::fit_box({160, 120}, look));
  for (auto _ : state) benchmark::DoNotOptimize(sticker::fit_sticker(luma, {160, 120}, look, {}));
}
BENCHMARK(fit)->Arg(4)->Arg(10)->Arg(20)->Arg(40);

// A sticker of this radius, px, with so much blur by its movement, px, followed through a second.
void follow(benchmark::State& state) {
  const auto radius = static_cast<double>(state.range(0));
  const std::vector<bench::Shown> shown = bench::noisy(
      bench::film({bench::Surroundings::slope, radius, static_cast<double>(state.range(1))}, 60, 256, 224), 3, 1);
  std::vector<clip::Frame> frames;
  for (const bench::Shown& one : shown) frames.push_back(bench::frame_of(one.grey, static_cast<int>(frames.size())));
  const auto first = bench::first_look(frames[0], shown[0].centre_px, radius);
  if (!first) return state.SkipWithError("the sticker was not found");
  for (auto _ : state) {
    sticker::Follower follower(*first, 0);
    for (std::size_t k = 1; k < frames.size(); ++k) benchmark::DoNotOptimize(follower.follow(frames[k]));
  }
  state.counters["a_frame"] =
      benchmark::Counter(static_cast<double>(frames.size() - 1),
                         benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(follow)->ArgsProduct({{5, 10, 20}, {0, 4}})->Unit(benchmark::kMillisecond);

void search(benchmark::State& state) {
  test::Canvas canvas;
  canvas.width = 1920;
  canvas.height = 1080;
  canvas.noise = 4;
  const clip::GreyPicture picture = clip::upright_picture(test::frame_of(canvas, {ringed(14)}, 0, 0));
  for (auto _ : state) benchmark::DoNotOptimize(sticker::find_blobs(picture, {}));
}
BENCHMARK(search)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace risetrace

BENCHMARK_MAIN();
