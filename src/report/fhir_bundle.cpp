#include "report/fhir_bundle.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "report/fhir_parts.h"
#include "report/json_number.h"
#include "report/name_uuid.h"
#include "report/screen_json.h"
#include "report/screen_keys.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using Json = nlohmann::ordered_json;

// The space of all our identifiers. It stays: other programs may hold codes by it.
constexpr const char* our_space = "5268cda5-cb9c-4480-a54a-78e92a0d407e";

std::string urn(const std::string& uuid) { return "urn:uuid:" + uuid; }

Json patient(const FhirContext& context) {
  const visit::Person& person = context.screen.session.person;
  Json out = {{"resourceType", "Patient"}, {"id", context.id(patient_name)}};
  // No system: the code means something only to those who gave it, and two places may give the same.
  out["identifier"] = {{{"use", "secondary"}, {"type", {{"text", "pseudonym"}}}, {"value", person.code}}};
  if (person.sex == visit::Sex::female) out["gender"] = "female";
  if (person.sex == visit::Sex::male) out["gender"] = "male";
  if (person.sex == visit::Sex::other) out["gender"] = "other";
  if (person.birth_year) out["birthDate"] = std::to_string(*person.birth_year);
  return out;
}

Json device(const FhirContext& context, const std::string& version) {
  return {{"resourceType", "Device"},
          {"id", context.id(device_name(version))},
          {"language", context.words.language},
          {"status", "active"},
          {"deviceName", {{{"name", "risetrace"}, {"type", "user-friendly-name"}}}},
          {"type", {{"text", "software"}}},
          {"version", {{{"value", version}}}},
          {"note", {{{"text", context.words.say("device")}}}}};
}

// This program's version first, then each other that measured a clip.
std::vector<std::string> versions_of(const visit::Screen& screen, const std::string& program_version) {
  std::vector<std::string> versions = {program_version};
  for (const visit::TestResult& result : screen.results) {
    const std::string& version = result.program_version;
    const bool seen = std::find(versions.begin(), versions.end(), version) != versions.end();
    if (!version.empty() && !seen) versions.push_back(version);
  }
  return versions;
}

void add_sentence(std::string& text, const std::string& sentence) {
  if (!text.empty()) text += " ";
  text += sentence;
}

std::string cautions_in_words(const FhirContext& context) {
  const model::Wording& words = context.words;
  const visit::CautionVerdict& cautions = context.screen.cautions;
  std::string text;
  for (const visit::Caution& yes : cautions.yes) {
    add_sentence(text, words.say("caution.yes", {{"question", words.say("caution." + yes.key + ".question")}}));
    add_sentence(text, words.say("caution." + yes.key + ".action"));
  }
  std::string names;
  for (const std::string& key : cautions.not_asked) {
    names += (names.empty() ? "" : ", ") + words.say("caution." + key + ".name");
  }
  if (!names.empty()) add_sentence(text, words.say("caution.not-asked", {{"names", names}}));
  if (!cautions.pain.empty()) add_sentence(text, words.say("no-plan.pain"));
  return text;
}

std::string title_of(const FhirContext& context, const visit::Finding& finding) {
  const std::string on = context.words.say("on." + std::string(key_of(finding.side)));
  return context.words.say("finding." + finding.key + ".title", {{"on", on}});
}

std::string conclusion(const FhirContext& context) {
  const model::Wording& words = context.words;
  std::string text = cautions_in_words(context);
  for (const visit::Finding& finding : context.screen.reading.findings) {
    const std::string sureness = words.say("sureness." + std::string(key_of(finding.sureness)));
    const std::string on = words.say("on." + std::string(key_of(finding.side)));
    add_sentence(text, title_of(context, finding) + " (" + sureness + ").");
    add_sentence(text, words.say("finding." + finding.key + ".text", {{"on", on}}));
  }
  if (context.screen.reading.findings.empty()) add_sentence(text, words.say("findings.none"));
  add_sentence(text, words.say("device"));
  return text;
}

Json report(const FhirContext& context, const std::vector<Json>& numbers) {
  Json out = {{"resourceType", "DiagnosticReport"}, {"id", context.id("report")}};
  out["language"] = context.words.language;
  out["status"] = "preliminary";
  out["code"] = {{"text", context.words.say("title")}};
  out["subject"] = reference_to(context, patient_name);
  out["effectiveDateTime"] = context.screen.session.date;
  for (const Json& one : numbers) out["result"].push_back({{"reference", urn(one["id"])}});
  out["conclusion"] = conclusion(context);
  for (const visit::Finding& finding : context.screen.reading.findings) {
    out["conclusionCode"].push_back(concept_of("finding", finding.key, title_of(context, finding)));
  }
  return out;
}

}  // namespace

std::string FhirContext::id(const std::string& name) const { return name_uuid(space, name); }

std::string code_system(const std::string& name) {
  return name.starts_with("http") ? name : urn(name_uuid(our_space, name));
}

Json concept_of(const std::string& system, const std::string& code, const std::string& text) {
  Json out = {{"coding", {{{"system", code_system(system)}, {"code", code}}}}};
  if (!text.empty()) out["text"] = text;
  return out;
}

Json reference_to(const FhirContext& context, const std::string& name) {
  return {{"reference", urn(context.id(name))}};
}

std::string device_name(const std::string& program_version) { return "device/" + program_version; }

std::string fhir_bundle(const visit::Screen& screen, const model::Wording& words, const std::string& program_version) {
  const std::string space = name_uuid(our_space, words.language + screen_json(screen, program_version));
  const FhirContext context{screen, words, space};
  const std::vector<Json> numbers = observations(context);
  std::vector<Json> resources = {report(context, numbers), patient(context)};
  for (const std::string& version : versions_of(screen, program_version)) resources.push_back(device(context, version));
  resources.insert(resources.end(), numbers.begin(), numbers.end());
  Json bundle = {{"resourceType", "Bundle"}, {"id", space}, {"type", "collection"}};
  for (const Json& resource : resources) {
    bundle["entry"].push_back({{"fullUrl", urn(resource["id"])}, {"resource", resource}});
  }
  return bundle.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace risetrace::report
