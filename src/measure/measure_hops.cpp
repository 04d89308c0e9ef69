#include "measure/measure_hops.h"

#include <algorithm>
#include <cmath>
#include <future>

#include "base/rounded.h"
#include "beat/hear_beat.h"
#include "clip/read_sound.h"
#include "hop/find_contacts.h"
#include "hop/judge_hops.h"
#include "hop/vouch_by_heel.h"
#include "hop/witness.h"
#include "measure/heel_path.h"
#include "measure/judge_camera.h"
#include "measure/judge_hop_clip.h"
#include "measure/read_hops.h"
#include "measure/stage_clock.h"
#include "measure/take_corrections.h"
#include "review/read_corrections.h"
#include "review/say_corrections.h"

namespace risetrace::measure {
namespace {

constexpr double path_cutoff_hz = 30.0;    // of the heel's height as shown; nothing is timed on it
constexpr double least_known_share = 0.5;  // of the heel's ups and downs, those whose flight the sole has shown

// The sole where it was followed, else the forefoot's sticker, else the heel's.
void find_contacts_of(Measurement& m, double px_per_cm_about) {
  hop::ContactOptions options;
  options.px_per_cm = m.scale.px_per_cm;
  options.guessed_px_per_cm = px_per_cm_about;
  const hop::Contacts by_heel = hop::contacts_of_heel(m.track, px_per_cm_about);
  const auto enough = [&](const hop::Contacts& contacts) {
    const auto timed = std::count_if(contacts.contacts.begin(), contacts.contacts.end(),
                                     [](const hop::Contact& c) { return is_sure(c.touchdown); });
    return static_cast<double>(timed) >= least_known_share * static_cast<double>(by_heel.contacts.size());
  };
  const auto found_in = [&](const sole::Clearance& clearance) {
    hop::Contacts contacts = hop::find_contacts(clearance, options);
    hop::join_across_still_heel(contacts, m.track, px_per_cm_about);
    hop::vouch_by_heel(contacts, m.track, px_per_cm_about);
    hop::doubt_frozen(contacts, m.track);
    return contacts;
  };
  m.contacts = found_in(m.clearance);
  if (enough(m.contacts) || sole_stayed(m)) return;
  if (m.forefoot) {
    options.witness = hop::Witness::forefoot_sticker;
    const sole::Clearance ball = hop::clearance_of_forefoot(*m.forefoot);
    const hop::Contacts by_ball = found_in(ball);
    if (enough(by_ball)) {
      m.clearance = ball;
      m.contacts = by_ball;
      return;
    }
  }
  m.contacts = by_heel;
  hop::doubt_frozen(m.contacts, m.track);
}

constexpr const char* for_raises =
    "film hops, or give --test heel-raise if these are heel raises, or the filming rate with --capture-fps if this is "
    "slow motion";

// Landings were seen, but what is said of most is why they are no hop's, and none counts. (The last is seldom known to
// be none: what comes after it is not seen.)
std::optional<Error> no_hop_among(const hop::HopSet& set) {
  const auto no_hop = [](const hop::Hop& hop) { return hop.standing == hop::Standing::no_hop; };
  const auto others = std::count_if(set.hops.begin(), set.hops.end(), no_hop);
  if (set.count > 0 || 2 * others <= static_cast<std::ptrdiff_t>(set.hops.size())) return std::nullopt;
  const auto first = std::find_if(set.hops.begin(), set.hops.end(), no_hop);
  return Error{Fault::no_hop,
               "the foot came down " + std::to_string(set.hops.size()) + (set.hops.size() == 1 ? " time" : " times") +
                   ", but not as in hops: at " + rounded(first->touchdown_s, 1) + " s " + first->why_not,
               for_raises};
}

// Where the hops' notes say what follows from there being no beat, the listener's need not say that there is none.
Notes notes_of_beat(const beat::Beats& beats, const hop::HopSet& hops) {
  const auto absent = [](const Note& note) {
    return note.code == "no-sound" || note.code == "sound-silent" || note.code == "no-beat";
  };
  const bool said = std::any_of(hops.notes.begin(), hops.notes.end(),
                                [&](const Note& note) { return absent(note) || note.code == "beat-not-heard"; });
  Notes notes = beats.notes;
  if (said) std::erase_if(notes, absent);
  return notes;
}

Outcome judge(Measurement& m, const MeasureOptions& options, double px_per_cm_about) {
  find_contacts_of(m, px_per_cm_about);
  if (m.contacts.contacts.empty() && m.corrections.empty()) {
    return turn_to_blame(m.scale).value_or(
        Error{Fault::no_hop, "the heel rose and fell, but the shoe never left the floor", for_raises});
  }
  if (const auto turned = turn_to_blame(m.scale); turned && moves_sideways(m.track)) return *turned;
  if (m.scale.cm_from_px) m.path = heel_path(m, path_cutoff_hz);
  const ClockVerdict clock = judge_clock(m, options.hop_protocol);
  m.clock_trusted = clock.trusted;
  if (auto done = correct_contacts(m); !done) return done;
  const auto judged = [&](const hop::Contacts& contacts, const Asked& asked) {
    hop::HopQuestion question;
    question.asked_bpm = asked.beat_bpm;
    question.mass_kg = asked.mass_kg;
    question.clip_end_s = m.clip.duration_s;
    question.clock_trusted = clock.trusted;
    return hop::judge_hops(contacts, m.beats, question, options.hop_protocol);
  };
  m.hops = judged(m.contacts, m.asked);
  if (m.automatic) m.automatic->hops = judged(m.automatic->contacts, m.automatic->asked);
  if (const auto none = no_hop_among(*m.hops); none && m.corrections.empty()) return *none;
  if (clock.note) m.notes.push_back(*clock.note);
  return Done{};
}

void gather_notes(Measurement& m) {
  const auto take = [&](const Notes& notes) { m.notes.insert(m.notes.end(), notes.begin(), notes.end()); };
  take(m.clip.notes);
  take(m.scale.notes);
  take(m.track.notes);
  take(m.clearance.notes);
  take(m.contacts.notes);
  if (m.hops) {
    take(notes_of_beat(m.beats, *m.hops));
    take(m.hops->notes);
  }
  add_hop_notes(m);
  if (!m.corrections.empty()) m.notes.insert(m.notes.begin(), review::note_of(m.corrections));
  std::stable_sort(m.notes.begin(), m.notes.end(),
                   [](const Note& a, const Note& b) { return a.t_s.value_or(-1) < b.t_s.value_or(-1); });
}

}  // namespace

beat::Beats hear_beats(const std::string& path, std::optional<double> capture_fps) {
  beat::BeatListener listener;
  Result<clip::SoundReader> reader = clip::SoundReader::open(path, {capture_fps});
  if (!reader) return {};
  while (true) {
    const Result<std::optional<clip::SoundPiece>> piece = reader->next();
    if (!piece || !*piece) break;
    listener.push(**piece);
  }
  beat::Beats beats = listener.finish();
  beats.sound_there = reader->facts().there;
  if (beats.sound_there) {  // there, but nothing of it could be decoded: the reader says why
    std::erase_if(beats.notes, [](const Note& note) { return note.code == "no-sound"; });
  }
  const Notes& said = reader->facts().notes;
  beats.notes.insert(beats.notes.end(), said.begin(), said.end());
  return beats;
}

namespace {

Error as_of_hops(Error error) {
  if (error.fault == Fault::no_movement) error.fault = Fault::no_hop;
  return error;
}

}  // namespace

Result<Measurement> measure_hops(const std::string& path, const model::Cards& cards, const MeasureOptions& options,
                                 const Watcher& watcher) {
  Measurement m;
  StageClock clock(m.stage_times);
  m.asked = options.asked;
  m.corrections = options.corrections;
  auto sha256 = std::async(std::launch::async, clip::sha256_of_file, path);
  auto beats = std::async(std::launch::async, hear_beats, path, options.read.capture_fps);
  HopReadOptions reading_options{options.read, options.scale, options.track};
  reading_options.track.movement = sticker::Movement::hop;
  Result<HopReading> reading = read_hops(path, cards, reading_options, watcher);
  if (!reading) return as_of_hops(reading.error());
  m.clip = std::move(reading->clip);
  m.scale = std::move(reading->scale);
  m.track = std::move(reading->heel);
  m.forefoot = std::move(reading->forefoot);
  m.clearance = std::move(reading->clearance);
  m.forward = reading->forward;
  clock.done("read and follow");
  Result<std::string> hash = sha256.get();
  if (!hash) return hash.error();
  m.clip_sha256 = *std::move(hash);
  if (auto same = review::is_of_clip(m.corrections, m.clip_sha256); !same) return same.error();
  m.beats = beats.get();
  clock.done("hear");
  if (reading->card_trouble) m.notes.push_back(no_card_note(*reading->card_trouble));
  if (!reading->forward) m.notes.push_back(facing_note());
  if (auto judged = judge(m, options, reading->px_per_cm_about); !judged) return as_of_hops(judged.error());
  clock.done("judge");
  gather_notes(m);
  return m;
}

namespace {

constexpr std::int64_t frames_beside = 2;  // of the event, on either side

const hop::Hop* hop_to_show(const hop::HopSet& hops) {
  for (const bool counted : {true, false}) {
    for (const hop::Hop& hop : hops.hops) {
      if (hop.takeoff_frame && (hop.counted || !counted)) return &hop;
    }
  }
  return nullptr;
}

Box box_about_shoe(const Measurement& m, std::int64_t frame) {
  const auto& samples = m.track.samples;
  const auto at = std::find_if(samples.begin(), samples.end(), [&](const auto& s) { return s.frame == frame; });
  const double ppc = px_per_cm_about(m);
  const Point heel = at != samples.end() ? at->px : Point{m.clip.width_px / 2.0, m.clearance.floor_row_px};
  const double forward = m.forward.value_or(1.0);
  const double back = heel.x - forward * 5 * ppc;
  const double front = heel.x + forward * 30 * ppc;
  const double floor = m.clearance.floor_row_px > 0 ? m.clearance.floor_row_px : heel.y + 6 * ppc;
  return {static_cast<int>(std::min(back, front)), static_cast<int>(floor - 14 * ppc),
          static_cast<int>(std::abs(front - back)), static_cast<int>(18 * ppc)};
}

}  // namespace

Outcome add_event_strips(Measurement& m, const std::string& path, const clip::ReadOptions& read) {
  const hop::Hop* hop = m.hops ? hop_to_show(*m.hops) : nullptr;
  if (hop == nullptr) return Done{};
  const std::int64_t touchdown = hop->touchdown_frame;
  const std::int64_t takeoff = *hop->takeoff_frame;
  m.touchdown_strip = {{}, 0, hop->n, box_about_shoe(m, touchdown)};
  m.takeoff_strip = {{}, 0, hop->n, box_about_shoe(m, takeoff)};
  Result<clip::ClipReader> reader = clip::ClipReader::open(path, read);
  if (!reader) return reader.error();
  while (true) {
    Result<std::optional<clip::Frame>> next = reader->next();
    if (!next) return next.error();
    if (!*next || (*next)->number > takeoff + frames_beside) return Done{};
    const clip::Frame& frame = **next;
    const auto take = [&](EventStrip& strip, std::int64_t event) {
      if (std::abs(frame.number - event) > frames_beside) return;
      if (frame.number == event) strip.event = strip.frames.size();
      strip.frames.push_back({frame.number, frame.time_s, clip::picture_of(clip::upright_patch(frame, strip.box))});
    };
    take(m.touchdown_strip, touchdown);
    take(m.takeoff_strip, takeoff);
  }
}

}  // namespace risetrace::measure
