#include "measure/measure_clip.h"

#include <future>

#include "measure/conclude_raises.h"
#include "measure/measure_hops.h"
#include "measure/measure_lunge.h"
#include "measure/read_through.h"
#include "measure/stage_clock.h"
#include "measure/take_corrections.h"
#include "review/read_corrections.h"

namespace risetrace::measure {

Result<Measurement> measure_clip(const std::string& path, const model::Cards& cards, const MeasureOptions& given,
                                 const Watcher& watcher) {
  const Result<MeasureOptions> corrected = with_corrections(given);
  if (!corrected) return corrected.error();
  const MeasureOptions& options = *corrected;
  if (options.asked.test == Test::hop) return measure_hops(path, cards, options, watcher);
  if (options.asked.test == Test::lunge) return measure_lunge(path, cards, options, watcher);
  Measurement m;
  StageClock clock(m.stage_times);
  m.asked = options.asked;
  m.corrections = options.corrections;
  if (auto right = scale::check(options.scale); !right) return right.error();
  Result<clip::ClipReader> opened = clip::ClipReader::open(path, for_stickers(options.read, options.scale));
  if (!opened) return opened.error();
  clip::ReadAhead reader(*std::move(opened));
  auto sha256 = std::async(std::launch::async, clip::sha256_of_file, path);
  auto beats = std::async(std::launch::async, hear_beats, path, options.read.capture_fps);
  Steps<sticker::StickerTracker> steps{
      {}, scale::ScaleFinder(cards, options.scale), sticker::StickerTracker(options.track)};
  const Outcome read = read_through(reader, steps, watcher);
  m.clip = reader.facts();
  clock.done("read and follow");
  if (!read) return read.error();
  Result<std::string> hash = sha256.get();
  if (!hash) return hash.error();
  m.clip_sha256 = *std::move(hash);
  if (auto same = review::is_of_clip(m.corrections, m.clip_sha256); !same) return same.error();
  m.beats = beats.get();
  if (const Outcome judged = conclude_raises(m, steps, cards); !judged) return judged.error();
  clock.done("judge");
  return m;
}

}  // namespace risetrace::measure
