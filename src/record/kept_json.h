// What the record holds, as JSON for scripts: models/schema/record-*.schema.json.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "record/kept.h"

namespace risetrace::record {

std::string people_json(const std::vector<Person>& people, const std::vector<Receipt>& receipts);
// `texts`: of documents, by their row; those that are there are put in as JSON, under "json".
std::string sessions_json(const std::string& code, const std::vector<KeptSession>& sessions,
                          const std::map<std::int64_t, std::string>& texts);
std::string receipt_json(const Receipt& receipt, bool swept);
std::string problems_json(const std::vector<Problem>& problems);

}  // namespace risetrace::record
