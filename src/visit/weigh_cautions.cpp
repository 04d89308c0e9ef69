#include "visit/weigh_cautions.h"

#include <algorithm>

namespace risetrace::visit {
namespace {

bool refers(model::CautionMeans means) {
  return means == model::CautionMeans::refer || means == model::CautionMeans::refer_same_day;
}

}  // namespace

CautionVerdict weigh_cautions(const Session& session, const model::Cautions& cautions) {
  using model::CautionMeans;
  CautionVerdict out;
  for (const model::CautionQuestion& question : cautions.questions) {
    const auto answer = session.cautions.find(question.key);
    if (answer == session.cautions.end() || answer->second == Answer::not_asked) {
      out.not_asked.push_back(question.key);
      out.refer_not_asked = out.refer_not_asked || refers(question.means);
      continue;
    }
    if (answer->second == Answer::no) continue;
    out.yes.push_back({question.key, question.means});
    out.same_day = out.same_day || question.means == CautionMeans::refer_same_day;
    out.refer = out.refer || refers(question.means);
    out.no_hops = out.no_hops || question.means == CautionMeans::no_hops;
  }
  std::stable_sort(out.yes.begin(), out.yes.end(),
                   [](const Caution& a, const Caution& b) { return a.means < b.means; });
  for (const TestEntry& entry : session.tests) {
    const Pain& pain = entry.pain;
    int worst = 0;
    for (const auto& said : {pain.before, pain.worst, pain.after}) worst = std::max(worst, said.value_or(0));
    if (worst > cautions.pain_stop.value) out.pain.push_back({key_of(entry.slot), worst});
  }
  return out;
}

}  // namespace risetrace::visit
