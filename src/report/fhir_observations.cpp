#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/rounded.h"
#include "report/fhir_parts.h"
#include "report/json_number.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* ucum = "http://unitsofmeasure.org";
constexpr const char* snomed_ct = "http://snomed.info/sct";
// HL7's own extension of a Quantity: the standard deviation of the value.
constexpr const char* uncertainty_extension = "http://hl7.org/fhir/StructureDefinition/iso21090-uncertainty";
constexpr int more_decimals = 2;  // than are shown to people

struct Site {
  const char* code;
  const char* display;
};

Site site_of(Side side) {
  if (side == Side::left) return {"32153003", "Structure of left lower limb"};
  if (side == Side::right) return {"62175007", "Structure of right lower limb"};
  return {"61685007", "Lower limb structure"};
}

Json body_site(const FhirContext& context, Side side) {
  const Site site = site_of(side);
  return {{"coding", {{{"system", snomed_ct}, {"code", site.code}, {"display", site.display}}}},
          {"text", context.words.say("side." + std::string(key_of(side)))}};
}

// A decimal says how sure it is by its digits: a count has none after the point.
Json decimal(double value, int decimals) {
  Json rounded = number(value, decimals + more_decimals);
  if (decimals > 0 || rounded.is_null() || rounded.get<double>() != std::floor(rounded.get<double>())) return rounded;
  return static_cast<std::int64_t>(rounded.get<double>());
}

Json quantity(const FhirContext& context, const std::string& key, const visit::Value& value) {
  const model::Quantity* known = context.screen.models.norms.quantity(key);
  const int decimals = known == nullptr ? 4 : known->decimals;
  Json out = Json::object();
  if (value.u && std::isfinite(*value.u)) {
    out["extension"] = {{{"url", uncertainty_extension}, {"valueDecimal", number(*value.u, decimals + more_decimals)}}};
  }
  out["value"] = decimal(value.value, decimals);
  if (known == nullptr) return out;  // its key ends with the unit, and is the code's text
  out["unit"] = known->unit.empty() ? known->ucum : known->unit;
  out["system"] = ucum;
  out["code"] = known->ucum;
  return out;
}

std::string form_in_words(const FhirContext& context, const visit::Slot& slot, const visit::BeatValues* beat) {
  if (slot.test == Test::hop && beat != nullptr) {
    return context.words.say("slot.hop-at", {{"beat", context.words.number(beat->beat_bpm, 0)}});
  }
  if (slot.test != Test::heel_raise) return context.words.say("slot." + std::string(key_of(slot.test)));
  return context.words.say("slot.heel-raise-" + std::string(key_of(slot.knee)));
}

// How it was tested, for programs: what tells two numbers of one quantity apart stands in components.
class Form {
 public:
  void words(const char* key, const std::string& value) {
    if (!value.empty()) components_.push_back({{"code", code(key)}, {"valueString", value}});
  }
  void share(const char* key, std::optional<double> value) {
    if (value && std::isfinite(*value)) add(key, {{"value", number(*value, 4)}});
  }
  void per_minute(const char* key, std::optional<double> value) { with_unit(key, value, "/min"); }
  void degrees(const char* key, std::optional<double> value) { with_unit(key, value, "deg"); }
  void flag(const char* key, bool value) { components_.push_back({{"code", code(key)}, {"valueBoolean", value}}); }
  void whole(const char* key, std::optional<int> value) {
    if (value) components_.push_back({{"code", code(key)}, {"valueInteger", *value}});
  }
  [[nodiscard]] const Json& components() const { return components_; }

 private:
  static Json code(const std::string& key) {
    std::string text = key;
    std::replace(text.begin(), text.end(), '-', ' ');
    return concept_of("form", key, text);
  }
  void add(const char* key, const Json& value) {
    components_.push_back({{"code", code(key)}, {"valueQuantity", value}});
  }
  void with_unit(const char* key, std::optional<double> value, const char* unit) {
    if (!value || !std::isfinite(*value)) return;
    add(key, {{"value", decimal(*value, 0)}, {"unit", unit}, {"system", ucum}, {"code", unit}});
  }

  Json components_ = Json::array();
};

// Only words of a fixed list go out: a marker may be typed in freely.
std::string marker_of(const visit::TestResult& result) {
  return result.marker == "heel" || result.marker == "malleolus" ? result.marker : "";
}

Form form_of(const visit::TestResult& result, const visit::BeatValues* beat) {
  Form form;
  if (result.slot.knee != Knee::not_stated) form.words("knee", key_of(result.slot.knee));
  form.per_minute("asked-beat", result.asked_bpm);
  if (beat != nullptr) form.per_minute("beat", beat->beat_bpm);
  if (beat != nullptr) form.flag("beat-kept", beat->kept);
  form.share("end-fraction", result.end_fraction);
  form.words("set-end", result.set_end.value_or(""));
  form.words("marker", marker_of(result));
  form.degrees("incline", result.incline_deg);
  form.words("scale", result.scale_from);
  return form;
}

// The same in a sentence, for people.
std::string note_of(const FhirContext& context, const visit::TestResult& result) {
  const model::Wording& words = context.words;
  std::string text = words.say("got." + std::string(key_of(result.got_by)));
  const auto add = [&](const std::string& more) { text += "; " + more; };
  if (!result.scale_from.empty()) add(words.say("got.scale", {{"scale", words.say("scale." + result.scale_from)}}));
  if (result.incline_deg) add(words.say("got.incline", {{"value", words.number(*result.incline_deg, 0)}}));
  if (result.asked_bpm) add(words.say("got.asked", {{"value", words.number(*result.asked_bpm, 0)}}));
  if (result.end_fraction) {
    add(words.say("got.end-fraction", {{"value", words.number(100.0 * *result.end_fraction, 0)}}));
  }
  return text;
}

Json category() { return concept_of("http://terminology.hl7.org/CodeSystem/observation-category", "exam", ""); }

// Everything but the value.
Json observation(const FhirContext& context, const std::string& name) {
  Json out = {{"resourceType", "Observation"}, {"id", context.id(name)}, {"language", context.words.language}};
  out["status"] = "preliminary";
  out["category"] = Json::array({category()});
  out["code"] = nullptr;  // its place
  out["subject"] = reference_to(context, patient_name);
  out["effectiveDateTime"] = context.screen.session.date;
  return out;
}

void add_how(const FhirContext& context, const visit::TestResult& result, Json& out) {
  out["note"] = {{{"text", note_of(context, result)}}};
  out["bodySite"] = body_site(context, result.slot.side);
  const std::string got_by = key_of(result.got_by);
  out["method"] = concept_of("got-by", got_by, context.words.say("got." + got_by));
  const bool by_program = result.got_by != visit::GotBy::hand && !result.program_version.empty();
  if (by_program) out["device"] = reference_to(context, device_name(result.program_version));
}

Json number_observation(const FhirContext& context, const visit::TestResult& result, const visit::BeatValues* beat,
                        const std::string& key, const visit::Value& value) {
  std::string name = key_of(result.slot) + "/" + key;
  if (beat != nullptr) name += "/" + rounded(beat->beat_bpm, 4);
  Json out = observation(context, name);
  const bool known = context.screen.models.norms.quantity(key) != nullptr;
  const std::string text = known ? context.words.say("quantity." + key) : key;
  out["code"] = concept_of("quantity", key, form_in_words(context, result.slot, beat) + ": " + text);
  out["valueQuantity"] = quantity(context, key, value);
  add_how(context, result, out);
  const Form form = form_of(result, beat);
  if (!form.components().empty()) out["component"] = form.components();
  return out;
}

void add_numbers(const FhirContext& context, const visit::TestResult& result, const visit::BeatValues* beat,
                 const visit::Values& values, std::vector<Json>& out) {
  for (const auto& [key, value] : values) {
    if (std::isfinite(value.value)) out.push_back(number_observation(context, result, beat, key, value));
  }
}

void add_pain(const FhirContext& context, const visit::TestResult& result, std::vector<Json>& out) {
  if (!result.pain.before && !result.pain.worst && !result.pain.after) return;
  Json one = observation(context, key_of(result.slot) + "/pain");
  one["code"] =
      concept_of("form", "pain", form_in_words(context, result.slot, nullptr) + ": " + context.words.say("pain.scale"));
  one["bodySite"] = body_site(context, result.slot.side);
  Form form;
  form.whole("pain-before", result.pain.before);
  form.whole("pain-worst", result.pain.worst);
  form.whole("pain-after", result.pain.after);
  one["component"] = form.components();
  out.push_back(one);
}

}  // namespace

std::vector<Json> observations(const FhirContext& context) {
  std::vector<Json> out;
  for (const visit::TestResult& result : context.screen.results) {
    add_numbers(context, result, nullptr, result.values, out);
    for (const visit::BeatValues& beat : result.beats) add_numbers(context, result, &beat, beat.values, out);
    add_pain(context, result, out);
  }
  return out;
}

}  // namespace risetrace::report
