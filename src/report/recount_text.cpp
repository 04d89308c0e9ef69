#include "report/recount_text.h"

#include <nlohmann/json.hpp>

#include "report/decimals.h"
#include "report/hop_json.h"
#include "report/json_number.h"
#include "report/raise_json.h"
#include "report/terminal_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

Json raises_json(const review::Recount& recount) {
  if (!recount.raises) return nullptr;
  const raise::RepSet& set = *recount.raises;
  Json reps = Json::array();
  for (const raise::Rep& rep : set.reps) reps.push_back(rep_json(rep, {}));
  Json out = {{"reps", reps}};
  out.update(counted_json(set));
  out["rep_period_s"] = number(set.rep_period_s, s_decimals);
  out["on_beat_share"] = number(set.on_beat_share, share_decimals);
  out["rules"] = rules_json(recount.protocol, false);
  return out;
}

std::string counts_in_words(const raise::RepSet& set) {
  std::string text;
  for (const raise::CountAt& at : set.count_at) {
    text += (text.empty() ? "" : ", ") + std::to_string(at.count) + " at " + percent(at.fraction);
  }
  return text + " of the reference height";
}

void tell_raises(TerminalPage& page, const review::Recount& recount) {
  const raise::RepSet& set = *recount.raises;
  page.head(std::to_string(set.count) + (set.count == 1 ? " rep" : " reps") + " counted of " +
            std::to_string(set.reps.size()));
  page.row("Set", how_it_ended(set, recount.protocol));
  page.row("Height", "reference " + with_u(set.reference_height_cm, std::nullopt, 2, "cm") + ", greatest " +
                         with_u(set.greatest_height_cm, std::nullopt, 2, "cm"));
  page.row("Counts", counts_in_words(set));
  page.row("Found", std::to_string(recount.found_raises->count) + " counted with no correction");
}

void tell_hops(TerminalPage& page, const review::Recount& recount) {
  const hop::HopSet& set = *recount.hops;
  page.head(std::to_string(set.count) + (set.count == 1 ? " hop" : " hops") + " counted of " +
            std::to_string(set.hops.size()));
  page.row("Contact", set.contact_ms ? fixed(set.contact_ms, 0) + " ms on the ground (median)" : "not known");
  page.row("Rate", set.hop_rate_hz ? hop_rate_in_words(set.hop_rate_hz) : "not known");
  page.row("Found", std::to_string(recount.found_hops->count) + " counted with no correction");
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

}  // namespace

std::string recount_json(const review::Recount& recount, const std::string& program_version) {
  Json found = nullptr;
  if (recount.found_raises) found = brief_json(*recount.found_raises);
  if (recount.found_hops) found = brief_json(*recount.found_hops);
  const Json document = {{"schema", "risetrace/recount/1"},
                         {"program", {{"name", "risetrace"}, {"version", program_version}}},
                         {"test", key_of(recount.test)},
                         {"heel_raise", raises_json(recount)},
                         {"hop", recount.hops ? hop_set_json(*recount.hops, recount.beat_bpm) : Json(nullptr)},
                         {"automatic", found},
                         {"needs_measuring", recount.needs_measuring}};
  return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string recount_text(const review::Recount& recount) {
  TerminalPage page(false);
  if (recount.raises) tell_raises(page, recount);
  if (recount.hops) tell_hops(page, recount);
  if (!recount.needs_measuring.empty()) {
    page.row("Not yet", joined(recount.needs_measuring) + ": only measuring the clip anew can take that in");
  }
  page.row("Note",
           "A preview: uncertainties, knee angles and work are in a full measuring only "
           "(risetrace measure CLIP --corrections FILE).");
  return page.text();
}

}  // namespace risetrace::report
