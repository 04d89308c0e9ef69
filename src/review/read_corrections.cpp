#include "review/read_corrections.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/calendar.h"
#include "base/read_file.h"
#include "model/fields.h"
#include "review/say_corrections.h"

namespace risetrace::review {
namespace {

using model::Fields;
using nlohmann::json;

constexpr std::size_t most_corrections = 2000;
constexpr std::size_t longest_text = 500;
constexpr double longest_s = 86400;
constexpr int most_frames = 100'000'000;
constexpr double largest_px = 20000;

Error wrong(const std::string& why) { return {Fault::corrections_wrong, why, ""}; }

// "2026-03-02T10:15:00Z", fractions of a second allowed.
bool is_utc(const std::string& text) {
  if (text.size() < 20 || text.back() != 'Z' || text[10] != 'T' || !day_number(text.substr(0, 10))) return false;
  const std::string clock = text.substr(11, text.size() - 12);
  constexpr const char* form = "dd:dd:dd";
  for (std::size_t i = 0; i < clock.size(); ++i) {
    const bool digit = clock[i] >= '0' && clock[i] <= '9';
    const bool want_digit = i < 8 ? form[i] == 'd' : i > 8;
    if (want_digit ? !digit : clock[i] != (i < 8 ? form[i] : '.')) return false;
  }
  return clock.size() != 9 && clock.substr(0, 2) < "24" && clock.substr(3, 2) < "60" && clock.substr(6, 2) < "61";
}

void read_said(Fields& in, const char* name, std::string& text) {
  in.need(name);
  in.text(name, text);
  if (text.find_first_not_of(" \t\r\n") == std::string::npos) in.complain(name, "must not be empty");
  if (text.size() > longest_text) in.complain(name, "is longer than " + std::to_string(longest_text) + " bytes");
}

void read_frame(Fields& in, const char* name, std::optional<std::int64_t>& frame) {
  std::optional<int> given;
  in.integer(name, given, 0, most_frames);
  if (given) frame = *given;
}

void read_point(Fields& in, const char* name, Point& px) {
  const json* found = in.raw(name);
  const bool two =
      found != nullptr && found->is_array() && found->size() == 2 && (*found)[0].is_number() && (*found)[1].is_number();
  if (!two) return in.complain(name, "must be two numbers, x and y");
  px = {(*found)[0].get<double>(), (*found)[1].get<double>()};
  const auto inside = [](double v) { return v >= -0.5 && v <= largest_px; };
  if (!inside(px.x) || !inside(px.y)) in.complain(name, "lies outside any picture");
}

void read_length(Fields& in, Correction& c) {
  Length length;
  read_point(in, "from_px", length.from_px);
  read_point(in, "to_px", length.to_px);
  in.need("length_cm");
  in.number("length_cm", length.length_cm, 0.5, 500);
  in.number("length_u_cm", length.length_u_cm, 0, 50);
  c.length = length;
}

void read_value(Fields& in, const char* name, Correction& c, double low, double high, bool whole) {
  in.need(name);
  in.number(name, c.value, low, high);
  if (whole && c.value != std::floor(c.value)) in.complain(name, "must be a whole number");
}

// A put-in's and a move's are of a rep or of a hop: the fields say which.
void read_instants(Fields& in, Correction& c) {
  in.number("start_s", c.start_s, 0, longest_s);
  in.number("peak_s", c.peak_s, 0, longest_s);
  in.number("end_s", c.end_s, 0, longest_s);
  read_frame(in, "touchdown_frame", c.touchdown_frame);
  read_frame(in, "takeoff_frame", c.takeoff_frame);
}

void read_after(Fields& in, Correction& c) {
  switch (c.what) {
    case What::take_out:
    case What::no_landing:
      return;
    case What::put_in:
    case What::move:
      return read_instants(in, c);
    case What::set_end:
      in.need("t_s");
      return in.number("t_s", c.end_s, 0, longest_s);
    case What::heel:
    case What::forefoot: {
      Point px;
      in.need("x_px");
      in.need("y_px");
      in.number("x_px", px.x, 0, largest_px);
      in.number("y_px", px.y, 0, largest_px);
      c.px = px;
      return;
    }
    case What::scale:
      return read_length(in, c);
    case What::beat:
      return read_value(in, "bpm", c, 10, 300, false);
    case What::end_fraction:
      return read_value(in, "end_fraction", c, 0.05, 1, false);
    case What::end_after:
      return read_value(in, "end_after", c, 1, 100, true);
    case What::reference_reps:
      return read_value(in, "reference_reps", c, 1, 100, true);
  }
}

// What the fields of one leave open; empty where it is whole.
std::string left_open(const Correction& c) {
  const bool rep = c.start_s || c.peak_s || c.end_s;
  const bool hop = c.touchdown_frame || c.takeoff_frame;
  if (c.rep_peak_s && c.hop_touchdown_frame) return "is of a rep and of a hop";
  switch (c.what) {
    case What::take_out:
      return c.rep_peak_s || c.hop_touchdown_frame ? "" : "must say which: rep or hop";
    case What::no_landing:
      return c.hop_touchdown_frame ? "" : "must say which hop";
    case What::put_in:
      if (rep == hop) return "must have after.start_s, peak_s and end_s, or after.touchdown_frame";
      if (rep) return c.start_s && c.peak_s && c.end_s ? "" : "must have after.start_s, peak_s and end_s";
      return c.touchdown_frame ? "" : "must have after.touchdown_frame";
    case What::move:
      if (c.rep_peak_s) return rep && !hop ? "" : "must have some of after.start_s, peak_s, end_s";
      if (c.hop_touchdown_frame) return hop && !rep ? "" : "must have after.touchdown_frame or takeoff_frame";
      return "must say which: rep or hop";
    case What::scale: {
      const double px = std::hypot(c.length->to_px.x - c.length->from_px.x, c.length->to_px.y - c.length->from_px.y);
      return px >= 10 ? "" : "has its two points closer than 10 pixels";
    }
    default:
      return "";
  }
}

void read_one(Fields& in, Correction& c) {
  in.need("what");
  in.choice("what", c.what, names_of_what());
  in.need("at");
  in.text("at", c.at);
  if (!is_utc(c.at)) in.complain("at", "must be a UTC time like 2026-03-02T10:15:00Z");
  read_said(in, "by", c.by);
  read_said(in, "why", c.why);
  in.part("rep", [&](Fields& rep) {
    rep.need("peak_s");
    rep.number("peak_s", c.rep_peak_s, 0, longest_s);
  });
  in.part("hop", [&](Fields& hop) {
    hop.need("touchdown_frame");
    read_frame(hop, "touchdown_frame", c.hop_touchdown_frame);
  });
  const bool changes = c.what != What::take_out && c.what != What::no_landing;
  if (changes) in.need("after");
  if (const json* after = in.raw("after"); !changes && after != nullptr && !after->is_null()) {
    in.complain("after", "must be null where something is taken out");
  }
  if (changes) in.part("after", [&](Fields& after) { read_after(after, c); });
  const json* before = in.raw("before");  // kept as it stands, for who reads it
  if (before != nullptr && !before->is_null() && !before->is_object()) in.complain("before", "must be an object");
}

}  // namespace

Result<Corrections> read_corrections_text(const std::string& text, const std::string& name) {
  const json document = json::parse(text, nullptr, false);
  if (document.is_discarded()) return wrong(name + " is not JSON");
  model::Complaint complaint{"corrections", ""};
  Corrections out;
  {
    Fields in(document, "", complaint);
    in.raw("$schema");
    std::string schema;
    in.need("schema");
    in.text("schema", schema);
    if (schema != "risetrace/corrections/1") in.complain("schema", "must be risetrace/corrections/1");
    in.text("clip_sha256", out.clip_sha256);
    in.need("corrections");
    in.list("corrections", [&](Fields& one) {
      if (out.list.size() == most_corrections) return one.complain("what", "is one correction too many");
      Correction c;
      read_one(one, c);
      if (complaint.text.empty()) {
        if (const std::string open = left_open(c); !open.empty()) one.complain("what", open);
      }
      out.list.push_back(c);
    });
  }
  if (!complaint.text.empty()) return wrong(name + ": " + complaint.text);
  const json& list = document.at("corrections");
  for (std::size_t i = 0; i < out.list.size(); ++i) {
    out.list[i].as_given = list[i].dump(-1, ' ', false, json::error_handler_t::replace);
  }
  return out;
}

Result<Corrections> read_corrections(const std::filesystem::path& file) {
  const auto text = read_file(file, most_document_bytes);
  if (!text) return wrong(file.string() + " cannot be read");
  return read_corrections_text(*text, file.string());
}

Outcome corrections_fit(const Corrections& corrections, Test test) {
  for (std::size_t i = 0; i < corrections.list.size(); ++i) {
    const Correction& c = corrections.list[i];
    const bool of_rep = c.rep_peak_s || c.start_s || c.peak_s || c.end_s || c.what == What::end_fraction ||
                        c.what == What::end_after || c.what == What::reference_reps;
    const bool of_hop = c.hop_touchdown_frame || c.touchdown_frame || c.takeoff_frame || c.what == What::forefoot;
    const bool misfit = test == Test::lunge || (test == Test::hop && of_rep) || (test == Test::heel_raise && of_hop);
    if (misfit) {
      return wrong(name_of(corrections, i) + " is not for the test " + key_of(test));
    }
  }
  return Done{};
}

Outcome is_of_clip(const Corrections& corrections, const std::string& sha256) {
  if (corrections.clip_sha256.empty() || sha256.empty() || corrections.clip_sha256 == sha256) return Done{};
  return wrong("they are of another clip: its checksum begins with " + corrections.clip_sha256.substr(0, 12) +
               ", this one's with " + sha256.substr(0, 12));
}

}  // namespace risetrace::review
