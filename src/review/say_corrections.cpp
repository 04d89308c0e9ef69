#include "review/say_corrections.h"

#include <algorithm>

#include "base/rounded.h"

namespace risetrace::review {
namespace {

constexpr std::size_t told_one_by_one = 4;

std::string which(const Correction& c) {
  if (c.rep_peak_s) return "the rep with its peak at " + rounded(*c.rep_peak_s, 2) + " s";
  if (c.hop_touchdown_frame) return "the landing in frame " + std::to_string(*c.hop_touchdown_frame);
  if (c.peak_s) return "a rep with its peak at " + rounded(*c.peak_s, 2) + " s";
  if (c.touchdown_frame) return "a landing in frame " + std::to_string(*c.touchdown_frame);
  return "";
}

void add(std::string& list, const char* name, const std::string& value) {
  list += (list.empty() ? "" : ", ") + std::string(name) + " to " + value;
}

std::string moved_to(const Correction& c) {
  std::string list;
  if (c.start_s) add(list, "its start", rounded(*c.start_s, 2) + " s");
  if (c.peak_s) add(list, "its peak", rounded(*c.peak_s, 2) + " s");
  if (c.end_s) add(list, "its end", rounded(*c.end_s, 2) + " s");
  if (c.touchdown_frame) add(list, "its touchdown", "frame " + std::to_string(*c.touchdown_frame));
  if (c.takeoff_frame) add(list, "its take-off", "frame " + std::to_string(*c.takeoff_frame));
  return list;
}

std::string done(const Correction& c) {
  switch (c.what) {
    case What::take_out:
      return which(c) + " taken out";
    case What::put_in:
      return which(c) + " put in";
    case What::move:
      return which(c) + " moved: " + moved_to(c);
    case What::no_landing:
      return which(c) + " struck: there was none";
    case What::set_end:
      return "the set's end put at " + rounded(*c.end_s, 2) + " s";
    case What::heel:
      return "the heel's sticker pointed out";
    case What::forefoot:
      return "the forefoot's sticker pointed out";
    case What::scale:
      return "the scale taken from two points " + rounded(c.length->length_cm, 1) + " cm apart";
    case What::beat:
      return "the beat set to " + rounded(c.value, 0) + " per minute";
    case What::end_fraction:
      return "the limit set to " + rounded(100 * c.value, 0) + " % of the reference height";
    case What::end_after:
      return "the set ended by " + rounded(c.value, 0) + " low reps in a row";
    case What::reference_reps:
      return "the reference taken from " + rounded(c.value, 0) + " reps";
  }
  return "";
}

}  // namespace

const std::vector<std::pair<const char*, What>>& names_of_what() {
  static const std::vector<std::pair<const char*, What>> names = {
      {"take-out", What::take_out},         {"put-in", What::put_in},       {"move", What::move},
      {"no-landing", What::no_landing},     {"set-end", What::set_end},     {"heel", What::heel},
      {"forefoot", What::forefoot},         {"scale", What::scale},         {"beat", What::beat},
      {"end-fraction", What::end_fraction}, {"end-after", What::end_after}, {"reference-reps", What::reference_reps}};
  return names;
}

std::string name_of(const Corrections& corrections, std::size_t index) {
  const auto& names = names_of_what();
  const auto found = std::find_if(names.begin(), names.end(),
                                  [&](const auto& name) { return name.second == corrections.list[index].what; });
  return "correction " + std::to_string(index + 1) + " (" + found->first + ")";
}

std::string in_words(const Correction& c) { return done(c) + " (" + c.why + ")"; }

std::string who_corrected(const Corrections& corrections) {
  std::vector<std::string> who;
  for (const Correction& c : corrections.list) {
    if (std::find(who.begin(), who.end(), c.by) == who.end()) who.push_back(c.by);
  }
  std::string text;
  for (const std::string& one : who) text += (text.empty() ? "" : ", ") + one;
  return text;
}

Note note_of(const Corrections& corrections) {
  std::string text = "Corrected by hand by " + who_corrected(corrections) + ": ";
  const std::size_t told = std::min(corrections.list.size(), told_one_by_one);
  for (std::size_t i = 0; i < told; ++i) text += (i == 0 ? "" : "; ") + in_words(corrections.list[i]);
  if (const std::size_t left = corrections.list.size() - told; left > 0) {
    text += "; and " + std::to_string(left) + " more, all in result.json";
  }
  text += ".";
  if (corrections.clip_sha256.empty())
    text += " They do not say of which clip they are: nothing shows that it is this one.";
  return {"corrected-by-hand", text, std::nullopt};
}

}  // namespace risetrace::review
