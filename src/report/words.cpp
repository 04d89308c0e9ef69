#include "report/words.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>
#include <vector>

#include "review/say_corrections.h"

namespace risetrace::report {
namespace {

// Length of the valid UTF-8 sequence at `at`, 0 where there is none. RFC 3629, section 4: no overlong forms, no
// surrogates, nothing above U+10FFFF.
std::size_t sequence_length(const std::string& text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U; };
  const unsigned first = byte(at);
  if (first < 0x80) return 1;
  const std::size_t length = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
  if (first < 0xc2 || first > 0xf4) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xc0U) != 0x80U) return 0;
  }
  const unsigned second = byte(at + 1);
  const bool overlong = (first == 0xe0 && second < 0xa0) || (first == 0xf0 && second < 0x90);
  const bool outside = (first == 0xed && second > 0x9f) || (first == 0xf4 && second > 0x8f);
  return overlong || outside ? 0 : length;
}

}  // namespace

const char* key_of(raise::EndWhy why) {
  switch (why) {
    case raise::EndWhy::low_height:
      return "low-height";
    case raise::EndWhy::pause:
      return "pause";
    case raise::EndWhy::clip_end:
      return "clip-end";
    case raise::EndWhy::by_hand:
      return "by-hand";
  }
  return "clip-end";
}

const char* key_of(scale::CardKind card) {
  switch (card) {
    case scale::CardKind::tags:
      return "tags";
    case scale::CardKind::id_1:
      return "id-1";
    case scale::CardKind::none:
      break;
  }
  return "none";
}

const char* key_of(scale::ScaleFrom from) {
  switch (from) {
    case scale::ScaleFrom::tags:
      return "tags";
    case scale::ScaleFrom::id_1:
      return "id-1";
    case scale::ScaleFrom::given:
      return "given";
    case scale::ScaleFrom::none:
      return "none";
  }
  return "none";
}

const char* key_of(scale::DoubtFrom from) {
  switch (from) {
    case scale::DoubtFrom::fit:
      return "fit";
    case scale::DoubtFrom::print:
      return "print";
    case scale::DoubtFrom::plane_offset:
      return "plane_offset";
    case scale::DoubtFrom::card_stance:
      return "card_stance";
    case scale::DoubtFrom::view:
      return "view";
    case scale::DoubtFrom::focal_length:
      return "focal_length";
    case scale::DoubtFrom::pointing:
      return "pointing";
    case scale::DoubtFrom::distortion:
      break;
  }
  return "distortion";
}

const char* key_of(sticker::FoundBy by) { return by == sticker::FoundBy::search ? "search" : "hand"; }

const char* key_of(clip::FrameRateFrom from) {
  switch (from) {
    case clip::FrameRateFrom::container:
      return "container";
    case clip::FrameRateFrom::capture_tag:
      return "capture-tag";
    case clip::FrameRateFrom::given:
      return "given";
  }
  return "container";
}

const char* key_of(hop::Witness witness) {
  switch (witness) {
    case hop::Witness::sole:
      return "sole";
    case hop::Witness::forefoot_sticker:
      return "forefoot-sticker";
    case hop::Witness::heel_sticker:
      break;
  }
  return "heel-sticker";
}

std::string who_was_tested(const measure::Asked& asked) {
  std::string text;
  if (asked.side == Side::both) text = "both legs";
  if (asked.side == Side::left || asked.side == Side::right) text = key_of(asked.side) + std::string(" leg");
  if (asked.knee != Knee::not_stated) text += (text.empty() ? "knee " : ", knee ") + std::string(key_of(asked.knee));
  return text;
}

std::string how_it_ended(const raise::RepSet& set, const model::RaiseProtocol& protocol) {
  const raise::SetEnd& end = set.set_end;
  if (end.why == raise::EndWhy::clip_end) return "not ended when the clip did, at " + fixed(end.t_s, 1) + " s";
  const std::string when = "ended after rep " + std::to_string(end.after_rep) + " at " + fixed(end.t_s, 1) + " s: ";
  if (end.why == raise::EndWhy::by_hand) return when + "by hand";
  if (end.why == raise::EndWhy::pause) return when + "no rise for " + fixed(protocol.end_pause_s, 0) + " s";
  const std::string under = " (under " + percent(protocol.end_fraction) + ")";
  if (protocol.end_after == 1) return when + "a low rep" + under;
  return when + std::to_string(protocol.end_after) + " low reps in a row" + under;
}

std::string knee_in_words(const measure::Measurement& m) {
  if (!m.knee || !m.knee->mean_deg) return "";
  const ankle::KneeSet& knee = *m.knee;
  std::string text = "bent by " + with_u(knee.mean_deg, knee.mean_deg_u, 1, "") + "° on average (" +
                     fixed(knee.least_deg, 0) + " to " + fixed(knee.greatest_deg, 0) + ")";
  if (knee.drift_deg) {
    text += ", " + fixed(std::abs(*knee.drift_deg), 1) + "° " + (*knee.drift_deg < 0 ? "less" : "more") + " at the end";
  }
  const auto not_held = std::count_if(knee.reps.begin(), knee.reps.end(), [&](const ankle::RepKnee& rep) {
    return rep.held == std::optional(false) && rep.n <= m.raises->set_end.after_rep;
  });
  if (m.asked.knee == Knee::not_stated) return text;
  if (not_held == 0) return text + "; held " + key_of(m.asked.knee);
  return text + "; not held " + key_of(m.asked.knee) + " in " + std::to_string(not_held) + " of " +
         std::to_string(m.raises->set_end.after_rep) + " reps";
}

namespace {

// A place or a scale given by hand is in what the program found, too: it was measured by it.
bool pointed_out(const review::Corrections& corrections) {
  return std::any_of(corrections.list.begin(), corrections.list.end(), [](const review::Correction& one) {
    return one.what == review::What::heel || one.what == review::What::forefoot || one.what == review::What::scale;
  });
}

}  // namespace

std::string corrected_in_words(const measure::Measurement& m) {
  if (!m.automatic) return "";
  const std::size_t changes = m.corrections.list.size();
  std::string text = "by " + readable(review::who_corrected(m.corrections)) + ", " + std::to_string(changes) +
                     (changes == 1 ? " change" : " changes") +
                     (pointed_out(m.corrections) ? "; found by the program with the same sticker and scale: "
                                                 : "; found by the program alone: ");
  if (m.automatic->hops) {
    const hop::HopSet& found = *m.automatic->hops;
    return text + plain(found.count, 0) + (found.count == 1 ? " hop" : " hops") + " counted" +
           (found.contact_ms ? ", " + fixed(found.contact_ms, 0) + " ms on the ground" : "");
  }
  if (!m.automatic->raises) return text + "nothing";
  const raise::RepSet& found = *m.automatic->raises;
  return text + plain(found.count, 0) + (found.count == 1 ? " rep" : " reps") + " counted" +
         (found.reference_height_cm ? ", reference " + fixed(found.reference_height_cm, 2) + " cm" : "");
}

std::string scale_in_words(const scale::Scale& scale) {
  switch (scale.from) {
    case scale::ScaleFrom::tags:
      return "printed card";
    case scale::ScaleFrom::id_1:
      return "bank card (ID-1)";
    case scale::ScaleFrom::given:
      return "given by hand";
    case scale::ScaleFrom::none:
      break;
  }
  return "none";
}

std::string contact_from_in_words(const hop::HopSet& set) {
  if (set.contact_from == "sole") return "the shoe’s sole";
  if (set.contact_from == "forefoot-sticker") return "the forefoot sticker";
  return set.contact_from;
}

std::string beat_in_words(const measure::Measurement& measurement) {
  const auto& steps = measurement.beats.steps;
  const auto& asked = measurement.asked.beat_bpm;
  const std::string asked_text = asked ? plain(*asked, 1) : "";
  if (steps.empty()) return asked ? "asked " + asked_text + " per minute, none heard" : "none asked, none heard";
  std::string text = "heard " + plain(steps.front().bpm, 1);
  if (steps.size() > 1) {
    text += steps.back().bpm < steps.front().bpm ? " down to " : " to ";
    text += plain(steps.back().bpm, 1) + " per minute in " + std::to_string(steps.size()) + " steps";
  } else {
    text += " per minute";
  }
  return text + (asked ? ", asked " + asked_text : "");
}

std::string not_counted_in_words(const hop::HopSet& set) {
  std::vector<std::pair<std::string, std::vector<int>>> reasons;  // in order of their first hop
  for (const hop::Hop& hop : set.hops) {
    if (hop.counted) continue;
    const std::string why = hop.why_not.empty() ? "no reason given" : readable(hop.why_not);
    auto at = std::find_if(reasons.begin(), reasons.end(), [&](const auto& reason) { return reason.first == why; });
    if (at == reasons.end()) at = reasons.insert(reasons.end(), {why, {}});
    at->second.push_back(hop.n);
  }
  std::string text;
  for (const auto& [why, numbers] : reasons) {
    text += text.empty() ? "" : "; ";
    for (std::size_t i = 0; i < numbers.size(); ++i) {
      std::size_t last = i;
      while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
      text += (i == 0 ? "" : ", ") + std::to_string(numbers[i]);
      if (last > i) text += "–" + std::to_string(numbers[last]);
      i = last;
    }
    text += " " + why;
  }
  return text;
}

std::string hop_rate_in_words(std::optional<double> hop_rate_hz) {
  if (!hop_rate_hz) return "–";
  return fixed(hop_rate_hz, 2) + " per second = " + fixed(*hop_rate_hz * 60, 0) + " per minute";
}

std::string fixed(std::optional<double> value, int decimals) {
  if (!value || !std::isfinite(*value)) return "–";
  // Adding 0.0 turns a negative zero into zero: "-0.0" is no height.
  const double unit = std::pow(10.0, decimals);
  const double rounded = std::round(*value * unit) / unit + 0.0;
  char text[64];
  (void)std::snprintf(text, sizeof text, "%.*f", decimals, rounded);
  return text;
}

std::string plain(double value, int most_decimals) {
  std::string text = fixed(value, most_decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.ends_with('.')) text.pop_back();
  return text;
}

std::string with_u(std::optional<double> value, std::optional<double> u, int decimals, const std::string& unit) {
  if (!value) return "–";
  const std::string after = unit.empty() ? "" : " " + unit;
  return fixed(value, decimals) + (u ? " ± " + fixed(u, decimals) : "") + after;
}

std::string percent(double share, int decimals) { return fixed(100 * share, decimals) + " %"; }

std::string readable(const std::string& text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = sequence_length(text, at);
    const auto byte = static_cast<unsigned char>(text[at]);
    const bool c1_control = length == 2 && byte == 0xc2 && static_cast<unsigned char>(text[at + 1]) < 0xa0;
    if (length == 0 || byte < 0x20 || byte == 0x7f || c1_control) {
      out += '?';
    } else {
      out += text.substr(at, length);
    }
    at += std::max<std::size_t>(length, 1);
  }
  return out;
}

}  // namespace risetrace::report
