#include "report/check_text.h"

#include "report/check_words.h"
#include "report/terminal_page.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using measure::coverage_95;

std::string label_of(const measure::Finding& f) {
  switch (f.weight) {
    case measure::Weight::stops:
      return "Stops";
    case measure::Weight::takes_away:
      return "Missing";
    case measure::Weight::costs:
      return cost_in_words(f);
    case measure::Weight::look:
      return "Look";
  }
  return "";
}

std::string heights_to_expect(const measure::Check& check) {
  const measure::ExpectedError& e = check.expected;
  if (!e.height_u_cm) {
    const bool given = check.setup.scale.from == scale::ScaleFrom::given;
    return given ? "heights: not known, since --px-per-cm does not say how sure it is" : "heights: none";
  }
  const double within = coverage_95 * *e.height_u_cm;
  return "a rise of " + plain(e.rise_cm, 1) + " cm within ±" + fixed(within, within < 0.095 ? 2 : 1) + " cm";
}

void add_expected(TerminalPage& page, const measure::Check& check) {
  const measure::ExpectedError& e = check.expected;
  const bool hops = check.setup.test == Test::hop;
  std::string text;
  if (hops) {
    text = e.contact_u_ms ? "a time on the ground within ±" + fixed(coverage_95 * *e.contact_u_ms, 0) + " ms"
                          : std::string("times on the ground: none");
    text += "; ";
  }
  page.row("Expect", text + heights_to_expect(check) + " (19 times out of 20)");
  const auto& parts = hops && !e.contact_parts.empty() ? e.contact_parts : e.height_parts;
  if (!parts.empty()) page.row("Mostly", in_words(parts.front().from));
}

std::string seen_in_words(const measure::Check& check) {
  const measure::Setup& s = check.setup;
  std::string text;
  if (s.card) {
    text += "card " + fixed(s.scale.px_per_cm, 1) + " pixels per cm, turned " + fixed(s.scale.tilt_deg, 0) + "°" +
            (s.distance_m ? std::string()
                          : ", " + fixed(s.card->seen_distance_m, 1) + " m away if the camera does not zoom") +
            "; ";
  }
  if (s.sticker) text += "sticker " + fixed(2 * s.sticker->spot.look.outer_radius_px, 0) + " pixels across; ";
  text += std::to_string(s.clip.width_px) + " x " + std::to_string(s.clip.height_px) + " at " +
          plain(s.clip.frame_rate_hz, 1) + " frames per second";
  if (s.sway_px) text += *s.sway_px < 0.1 ? "; camera still" : "; camera sways " + fixed(s.sway_px, 1) + " pixels";
  return text;
}

std::string unseen_in_words(const measure::Check& check) {
  const measure::Setup& s = check.setup;
  std::string text;
  if (s.card && s.card_offset_cm == 0) {
    const double distance_m = s.distance_m.value_or(s.card->seen_distance_m);
    text = "whether the card stands nearer or farther than the sticker (each cm is about " + fixed(1 / distance_m, 1) +
           " % of every height); whether it is printed true; ";
  }
  text += "how far a fast heel smears";
  return text;
}

}  // namespace

std::string check_text(const measure::Check& check, bool colour) {
  TerminalPage page(colour);
  page.head(verdict_in_words(check) + ": " + readable(check.setup.clip.file));
  if (check.verdict != measure::Verdict::not_measurable) add_expected(page, check);
  for (const measure::Finding& finding : check.findings) {
    const Said text = said(finding, check);
    page.row(label_of(finding), readable(text.what + " " + text.what_to_do));
  }
  if (check.findings.empty()) page.row("Wrong", "nothing that a clip can show");
  page.row("Seen", seen_in_words(check) + " (first " + fixed(check.setup.looked_s, 1) + " s)");
  page.row("Not seen", unseen_in_words(check));
  page.plain("Not a medical device; local rules and the licensed clinician come first.");
  return page.text();
}

}  // namespace risetrace::report
