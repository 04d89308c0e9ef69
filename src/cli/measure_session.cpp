#include "cli/measure_session.h"

#include <algorithm>

#include "cli/clip_question.h"
#include "cli/result_files.h"
#include "report/result_json.h"
#include "visit/read_result.h"

namespace risetrace::cli {
namespace {

namespace fs = std::filesystem;

std::vector<double> xy_of(const std::optional<Point>& px) {
  return px ? std::vector<double>{px->x, px->y} : std::vector<double>{};
}

ClipQuestion question_of(const visit::TestEntry& entry, const visit::Person& person) {
  ClipQuestion out;
  out.clip = entry.file.string();
  out.test = key_of(entry.slot.test);
  out.side = key_of(entry.slot.side);
  if (entry.slot.knee != Knee::not_stated) out.knee = key_of(entry.slot.knee);
  out.mass_kg = person.mass_kg;
  const visit::ClipOptions& options = entry.options;
  out.filming.card = options.card;
  out.filming.card_offset_cm = options.card_offset_cm.value_or(0);
  out.filming.distance_m = options.distance_m;
  out.filming.px_per_cm = options.px_per_cm;
  out.filming.heel_px = xy_of(options.heel_px);
  out.filming.capture_fps = options.capture_fps;
  out.forefoot_px = xy_of(options.forefoot_px);
  out.ankle_px = xy_of(options.ankle_px);
  out.knee_px = xy_of(options.knee_px);
  out.hip_px = xy_of(options.hip_px);
  out.toe_px = xy_of(options.toe_px);
  out.wall_px = options.wall_px;
  out.end_fraction = options.end_fraction;
  out.end_after = options.end_after;
  out.reference_reps = options.reference_reps;
  out.beat_bpm = options.beat_bpm;
  return out;
}

// The clip was read but what was asked is not in it: no card, no sticker, no movement.
bool unmeasurable(const Error& error) { return exit_status(error.fault) == 4; }

Result<visit::TestResult> measure_entry(const visit::TestEntry& entry, const visit::Person& person,
                                        const model::Models& models, const fs::path& folder, const std::string& version,
                                        const Watcher& watcher) {
  const ClipQuestion question = question_of(entry, person);
  const auto options = options_of(question, models);
  if (!options) return options.error();
  const auto measured = measure::measure_clip(question.clip, models.cards, *options, watcher);
  if (!measured) return measured.error();
  std::error_code wrong;
  fs::create_directories(folder, wrong);
  if (wrong) return Error{Fault::cannot_write, folder.string() + ": " + wrong.message(), ""};
  const Outcome written = write_result_files(folder, *measured, report::result_json(*measured, version), {},
                                             question.clip, options->read, version, watcher);
  if (!written) return written.error();
  return visit::read_result(folder, entry);
}

Outcome check_files(const visit::Session& session) {
  std::error_code ignored;
  for (const visit::TestEntry& entry : session.tests) {
    if (entry.got_by == visit::GotBy::hand || fs::exists(entry.file, ignored)) continue;
    return Error{Fault::session_wrong, key_of(entry.slot) + ": there is no " + entry.file.string(),
                 "put the file there, or take the test out of the session"};
  }
  return Done{};
}

// Minutes of measuring are not begun before it is known that the rest can be read.
Outcome check_results(const visit::Session& session) {
  for (const visit::TestEntry& entry : session.tests) {
    if (entry.got_by != visit::GotBy::result) continue;
    if (const auto read = visit::read_result(entry.file, entry); !read) return read.error();
  }
  return Done{};
}

}  // namespace

std::string folder_name(const visit::Slot& slot) {
  std::string name = key_of(slot);
  std::replace(name.begin(), name.end(), '/', '-');
  return name;
}

Result<MeasuredSession> measure_session(const visit::Session& session, const model::Models& models,
                                        const fs::path& folder, const std::string& version,
                                        const std::function<Watcher(const std::string& slot)>& watcher_of) {
  if (const Outcome files = check_files(session); !files) return files.error();
  if (const Outcome results = check_results(session); !results) return results.error();
  MeasuredSession out;
  for (const visit::TestEntry& entry : session.tests) {
    if (entry.got_by == visit::GotBy::hand) {
      out.results.push_back(visit::result_by_hand(entry));
      continue;
    }
    const std::string slot = key_of(entry.slot);
    auto result =
        entry.got_by == visit::GotBy::result
            ? visit::read_result(entry.file, entry)
            : measure_entry(entry, session.person, models, folder / folder_name(entry.slot), version, watcher_of(slot));
    if (result) {
      out.results.push_back(*std::move(result));
    } else if (unmeasurable(result.error())) {
      out.notes.push_back(
          {"test-not-measured", slot + " was left out: " + sentence(result.error()) + ".", std::nullopt});
    } else {
      return result.error();
    }
  }
  return out;
}

}  // namespace risetrace::cli
