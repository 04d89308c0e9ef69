#include "review/correct_hops.h"

#include <algorithm>
#include <optional>
#include <string>

#include "review/by_hand.h"
#include "review/say_corrections.h"

namespace risetrace::review {
namespace {

struct Kept {
  hop::Contact contact;
  std::optional<std::int64_t> address;  // the frame in which its touchdown was found or put
  bool gone = false;
  std::size_t last_touched = 0;
};

// The first that is known of it.
double begin_s(const hop::Contact& contact) {
  return contact.touchdown ? contact.touchdown->time_s : contact.takeoff ? contact.takeoff->time_s : 0.0;
}

bool by_hand(const std::optional<hop::Instant>& instant) { return instant && instant->by_hand; }

double end_s(const hop::Contact& contact) { return contact.takeoff ? contact.takeoff->time_s : begin_s(contact); }

class Reviewer {
 public:
  Reviewer(const hop::Contacts& found, const std::vector<FrameTime>& frames, const Corrections& corrections)
      : frames_(frames), corrections_(corrections) {
    for (const hop::Contact& contact : found.contacts) {
      kept_.push_back({contact, contact.touchdown ? std::optional(contact.touchdown->frame) : std::nullopt});
    }
  }

  Result<std::vector<hop::Contact>> corrected() {
    for (std::size_t i = 0; i < corrections_.list.size(); ++i) {
      if (auto done = apply(i); !done) return done.error();
    }
    give_way();
    std::erase_if(kept_, [](const Kept& kept) { return kept.gone; });
    std::stable_sort(kept_.begin(), kept_.end(),
                     [](const Kept& a, const Kept& b) { return begin_s(a.contact) < begin_s(b.contact); });
    if (auto order = in_order(); !order) return order.error();
    std::vector<hop::Contact> out;
    for (const Kept& kept : kept_) out.push_back(kept.contact);
    return out;
  }

 private:
  [[nodiscard]] Error wrong(std::size_t i, const std::string& why) const {
    return {Fault::corrections_wrong, name_of(corrections_, i) + ": " + why, ""};
  }

  Outcome apply(std::size_t i) {
    const Correction& c = corrections_.list[i];
    if (c.what == What::put_in) {
      Kept kept{{}, c.touchdown_frame, false, i};
      kept.contact.by_hand = hop::HandWork::put_in;
      kept.contact.address_frame = c.touchdown_frame;
      if (auto done = set_instants(i, kept.contact); !done) return done;
      kept_.push_back(kept);
      return Done{};
    }
    if (c.what != What::take_out && c.what != What::move && c.what != What::no_landing) return Done{};
    const auto kept = std::find_if(kept_.begin(), kept_.end(), [&](const Kept& one) {
      return !one.gone && one.contact.by_hand != hop::HandWork::taken_out && one.address == c.hop_touchdown_frame;
    });
    if (kept == kept_.end()) {
      return wrong(i, "no landing was found in frame " + std::to_string(*c.hop_touchdown_frame));
    }
    kept->last_touched = i;
    if (c.what == What::move) return move(i, kept->contact);
    if (c.what == What::no_landing) {
      kept->gone = true;
      return Done{};
    }
    kept->contact.by_hand = hop::HandWork::taken_out;
    kept->contact.doubtful = true;
    kept->contact.why = "taken out by hand: " + c.why;
    return Done{};
  }

  Outcome move(std::size_t i, hop::Contact& contact) {
    if (contact.by_hand == hop::HandWork::none) {
      contact.by_hand = hop::HandWork::moved;
      contact.address_frame = contact.touchdown->frame;
    }
    if (auto done = set_instants(i, contact); !done) return done;
    if (by_hand(contact.touchdown) && by_hand(contact.takeoff)) {  // a person has seen what was doubtful
      contact.doubtful = false;
      contact.why.clear();
    }
    return Done{};
  }

  Outcome set_instants(std::size_t i, hop::Contact& contact) {
    const Correction& c = corrections_.list[i];
    const auto set = [&](const std::optional<std::int64_t>& frame, std::optional<hop::Instant>& instant) -> Outcome {
      if (!frame) return Done{};
      const auto at = std::lower_bound(frames_.begin(), frames_.end(), *frame,
                                       [](const FrameTime& f, std::int64_t number) { return f.frame < number; });
      if (at == frames_.end() || at->frame != *frame || at == frames_.begin()) {
        return wrong(i, "nothing is known of frame " + std::to_string(*frame) + " or the one before");
      }
      const double before_s = std::prev(at)->time_s;
      instant = hop::Instant{(before_s + at->time_s) / 2, pointed_u_s(at->time_s - before_s), *frame,
                             hop::Witness::sole, true};
      return Done{};
    };
    if (auto done = set(c.touchdown_frame, contact.touchdown); !done) return done;
    return set(c.takeoff_frame, contact.takeoff);
  }

  // What was put in takes the place of what was taken out there, and of one of which the landing was not seen, with its
  // take-off where the person names none.
  void give_way() {
    for (Kept& out : kept_) {
      if (!out.contact.touchdown && out.contact.takeoff) landing_for(out);
      if (out.contact.by_hand != hop::HandWork::taken_out) continue;
      out.gone = out.gone || std::any_of(kept_.begin(), kept_.end(), [&](const Kept& in) {
                   return in.contact.by_hand == hop::HandWork::put_in && !in.gone &&
                          begin_s(in.contact) <= end_s(out.contact) && begin_s(out.contact) <= end_s(in.contact);
                 });
    }
  }

  // The landing put in that comes last before the take-off, within a time on the ground.
  void landing_for(Kept& unseen) {
    constexpr double longest_s = 0.6;
    Kept* landing = nullptr;
    for (Kept& in : kept_) {
      const double before_s = unseen.contact.takeoff->time_s - begin_s(in.contact);
      if (in.contact.by_hand != hop::HandWork::put_in || before_s <= 0 || before_s > longest_s) continue;
      if (landing == nullptr || begin_s(in.contact) > begin_s(landing->contact)) landing = &in;
    }
    if (landing == nullptr) return;
    if (!landing->contact.takeoff) landing->contact.takeoff = unseen.contact.takeoff;
    unseen.gone = true;
  }

  Outcome in_order() {
    const auto touched = [](const Kept& kept) { return kept.contact.by_hand != hop::HandWork::none; };
    for (std::size_t i = 0; i < kept_.size(); ++i) {
      const hop::Contact& contact = kept_[i].contact;
      if (touched(kept_[i]) && contact.touchdown && contact.takeoff &&
          !(contact.touchdown->time_s < contact.takeoff->time_s)) {
        return wrong(kept_[i].last_touched, "the take-off must come after the touchdown");
      }
      if (i == 0 || (!touched(kept_[i]) && !touched(kept_[i - 1]))) continue;
      if (!(end_s(kept_[i - 1].contact) < begin_s(contact))) {
        return wrong(std::max(kept_[i].last_touched, kept_[i - 1].last_touched),
                     "two times on the ground would overlap");
      }
    }
    return Done{};
  }

  const std::vector<FrameTime>& frames_;
  const Corrections& corrections_;
  std::vector<Kept> kept_;
};

}  // namespace

Result<hop::Contacts> correct_hops(const hop::Contacts& found, const std::vector<FrameTime>& frames,
                                   const Corrections& corrections) {
  auto contacts = Reviewer(found, frames, corrections).corrected();
  if (!contacts) return contacts.error();
  hop::Contacts out = found;
  out.contacts = *std::move(contacts);
  return out;
}

}  // namespace risetrace::review
