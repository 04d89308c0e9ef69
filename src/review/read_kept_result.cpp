#include "review/read_kept_result.h"

#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "model/fields.h"
#include "model/form_fields.h"
#include "review/read_corrections.h"
#include "review/trace_columns.h"

namespace risetrace::review {
namespace {

using model::Fields;
using nlohmann::json;

constexpr double longest_s = 1e6;
constexpr int most_frames = 100'000'000;

Error broken(const std::string& why) { return {Fault::result_unreadable, why, ""}; }

void read_rules(Fields& in, KeptResult& out) {
  model::RaiseProtocol& p = out.protocol;
  in.number("end_fraction", p.end_fraction, 0.01, 1);
  in.integer("end_after", p.end_after, 1, 1000);
  in.integer("reference_reps", p.reference_reps, 1, 1000);
  in.number("beat_bpm", out.beat_bpm, 1, 1000);
  in.flag("beat_stated", out.beat_stated);
}

void read_asked(Fields& in, KeptResult& out) {
  model::read_test(in, "test", out.test);
  in.number("mass_kg", out.mass_kg, 0, 1000);
  read_rules(in, out);
  model::RaiseProtocol& p = out.protocol;
  in.number("least_rise_cm", p.least_rise_cm, 0, 1000);
  in.number("least_rise_of_reference", p.least_rise_of_reference, 0, 1);
  in.number("onset_of_rise", p.onset_of_rise, 0, 1);
  in.number("not_lowered_of_reference", p.not_lowered_of_reference, 0, 10);
  in.number("step_across_cm", p.step_across_cm, 0, 1000);
  in.number("end_pause_s", p.end_pause_s, 0, 1000);
  in.number("on_beat_tolerance", p.on_beat_tolerance, 0, 10);
}

void read_instant(Fields& in, const char* name, std::optional<hop::Instant>& instant) {
  in.part(name, [&](Fields& part) {
    hop::Instant read;
    part.need("t_s");
    part.number("t_s", read.time_s, -longest_s, longest_s);
    part.number("t_s_u", read.time_s_u, 0, longest_s);
    int frame = 0;
    part.integer("frame", frame, 0, most_frames);
    read.frame = frame;
    part.choice("from", read.witness,
                {{"sole", hop::Witness::sole},
                 {"forefoot-sticker", hop::Witness::forefoot_sticker},
                 {"heel-sticker", hop::Witness::heel_sticker}});
    instant = read;
  });
}

void read_contacts(Fields& in, hop::Contacts& contacts) {
  contacts.contacts.clear();
  in.list("contacts", [&](Fields& one) {
    hop::Contact contact;
    read_instant(one, "touchdown", contact.touchdown);
    read_instant(one, "takeoff", contact.takeoff);
    one.flag("doubtful", contact.doubtful);
    std::optional<std::string> why;
    one.text("why", why);
    contact.why = why.value_or("");
    contacts.contacts.push_back(contact);
  });
}

void read_heard(Fields& in, KeptResult& out) {
  in.number("common_u_s", out.contacts.common_u_s, 0, 1);
  in.flag("times_known", out.contacts.times_known);
  in.flag("clock_trusted", out.clock_trusted);
  in.number("clip_end_s", out.duration_s, 0, longest_s);
  in.flag("sound_there", out.beats.sound_there);
  in.list("steps", [&](Fields& one) {
    beat::BeatStep step;
    one.number("bpm", step.bpm, 1, 1000);
    one.number("first_s", step.first_s, -longest_s, longest_s);
    one.number("from_s", step.from_s, -longest_s, longest_s);
    one.number("to_s", step.to_s, -longest_s, longest_s);
    one.integer("beats", step.beats, 0, most_frames);
    one.integer("heard", step.heard, 0, most_frames);
    if (!(step.bpm > 0)) one.complain("bpm", "is missing");
    out.beats.steps.push_back(step);
  });
  if (out.beats.steps.size() == 1) out.beats.bpm = out.beats.steps.front().bpm;
  in.list("thuds", [&](Fields& one) {
    beat::Thud thud;
    one.number("t_s", thud.time_s, -longest_s, longest_s);
    one.number("t_s_u", thud.time_s_u, 0, 1);
    out.beats.thuds.push_back(thud);
  });
}

void read_document(const json& document, KeptResult& out, model::Complaint& complaint) {
  Fields in(document, "", complaint);
  in.let_unknown_pass();
  std::string schema;
  in.need("schema");
  in.text("schema", schema);
  if (schema != "risetrace/result/1") in.complain("schema", "must be risetrace/result/1");
  in.need("clip");
  in.part("clip", [&](Fields& clip) {
    std::optional<std::string> sha256;
    clip.text("sha256", sha256);
    out.clip_sha256 = sha256.value_or("");
    clip.number("frame_rate_hz", out.frame_rate_hz, 0, 1e5);
    clip.number("duration_s", out.duration_s, 0, longest_s);
  });
  in.need("asked");
  in.part("asked", [&](Fields& asked) { read_asked(asked, out); });
  in.part("heel_raise", [&](Fields& raise) {
    raise.part("beat", [&](Fields& beat) { beat.number("heard_bpm", out.heard_bpm, 0, 10000); });
  });
  in.part("hop", [&](Fields& hop) {
    if (hop.raw("contacts") == nullptr) hop.complain("contacts", "is missing");
    read_contacts(hop, out.contacts);
    hop.need("recount");
    hop.part("recount", [&](Fields& heard) { read_heard(heard, out); });
  });
  // What the program found by itself wins over what was made of it.
  in.part("automatic", [&](Fields& automatic) {
    automatic.part("rules", [&](Fields& rules) { read_rules(rules, out); });
    if (out.test == Test::hop) read_contacts(automatic, out.contacts);
  });
  if (out.beat_bpm) out.protocol.beat_bpm = *out.beat_bpm;
  if (out.test == Test::lunge) in.complain("asked.test", "is lunge: there is nothing to count anew");
  const char* set = out.test == Test::hop ? "hop" : "heel_raise";
  if (const json* found = in.raw(set); complaint.text.empty() && (found == nullptr || found->is_null())) {
    in.complain(set, "is null: nothing was counted");
  }
}

// Those that the result was made with, through the same reader as a file of them.
Result<Corrections> corrections_of(const json& document) {
  const auto found = document.find("corrections");
  if (found == document.end() || found->is_null()) return Corrections{};
  const json file = {{"schema", "risetrace/corrections/1"}, {"corrections", *found}};
  auto read = read_corrections_text(file.dump(-1, ' ', false, json::error_handler_t::replace), "result.json");
  if (!read) return broken(read.error().why);
  return read;
}

Outcome take_trace(const std::string& trace_csv, KeptResult& out) {
  auto columns = read_trace(trace_csv, out.test == Test::hop);
  if (!columns) return columns.error();
  if (out.test == Test::hop) {
    for (const path::PathSample& sample : *columns) out.frames.push_back({sample.frame, sample.time_s});
  } else {
    out.samples = *std::move(columns);
  }
  return Done{};
}

}  // namespace

Result<KeptResult> read_kept_texts(const std::string& result_json, const std::string& trace_csv,
                                   const model::RaiseProtocol& protocol) {
  const json document = json::parse(result_json, nullptr, false);
  if (document.is_discarded() || !document.is_object()) return broken("result.json is not JSON");
  KeptResult out;
  out.protocol = protocol;
  model::Complaint complaint{"a result", ""};
  read_document(document, out, complaint);
  if (!complaint.text.empty()) return broken("result.json: " + complaint.text);
  auto corrections = corrections_of(document);
  if (!corrections) return corrections.error();
  out.corrections = *std::move(corrections);
  if (auto done = take_trace(trace_csv, out); !done) return done.error();
  return out;
}

Result<KeptResult> read_kept_result(const std::filesystem::path& folder, const model::RaiseProtocol& protocol) {
  std::error_code ignored;
  if (!std::filesystem::is_directory(folder, ignored)) return broken(folder.string() + " is no folder");
  const auto result = read_file(folder / "result.json", most_document_bytes);
  if (!result) return broken((folder / "result.json").string() + " cannot be read");
  const auto trace = read_file(folder / "trace.csv", 16 * most_document_bytes);
  if (!trace) return broken((folder / "trace.csv").string() + " cannot be read");
  auto kept = read_kept_texts(*result, *trace, protocol);
  if (!kept) return broken(folder.string() + ": " + kept.error().why);
  return kept;
}

}  // namespace risetrace::review
