#include "serve/slots.h"

#include <algorithm>
#include <array>

namespace risetrace::serve {
namespace {

TestSlot slot(Test test, Side side, Knee knee = Knee::not_stated) {
  std::string key = std::string(key_of(test)) + "/" + key_of(side);
  if (knee != Knee::not_stated) key += std::string("/") + key_of(knee);
  std::string name = key;
  std::replace(name.begin(), name.end(), '/', '-');
  return {name, key, test, side, knee};
}

struct Ending {
  const char* ending;
  const char* mime;
};

constexpr std::array endings = {Ending{"mp4", "video/mp4"},       Ending{"m4v", "video/mp4"},
                                Ending{"mov", "video/quicktime"}, Ending{"mkv", "video/x-matroska"},
                                Ending{"webm", "video/webm"},     Ending{"avi", "video/x-msvideo"},
                                Ending{"3gp", "video/3gpp"}};

template <typename List>
const ServedFile* find_file(const List& files, std::string_view name) {
  const auto found =
      std::find_if(files.begin(), files.end(), [&](const ServedFile& file) { return file.name == name; });
  return found == files.end() ? nullptr : &*found;
}

const TestSlot* find_by(std::string TestSlot::*member, std::string_view text) {
  const auto& slots = all_slots();
  const auto found = std::find_if(slots.begin(), slots.end(), [&](const TestSlot& one) { return one.*member == text; });
  return found == slots.end() ? nullptr : &*found;
}

}  // namespace

const std::vector<TestSlot>& all_slots() {
  static const std::vector<TestSlot> slots = {
      slot(Test::lunge, Side::left),
      slot(Test::lunge, Side::right),
      slot(Test::heel_raise, Side::left, Knee::straight),
      slot(Test::heel_raise, Side::right, Knee::straight),
      slot(Test::heel_raise, Side::left, Knee::bent),
      slot(Test::heel_raise, Side::right, Knee::bent),
      slot(Test::hop, Side::both),
      slot(Test::hop, Side::left),
      slot(Test::hop, Side::right),
  };
  return slots;
}

const TestSlot* find_slot(std::string_view name) { return find_by(&TestSlot::name, name); }
const TestSlot* find_slot_by_key(std::string_view key) { return find_by(&TestSlot::key, key); }

const ServedFile* find_result_file(std::string_view name) {
  static const std::array files = {
      ServedFile{"result.json", "application/json"}, ServedFile{"trace.csv", "text/csv"},
      ServedFile{"report.pdf", "application/pdf"},   ServedFile{"overlay.mp4", "video/mp4"},
      ServedFile{"frames.mp4", "video/mp4"},         ServedFile{"foot.mp4", "video/mp4"},
      ServedFile{"frames.json", "application/json"}};
  return find_file(files, name);
}

const ServedFile* find_screen_file(std::string_view name) {
  static const std::array files = {
      ServedFile{"screen.json", "application/json"}, ServedFile{"clinician.pdf", "application/pdf"},
      ServedFile{"runner.pdf", "application/pdf"},   ServedFile{"values.csv", "text/csv"},
      ServedFile{"comparison.csv", "text/csv"},      ServedFile{"fhir.json", "application/json"}};
  return find_file(files, name);
}

std::string clip_file_for(std::string_view given_name) {
  const auto dot = given_name.rfind('.');
  std::string ending(dot == std::string_view::npos ? "" : given_name.substr(dot + 1));
  for (char& c : ending) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  for (const Ending& known : endings) {
    if (ending == known.ending) return std::string("clip.") + known.ending;
  }
  return "clip.bin";
}

std::string mime_of_clip(std::string_view clip_file) {
  for (const Ending& known : endings) {
    if (clip_file == std::string("clip.") + known.ending) return known.mime;
  }
  return "application/octet-stream";
}

std::string shown_name(std::string_view given_name) {
  const auto slash = given_name.find_last_of("/\\");
  if (slash != std::string_view::npos) given_name.remove_prefix(slash + 1);
  std::string out;
  for (const char c : given_name) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x20 && byte != 0x7f) out += c;
  }
  constexpr std::size_t longest = 120;
  if (out.size() > longest) {
    std::size_t cut = longest;
    while (cut > 0 && (static_cast<unsigned char>(out[cut]) & 0xC0U) == 0x80U) --cut;  // no letter is cut in two
    out.resize(cut);
  }
  return out;
}

}  // namespace risetrace::serve
