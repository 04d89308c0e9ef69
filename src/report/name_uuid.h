// Identifiers that follow from what they name: the same name gives the same identifier, anywhere and at any time.
#pragma once

#include <string>

namespace risetrace::report {

// UUID version 5 (RFC 9562, 5.5) of a name within a space, which is itself a UUID as text:
// name_uuid("6ba7b810-9dad-11d1-80b4-00c04fd430c8", "www.example.com") is "2ed6657d-e927-568b-95e1-2665a8aea6a2".
std::string name_uuid(const std::string& space, const std::string& name);

}  // namespace risetrace::report
