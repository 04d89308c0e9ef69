// A clip that came takes the place of the one before. What is written in desk.json goes first and says what is to be
// done with the files; so a server that ends in between finds both, and goes on.
#pragma once

#include <filesystem>
#include <string>

#include "serve/draft.h"

namespace risetrace::serve {

// The file that an upload grows in: called by its token, so no two ever share one.
std::filesystem::path part_file(const std::filesystem::path& slot_folder, const std::string& token);
// What lies there of it.
std::uint64_t came(const std::filesystem::path& file);

// In `test`: its upload is whole and becomes the clip. Throws Refusal 404 where `token` is no longer its upload.
void mark_arrived(DraftTest& test, const std::string& token);
// The files of a test whose upload is whole, as they must then be. Done already: nothing. Throws Refusal.
void move_arrived(const std::filesystem::path& slot_folder, const DraftTest& test);

// What a server that was killed left in a store's folder, and in a visit's.
void sweep_store(const std::filesystem::path& folder);
void sweep_visit(const Draft& draft);

inline constexpr const char* corrections_file = "corrections.json";
inline constexpr const char* next_corrections_file = "corrections-next.json";  // becomes it once desk.json is written

}  // namespace risetrace::serve
