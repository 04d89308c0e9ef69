#include "record/kept_json.h"

#include <nlohmann/json.hpp>

#include "record/json_parts.h"

namespace risetrace::record {
namespace {

using json = nlohmann::ordered_json;

json receipt_part(const Receipt& receipt) {
  return {{"number", receipt.number},        {"at", receipt.at},
          {"by", or_null(receipt.by)},       {"sessions", receipt.sessions},
          {"documents", receipt.documents},  {"clips", receipt.clips},
          {"clip_bytes", receipt.clip_bytes}};
}

json session_part(const KeptSession& session, const std::map<std::int64_t, std::string>& texts) {
  json out = {{"date", session.date},
              {"revisions", revisions_json(session.revisions)},
              {"documents", json::array()},
              {"clips", json::array()}};
  for (const KeptDocument& one : session.documents) {
    json document = {{"kind", key_of(one.kind)}, {"slot", one.slot},     {"revision", one.revision},
                     {"current", one.current},   {"sha256", one.sha256}, {"bytes", one.bytes}};
    const auto text = texts.find(one.row);
    if (text != texts.end()) document["json"] = json::parse(text->second, nullptr, false);
    out["documents"].push_back(document);
  }
  for (const KeptClip& one : session.clips) {
    out["clips"].push_back({{"slot", one.slot},
                            {"revision", one.revision},
                            {"current", one.current},
                            {"sha256", one.sha256},
                            {"bytes", one.bytes},
                            {"extension", one.extension},
                            {"file", one.file.string()}});
  }
  return out;
}

std::string dumped(const json& document) { return document.dump(2, ' ', false, json::error_handler_t::replace) + "\n"; }

}  // namespace

std::string people_json(const std::vector<Person>& people, const std::vector<Receipt>& receipts) {
  json out = {{"schema", "risetrace/record-list/1"}, {"people", json::array()}, {"erasures", json::array()}};
  for (const Person& one : people) {
    out["people"].push_back(
        {{"code", one.code}, {"sessions", one.sessions}, {"first_date", one.first_date}, {"last_date", one.last_date}});
  }
  for (const Receipt& one : receipts) out["erasures"].push_back(receipt_part(one));
  return dumped(out);
}

std::string sessions_json(const std::string& code, const std::vector<KeptSession>& sessions,
                          const std::map<std::int64_t, std::string>& texts) {
  json out = {{"schema", "risetrace/record-sessions/1"}, {"code", code}, {"sessions", json::array()}};
  for (const KeptSession& one : sessions) out["sessions"].push_back(session_part(one, texts));
  return dumped(out);
}

std::string receipt_json(const Receipt& receipt, bool swept) {
  json out = {{"schema", "risetrace/record-receipt/1"}, {"swept", swept}};
  out.update(receipt_part(receipt));
  return dumped(out);
}

std::string problems_json(const std::vector<Problem>& problems) {
  json out = {{"schema", "risetrace/record-verify/1"}, {"problems", json::array()}};
  for (const Problem& one : problems) {
    out["problems"].push_back({{"code", one.code}, {"text", one.text}, {"mended", one.mended}});
  }
  return dumped(out);
}

}  // namespace risetrace::record
