#include <unistd.h>

#include <chrono>
#include <iostream>
#include <memory>

#include "cli/clip_question.h"
#include "cli/commands.h"
#include "cli/live_view.h"
#include "cli/watch.h"
#include "clip/live_reader.h"
#include "measure/keep_up.h"
#include "measure/live_measure.h"
#include "report/live_lines.h"
#include "report/summary.h"

namespace risetrace::cli {
namespace {

using Clock = std::chrono::steady_clock;

constexpr double stalled_s = 3.0;     // without a frame, before it is said
constexpr double longest_s = 3600.0;  // of filming: no set lasts so long, and memory grows with every frame
constexpr double look_up_s = 0.1;     // how long an interrupt may go unseen

struct Given {
  ClipQuestion test;
  std::string source;
  std::string events;
  std::string keep;
  double speed = 1.0;
};

// One source from its first frame to its last.
class Session {
 public:
  Session(clip::LiveReader reader, measure::LiveMeasure live, LiveView view, double speed)
      : reader_(std::move(reader)), live_(std::move(live)), view_(std::move(view)), speed_(speed) {}

  int run();

 private:
  [[nodiscard]] double now_s() const { return speed_ * std::chrono::duration<double>(Clock::now() - began_).count(); }
  void say(const std::vector<measure::LiveEvent>& events);
  void say(Note note) { say(std::vector<measure::LiveEvent>{std::move(note)}); }
  void watch_stall(bool came);
  Outcome take(clip::Frame frame, bool waited);
  Outcome read_all();
  int finish(const Outcome& read);

  clip::LiveReader reader_;
  measure::LiveMeasure live_;
  LiveView view_;
  double speed_;
  measure::KeepUp keep_up_;
  report::LiveAccount account_;
  Clock::time_point began_ = Clock::now();
  double last_came_s_ = 0.0;
  double last_time_s_ = 0.0;   // of filming
  double first_late_s_ = 0.0;  // now less filming, at the promptest frame
  bool any_frame_ = false;
  bool stalled_ = false;
  bool stopped_by_hand_ = false;
  bool too_long_ = false;
  std::int64_t measured_ = 0;
};

void Session::say(const std::vector<measure::LiveEvent>& events) {
  for (const measure::LiveEvent& event : events) {
    if (const auto* end = std::get_if<measure::LiveSetEnd>(&event); end != nullptr && end->final)
      account_.told_end = *end;
    view_.tell(event, now_s() - first_late_s_);
  }
}

void Session::watch_stall(bool came) {
  if (came && stalled_) say(Note{"source-back", "Pictures come again.", last_time_s_});
  if (came) {
    stalled_ = false;
    last_came_s_ = now_s();
  } else if (!stalled_ && now_s() - last_came_s_ > stalled_s * speed_) {
    stalled_ = true;
    say(any_frame_ ? Note{"source-stalled", "No picture has come for 3 s: waiting for more.", last_time_s_}
                   : Note{"source-stalled", "No picture has come yet: waiting.", std::nullopt});
  }
}

Outcome Session::take(clip::Frame frame, bool waited) {
  const double late_s = now_s() - frame.time_s;
  first_late_s_ = any_frame_ ? std::min(first_late_s_, late_s) : late_s;
  any_frame_ = true;
  last_time_s_ = frame.time_s;
  measure::KeepUp::Verdict verdict = keep_up_.look(frame.time_s, now_s(), waited);
  for (Note& note : verdict.notes) say(std::move(note));
  if (!verdict.measure) return Done{};
  frame.number = measured_++;
  auto events = live_.push(frame);
  if (!events) return events.error();
  say(*events);
  return Done{};
}

Outcome Session::read_all() {
  while (true) {
    if (interrupted() && !stopped_by_hand_) {
      stopped_by_hand_ = true;
      reader_.stop();
    }
    auto next = reader_.next_within(0);
    const bool waited = next && next->came == clip::LiveReader::Came::nothing;
    if (waited) next = reader_.next_within(look_up_s);
    if (!next) return next.error();
    if (next->came == clip::LiveReader::Came::end) return Done{};
    const bool came = next->came == clip::LiveReader::Came::frame;
    watch_stall(came);
    if (!came || too_long_) continue;
    if (next->frame->time_s > longest_s) {
      say(Note{"live-too-long", "Measuring stops after an hour of filming.", last_time_s_});
      too_long_ = true;
      reader_.stop();
      continue;
    }
    if (Outcome taken = take(*std::move(next->frame), waited); !taken) return taken;
  }
}

int Session::finish(const Outcome& read) {
  account_.frames_left_out = keep_up_.left_out();
  account_.most_behind_s = keep_up_.most_behind_s();
  account_.lag_s = live_.lag_s();
  if (reader_.broken_off()) say(*reader_.broken_off());
  if (read) say(live_.last_words(stopped_by_hand_ ? raise::EndWhy::by_hand : raise::EndWhy::clip_end));
  auto measured = read ? live_.finish(reader_.facts()) : Result<measure::Measurement>(read.error());
  if (measured && measured->raises && stopped_by_hand_ && measured->raises->set_end.why == raise::EndWhy::clip_end)
    measured->raises->set_end.why = raise::EndWhy::by_hand;
  view_.done(measured, account_);
  if (!measured) return fail(measured.error());
  if (const auto kept = reader_.keep_error()) return fail(*kept);
  return 0;
}

int Session::run() {
  const Outcome read = read_all();
  return finish(read);
}

int run_live(const Given& given, const Program& program) {
  const auto folder = model::find_models_folder(program.path);
  if (!folder) return fail(folder.error());
  const auto models = model::read_models(*folder);
  if (!models) return fail(models.error());
  const auto options = options_of(given.test, *models);
  if (!options) return fail(options.error());
  auto live = measure::LiveMeasure::begin(models->cards, {.measure = *options});
  if (!live) return fail(live.error());
  listen_for_interrupts();
  auto reader = clip::LiveReader::open(given.source,
                                       {measure::for_stickers(options->read, options->scale), given.speed, given.keep});
  if (!reader) return fail(reader.error());
  const LiveView view(given.events == "lines", options->asked.protocol.beat_bpm);
  Session session(*std::move(reader), *std::move(live), view, given.speed);
  return session.run();
}

}  // namespace

void add_live_command(CLI::App& app, const Program& program, Run& run) {
  CLI::App* command =
      app.add_subcommand("live", "measure heel raises while they are filmed, and say when the set is over");
  auto given = std::make_shared<Given>();
  Given& g = *given;
  command
      ->add_option("SOURCE", g.source,
                   "a camera, such as /dev/video0 (opened by the program ffmpeg); - for a recording that comes "
                   "through a pipe; or a video file, which is played at its own pace")
      ->required();
  add_raise_options(*command, g.test);
  // Not in the help, where it would offer what is refused: whoever asks for hops is told why not.
  command->add_option("--test", g.test.test)->check(CLI::IsMember({"heel-raise", "hop", "lunge"}))->group("");
  command->add_option("--events", g.events, "lines: one JSON object a line on standard output, nothing else there")
      ->check(CLI::IsMember({"lines"}));
  command->add_option("--keep", g.keep, "a new file for what comes from the camera or through the pipe, unchanged");
  command->add_option("--speed", g.speed, "of a file: so many times its own pace")
      ->check(number_between(0.05, 100, "x"));
  command->callback([given, &program, &run] { run = [given, &program] { return run_live(*given, program); }; });
}

}  // namespace risetrace::cli
