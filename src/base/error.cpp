#include "base/error.h"

#include <array>

namespace risetrace {
namespace {

struct FaultRow {
  Fault fault;
  const char* key;
  int exit_status;
  const char* what;
  const char* what_to_do;
};

constexpr std::array fault_table = {
    FaultRow{Fault::option_wrong, "option-wrong", 2, "the command line is wrong", "see risetrace --help"},
    FaultRow{Fault::session_wrong, "session-wrong", 2, "the session is wrong", "see docs/screen.md"},
    FaultRow{Fault::clip_missing, "clip-missing", 3, "the clip cannot be opened",
             "give the path of a video file on this machine"},
    FaultRow{Fault::clip_unreadable, "clip-unreadable", 3, "the clip cannot be read",
             "give an MP4, MOV, MKV, WebM or AVI file as the phone saved it, or convert the clip to MP4 with H.264"},
    FaultRow{Fault::clip_no_picture, "clip-no-picture", 3, "the clip has no picture",
             "give a video file, not a sound file"},
    FaultRow{Fault::clip_no_frames, "clip-no-frames", 3, "the clip has no frames",
             "film again, or copy the file from the phone again"},
    FaultRow{Fault::clip_too_large, "clip-too-large", 3, "the clip's picture is too large", "film at 4K or less"},
    FaultRow{Fault::model_unreadable, "model-unreadable", 70, "a data file of the program cannot be used",
             "install again, or point RISETRACE_MODELS at a whole models folder"},
    FaultRow{Fault::card_not_found, "card-not-found", 4, "no calibration card was found",
             "stand the printed card upright beside the foot (risetrace print card; a mirrored clip shows none); "
             "for a bank card give --card id-1; or give --px-per-cm"},
    FaultRow{Fault::card_doubtful, "card-doubtful", 4, "the calibration card cannot be trusted",
             "show one whole card beside the foot, or give --px-per-cm"},
    FaultRow{Fault::sticker_not_found, "sticker-not-found", 4, "no heel sticker was found",
             "use a round, high-contrast sticker (risetrace print stickers), or give --heel X,Y"},
    FaultRow{Fault::sticker_lost, "sticker-lost", 4, "the heel sticker was lost",
             "keep hands and the other foot from in front of it, or give --heel X,Y"},
    FaultRow{Fault::camera_lost, "camera-lost", 4, "the camera moved too much",
             "stand the phone on a tripod, or hold it so that the whole card stays in view"},
    FaultRow{Fault::no_movement, "no-movement", 4, "no heel raise was seen",
             "film the whole set from the side with the sticker in view"},
    FaultRow{Fault::no_hop, "no-hop", 4, "no hop was seen",
             "film the whole set from the side with the heel's sticker, the foot and the floor under it in view"},
    FaultRow{
        Fault::leg_stickers_missing, "leg-stickers-missing", 4, "the stickers of knee and ankle were not both seen",
        "put one on the outer side of the knee and one on the outer ankle bone, or give --ankle X,Y and --knee-at X,Y"},
    FaultRow{Fault::no_lunge, "no-lunge", 4, "no lunge was seen",
             "film from standing to the farthest point and back, from the side, with both stickers in view"},
    FaultRow{Fault::clip_too_short, "clip-too-short", 4, "the clip is too short", "film the whole set"},
    FaultRow{Fault::cannot_write, "cannot-write", 5, "the result cannot be written",
             "choose another folder with --out"},
    FaultRow{Fault::record_unreadable, "record-unreadable", 3, "the record cannot be read",
             "put back a copy of it, or name another with --record FILE"},
    FaultRow{Fault::record_newer, "record-newer", 3, "the record was written by a newer version",
             "use that version of the program"},
    FaultRow{Fault::record_busy, "record-busy", 5, "the record is in use",
             "close the other program, or try again in a while"},
    FaultRow{Fault::record_damaged, "record-damaged", 4, "the record is damaged",
             "see what risetrace record verify says"},
    FaultRow{Fault::not_in_record, "not-in-record", 4, "the record does not hold it", "see risetrace record list"},
    FaultRow{Fault::already_in_record, "already-in-record", 4, "the record holds it already",
             "see risetrace record show"},
    FaultRow{Fault::archive_unreadable, "archive-unreadable", 3, "the file cannot be imported",
             "give a file as risetrace record export wrote it, or export it again"},
    FaultRow{Fault::passphrase_wrong, "passphrase-wrong", 3, "the passphrase does not fit",
             "try again; the file may also be damaged"},
    FaultRow{Fault::passphrase_missing, "passphrase-missing", 2, "a passphrase is needed",
             "give it with --passphrase-file FILE, or run the command in a terminal"},
    FaultRow{Fault::corrections_wrong, "corrections-wrong", 2, "the corrections cannot be used",
             "see docs/corrections.md"},
    FaultRow{Fault::result_unreadable, "result-unreadable", 3, "the result cannot be read",
             "give the folder that `risetrace measure` wrote, or measure the clip again"},
    FaultRow{Fault::stopped, "stopped", 130, "measuring was stopped", "run the same command again"},
    FaultRow{Fault::defect, "defect", 70, "the program has a defect", "please report it with the command line used"},
};

const FaultRow& row_of(Fault fault) { return fault_table.at(static_cast<std::size_t>(fault)); }

constexpr bool table_in_order() {
  for (std::size_t i = 0; i < fault_table.size(); ++i) {
    if (static_cast<std::size_t>(fault_table[i].fault) != i) return false;
  }
  return true;
}
static_assert(table_in_order(), "fault_table must follow the order of Fault");

// A file name may hold a line feed or an escape sequence; a message is one line and must not steer the terminal.
std::string harmless(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    out += (byte < 0x20 || byte == 0x7f) ? '?' : c;
  }
  return out;
}

}  // namespace

int exit_status(Fault fault) { return row_of(fault).exit_status; }

const char* key_of(Fault fault) { return row_of(fault).key; }

std::string sentence(const Error& error) {
  const FaultRow& row = row_of(error.fault);
  const std::string todo = error.what_to_do.empty() ? row.what_to_do : error.what_to_do;
  return harmless(std::string(row.what) + ": " + error.why + "; " + todo);
}

}  // namespace risetrace
