#include "model/read_visit_models.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/read_file.h"
#include "model/fields.h"
#include "model/form_fields.h"
#include "model/read_training_rules.h"
#include "model/sourced_fields.h"

namespace risetrace::model {
namespace {

using nlohmann::json;
namespace fs = std::filesystem;

std::optional<Knee> knee_if_stated(Fields& in) {
  if (!in.has("knee")) return std::nullopt;
  Knee knee = Knee::straight;
  read_knee(in, "knee", knee);
  return knee;
}

// A quantity named elsewhere must be one of quantities.json.
std::string read_quantity_key(Fields& in, const Norms& norms) {
  std::string key;
  in.need("quantity");
  in.text("quantity", key);
  if (!key.empty() && norms.quantity(key) == nullptr) in.complain("quantity", "is not one of quantities.json");
  return key;
}

void read_quantities(Fields& in, Norms& norms) {
  in.list("quantities", [&](Fields& item) {
    Quantity q;
    item.need("key");
    item.text("key", q.key);
    read_test(item, "test", q.test);
    item.text("unit", q.unit);
    item.text("ucum", q.ucum);
    item.integer("decimals", q.decimals, 0, 6);
    item.choice<Better>("better", q.better,
                        {{"more", Better::more}, {"less", Better::less}, {"neither", Better::neither}});
    item.flag("equal_beat", q.equal_beat);
    if (const json* range = item.raw("by_hand"); range != nullptr) {
      q.by_hand = range->is_array() && range->size() == 2 && (*range)[0].is_number() && (*range)[1].is_number();
      if (!q.by_hand) return item.complain("by_hand", "must be a list of the least and the greatest");
      q.hand_least = (*range)[0];
      q.hand_greatest = (*range)[1];
    }
    if (norms.quantity(q.key) != nullptr) item.complain("key", "stands there twice");
    norms.quantities.push_back(q);
  });
}

void read_comparison(Fields& in, Norms& norms) {
  norms.coverage_factor = read_sourced(in, "coverage_factor", 1, 4).value;
  norms.equal_beat_pct = read_sourced(in, "equal_beat_pct", 0, 20).value;
  in.list("retest_noise", [&](Fields& item) {
    RetestNoise noise;
    noise.quantity = read_quantity_key(item, norms);
    item.flag("relative", noise.relative);
    noise.optimistic = read_sourced(item, "optimistic", 0, 1e6);
    noise.cautious = read_sourced(item, "cautious", 0, 1e6);
    if (noise.cautious.value < noise.optimistic.value) item.complain("cautious", "is less than optimistic");
    norms.retest_noise.push_back(noise);
  });
  in.list("cut_offs", [&](Fields& item) {
    CutOff cut;
    cut.quantity = read_quantity_key(item, norms);
    item.choice<CutOffKind>("kind", cut.kind,
                            {{"difference", CutOffKind::difference}, {"index_pct", CutOffKind::index_pct}});
    cut.limit = read_sourced_value(item, 0, 1e6);
    norms.cut_offs.push_back(cut);
  });
}

void read_form(Fields& in, TestForm& form) {
  in.number("incline_deg", form.incline_deg, 0, 45);
  in.text("marker", form.marker);
  in.number("reps_per_min", form.reps_per_min, 1, 200);
}

void read_reference(Fields& in, Norms& norms) {
  Reference ref;
  in.need("key");
  in.text("key", ref.key);
  ref.quantity = read_quantity_key(in, norms);
  if (in.has("side")) read_side(in, "side", ref.side);
  ref.knee = knee_if_stated(in);
  ref.sex = "any";
  in.text("sex", ref.sex);
  if (ref.sex != "any" && ref.sex != "female" && ref.sex != "male") in.complain("sex", "must be any, female or male");
  in.text("population", ref.population);
  in.integer("n", ref.n, 1, 10000000);
  in.text("statistic", ref.statistic);
  in.number("value", ref.value, 0, 1e6);
  in.number("sd", ref.sd, 0, 1e6);
  in.number("low", ref.low, 0, 1e6);
  in.number("high", ref.high, 0, 1e6);
  if (!ref.value && !(ref.low && ref.high)) in.complain("value", "is missing, and so are low and high");
  in.part("form", [&](Fields& form) { read_form(form, ref.form); });
  const Sourced named = read_mark_and_source(in);
  ref.mark = named.mark;
  ref.source = named.source;
  norms.references.push_back(ref);
}

void read_cautions(Fields& in, Cautions& cautions) {
  cautions.pain_stop = read_sourced(in, "pain_stop", 0, 10);
  in.list("questions", [&](Fields& item) {
    CautionQuestion question;
    item.need("key");
    item.text("key", question.key);
    item.need("means");
    item.choice<CautionMeans>("means", question.means,
                              {{"refer-same-day", CautionMeans::refer_same_day},
                               {"refer", CautionMeans::refer},
                               {"no-hops", CautionMeans::no_hops},
                               {"care", CautionMeans::care}});
    const Sourced named = read_mark_and_source(item);
    question.mark = named.mark;
    question.source = named.source;
    cautions.questions.push_back(question);
  });
  if (cautions.questions.empty()) in.complain("questions", "holds none: a visit begins with them");
}

void read_watch(Fields& in, const Norms& norms, Sign& sign) {
  Watch watch;
  watch.quantity = read_quantity_key(in, norms);
  watch.knee = knee_if_stated(in);
  in.flag("both_legs", watch.both_legs);
  in.need("against");
  in.choice<Against>("against", watch.against,
                     {{"other-side", Against::other_side},
                      {"other-knee", Against::other_knee},
                      {"least", Against::least},
                      {"greatest", Against::greatest}});
  in.choice<Sureness>("at_most", watch.at_most,
                      {{"doubtful", Sureness::doubtful}, {"likely", Sureness::likely}, {"sure", Sureness::sure}});
  if (watch.against == Against::least || watch.against == Against::greatest) {
    in.need("value");
    watch.limit = read_sourced_value(in, 0, 1e6);
  }
  sign.watches.push_back(watch);
}

void read_sign(Fields& in, const Norms& norms, ReadingRules& reading) {
  Sign sign;
  in.need("key");
  in.text("key", sign.key);
  in.list("watches", [&](Fields& item) { read_watch(item, norms, sign); });
  std::vector<std::string> parts;
  if (in.has("made_of")) in.text_list("made_of", parts);
  for (const std::string& part : parts) {
    const auto found =
        std::find_if(reading.signs.begin(), reading.signs.end(), [&](const Sign& other) { return other.key == part; });
    if (found == reading.signs.end())
      return in.complain("made_of", "names " + part + ", which does not stand before it");
    sign.watches.insert(sign.watches.end(), found->watches.begin(), found->watches.end());
  }
  reading.signs.push_back(sign);
}

void read_rule(Fields& in, const TrainingRules& training, ReadingRules& reading) {
  Rule rule;
  in.need("finding");
  in.text("finding", rule.finding);
  if (const json* when = in.raw("when"); when != nullptr && when->is_object() && !when->empty()) {
    for (const auto& [sign, state] : when->items()) {
      const auto same = [&, &key = sign](const Sign& one) { return one.key == key; };
      if (std::none_of(reading.signs.begin(), reading.signs.end(), same)) {
        return in.complain("when", "names " + sign + ", which is not a sign");
      }
      const std::string word = state.is_string() ? state.get<std::string>() : "";
      if (word != "low" && word != "good" && word != "unknown") {
        return in.complain("when", "must say low, good or unknown of " + sign);
      }
      rule.when[sign] = word == "low" ? SignState::low : word == "good" ? SignState::good : SignState::unknown;
    }
  } else {
    in.complain("when", "must say of one sign or more whether it is low, good or unknown");
  }
  if (in.has("could_also_be")) in.text_list("could_also_be", rule.could_also_be);
  if (in.has("ladders")) in.text_list("ladders", rule.ladders);
  for (const std::string& key : rule.ladders) {
    if (training.ladder(key) == nullptr) in.complain("ladders", "names " + key + ", which is not in ladders.json");
  }
  in.flag("ankle_first", rule.ankle_first);
  const Sourced named = read_mark_and_source(in);
  rule.mark = named.mark;
  rule.source = named.source;
  reading.rules.push_back(rule);
}

void read_reading(Fields& in, const VisitModels& models, ReadingRules& reading) {
  in.list("signs", [&](Fields& item) { read_sign(item, models.norms, reading); });
  in.list("rules", [&](Fields& item) { read_rule(item, models.training, reading); });
}

// One file: ours, or the user's own where there is one.
class Reader {
 public:
  Reader(const fs::path& folder, const std::optional<fs::path>& own, std::vector<UsedFile>& used)
      : folder_(folder), own_(own), used_(used) {}

  template <typename Read>
  Outcome operator()(const std::string& name, const std::string& schema, Read read) {
    std::error_code ignored;
    const bool own = own_ && fs::exists(*own_ / name, ignored);
    used_.push_back({name, own});
    const fs::path file = (own ? *own_ : folder_) / name;
    const Fault fault = own ? Fault::option_wrong : Fault::model_unreadable;
    const std::string cure = own ? "put it right, or take it out of the folder: ours is then used" : "";
    const auto text = read_file(file, most_document_bytes);
    if (!text) return Error{fault, file.string() + ": cannot be opened", cure};
    const json parsed = json::parse(*text, nullptr, false);
    if (parsed.is_discarded()) return Error{fault, file.string() + ": is not JSON", cure};
    Complaint complaint{name, ""};
    {
      Fields fields(parsed, "", complaint);
      std::string its_schema;
      std::string given;
      fields.text("$schema", its_schema);
      fields.text("schema", given);
      if (given != schema) fields.complain("schema", "must be \"" + schema + "\"");
      read(fields);
    }
    if (!complaint.text.empty()) return Error{fault, file.string() + ": " + complaint.text, cure};
    return Done{};
  }

 private:
  const fs::path& folder_;
  const std::optional<fs::path>& own_;
  std::vector<UsedFile>& used_;
};

}  // namespace

Result<VisitModels> read_visit_models(const fs::path& folder, const std::optional<fs::path>& own) {
  VisitModels models;
  std::error_code ignored;
  if (own && !fs::is_directory(*own, ignored)) {
    return Error{Fault::option_wrong, own->string() + " is not a folder", "give the folder with your own files"};
  }
  Reader read(folder, own, models.used);
  Outcome done =
      read("quantities.json", "risetrace/quantities/1", [&](Fields& in) { read_quantities(in, models.norms); });
  if (done) {
    done = read("comparison.json", "risetrace/comparison/1", [&](Fields& in) { read_comparison(in, models.norms); });
  }
  if (done) {
    done = read("references.json", "risetrace/references/1",
                [&](Fields& in) { in.list("references", [&](Fields& item) { read_reference(item, models.norms); }); });
  }
  if (done)
    done = read("cautions.json", "risetrace/cautions/1", [&](Fields& in) { read_cautions(in, models.cautions); });
  if (done) {
    done = read("ladders.json", "risetrace/ladders/1", [&](Fields& in) { read_training_rules(in, models.training); });
  }
  if (done) {
    done = read("reading.json", "risetrace/reading/1", [&](Fields& in) { read_reading(in, models, models.reading); });
  }
  if (!done) return done.error();
  if (own && std::none_of(models.used.begin(), models.used.end(), [](const UsedFile& file) { return file.own; })) {
    return Error{Fault::option_wrong, own->string() + " holds none of the files that may stand in place of ours",
                 "name them as ours are named: comparison.json, references.json, cautions.json, ..."};
  }
  return models;
}

}  // namespace risetrace::model
