// The calibration card and a sheet of stickers at true size, one page each.
#pragma once

#include <filesystem>

#include "base/result.h"
#include "model/card.h"
#include "model/sticker.h"

namespace risetrace::report {

enum class Paper { a4, letter };  // ISO 216: 210 x 297 mm; US Letter: 215.9 x 279.4 mm

// Fault cannot_write.
Outcome write_card_pdf(const std::filesystem::path& file, const model::Cards& cards, Paper paper);
Outcome write_stickers_pdf(const std::filesystem::path& file, const model::Stickers& stickers, Paper paper);

}  // namespace risetrace::report
