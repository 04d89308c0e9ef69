#include "report/live_lines.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/rounded.h"
#include "report/json_number.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr int s_decimals = 3;
constexpr int cm_decimals = 3;
constexpr int share_decimals = 4;
constexpr int rate_decimals = 2;

template <typename... Each>
struct Choose : Each... {
  using Each::operator()...;
};
template <typename... Each>
Choose(Each...) -> Choose<Each...>;

Json rep_json(const raise::Rep& rep) {
  return {{"n", rep.n},
          {"start_s", number(rep.start_s, s_decimals)},
          {"peak_s", number(rep.peak_s, s_decimals)},
          {"end_s", number(rep.end_s, s_decimals)},
          {"height_cm", number(rep.height_cm, cm_decimals)},
          {"height_cm_u", number(rep.height_cm_u, cm_decimals)},
          {"of_reference", number(rep.of_reference, share_decimals)},
          {"low", rep.low},
          {"period_s", number(rep.period_s, s_decimals)},
          {"on_beat", flag(rep.on_beat)},
          {"counted", rep.counted}};
}

Json end_json(const raise::SetEnd& end) {
  return {{"why", key_of(end.why)}, {"t_s", number(end.t_s, s_decimals)}, {"after_rep", end.after_rep}};
}

Json event_json(const measure::LiveEvent& event) {
  return std::visit(
      Choose{
          [](const measure::LiveReady& ready) -> Json {
            return {{"event", "ready"},
                    {"width", ready.width_px},
                    {"height", ready.height_px},
                    {"frame_rate", number(ready.frame_rate_hz, rate_decimals)}};
          },
          [](const measure::LiveHeight& height) -> Json {
            return {{"event", "height"},
                    {"t_s", number(height.t_s, s_decimals)},
                    {"height_cm", number(height.height_cm, cm_decimals)}};
          },
          [](const measure::LiveRep& told) -> Json {
            Json json{{"event", "rep"}};
            json.update(rep_json(told.rep));
            json["count"] = told.count;
            json["t_s"] = json["end_s"];
            return json;
          },
          [](const measure::LowWarning& warning) -> Json {
            return {{"event", "low-warning"}, {"n", warning.n}, {"left", warning.left}};
          },
          [](const measure::LiveSetEnd& told) -> Json {
            Json json{{"event", told.final ? "set-end-final" : "set-end"}};
            json.update(end_json(told.end));
            json["count"] = told.count;
            return json;
          },
          [](const Note& note) -> Json {
            return {{"event", "note"}, {"code", note.code}, {"text", note.text}, {"t_s", number(note.t_s, s_decimals)}};
          }},
      event);
}

// Text may hold what a file's name or a camera says: bytes that are no UTF-8 are replaced.
std::string line_of(const Json& json) {
  return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

std::string share_text(std::optional<double> share) { return share ? "  " + rounded(100 * *share, 0) + " %" : ""; }

std::string rep_words(const measure::LiveRep& told) {
  const raise::Rep& rep = told.rep;
  return "rep " + std::to_string(rep.n) + "  " + rounded(rep.height_cm, 1) + " cm" + share_text(rep.of_reference) +
         (rep.low ? "  low" : "") + (rep.on_beat.value_or(true) ? "" : "  off the beat");
}

std::string end_words(const measure::LiveSetEnd& told) {
  const std::string count = std::to_string(told.count) + (told.count == 1 ? " rep" : " reps");
  switch (told.end.why) {
    case raise::EndWhy::low_height:
      return "THE SET IS OVER: the height is lost; " + count;
    case raise::EndWhy::pause:
      return "THE SET IS OVER: no rise followed in time; " + count;
    case raise::EndWhy::by_hand:
      return "Stopped by hand; " + count;
    case raise::EndWhy::clip_end:
      break;
  }
  return "The pictures ended before the set did; " + count + " so far";
}

}  // namespace

std::string live_line(const measure::LiveEvent& event, double said_s) {
  Json json = event_json(event);
  if (!std::holds_alternative<measure::LiveHeight>(event)) json["said_s"] = number(said_s, s_decimals);
  return line_of(json);
}

std::string live_done_line(const Result<measure::Measurement>& measured, const LiveAccount& account) {
  Json json{{"event", "done"},
            {"frames_left_out", account.frames_left_out},
            {"most_behind_s", number(account.most_behind_s, s_decimals)},
            {"lag_s", number(account.lag_s, s_decimals)},
            {"error", nullptr},
            {"count", nullptr},
            {"reference_height_cm", nullptr},
            {"set_end", nullptr},
            {"reps", Json::array()},
            {"agrees", nullptr}};
  if (!measured) {
    json["error"] = sentence(measured.error());
    return line_of(json);
  }
  json["frames"] = measured->clip.frames;
  json["frame_rate"] = number(measured->clip.frame_rate_hz, rate_decimals);
  json["frames_missing"] = measured->clip.frames_missing;
  if (!measured->raises) return line_of(json);
  const raise::RepSet& set = *measured->raises;
  json["count"] = set.count;
  json["reference_height_cm"] = number(set.reference_height_cm, cm_decimals);
  json["set_end"] = end_json(set.set_end);
  for (const raise::Rep& rep : set.reps) json["reps"].push_back(rep_json(rep));
  if (account.told_end) {
    json["agrees"] = account.told_end->count == set.count && account.told_end->end.after_rep == set.set_end.after_rep;
  }
  return line_of(json);
}

std::string live_words(const measure::LiveEvent& event) {
  return std::visit(Choose{[](const measure::LiveReady& ready) {
                             return std::to_string(ready.width_px) + " x " + std::to_string(ready.height_px) + ", " +
                                    rounded(ready.frame_rate_hz, 0) + " frames a second";
                           },
                           [](const measure::LiveHeight&) { return std::string(); },
                           [](const measure::LiveRep& told) { return rep_words(told); },
                           [](const measure::LowWarning& warning) {
                             return std::string("low: ") +
                                    (warning.left == 1 ? "one more and the set is over"
                                                       : std::to_string(warning.left) + " more and the set is over");
                           },
                           [](const measure::LiveSetEnd& told) { return told.final ? std::string() : end_words(told); },
                           [](const Note& note) { return note.text; }},
                    event);
}

std::string live_bar(double height_cm, double full_cm, int width) {
  const double share = full_cm > 0 ? std::clamp(height_cm / full_cm, 0.0, 1.0) : 0.0;
  const auto filled = static_cast<std::size_t>(std::lround(share * width));
  return std::string(filled, '#') + std::string(static_cast<std::size_t>(width) - filled, '.');
}

}  // namespace risetrace::report
