// The closed list of what can go wrong, and what each means to the caller and to the person at the keyboard.
#pragma once

#include <string>

namespace risetrace {

// One entry per failure a caller may want to tell apart. The order is that of `fault_table` in error.cpp.
enum class Fault {
  option_wrong,          // exit 2: the command line, a scene or a settings file asks for something that cannot be
  session_wrong,         // exit 2: a session, a training log or a file it names does not hold what it must
  clip_missing,          // exit 3: no such file, or not a plain local file
  clip_unreadable,       // exit 3: not a clip, or of a kind that is not opened
  clip_no_picture,       // exit 3: no video in it
  clip_no_frames,        // exit 3: a video stream that yields no frame
  clip_too_large,        // exit 3: more pixels than are taken on
  model_unreadable,      // exit 70: a file of models/ is missing or broken
  card_not_found,        // exit 4: no card, so no centimetres
  card_doubtful,         // exit 4: two cards, or one that is cut off
  sticker_not_found,     // exit 4
  sticker_lost,          // exit 4: out of sight for too much of the clip
  camera_lost,           // exit 4: it moved more than can be followed
  no_movement,           // exit 4: nothing that rises and falls
  no_hop,                // exit 4: the foot never left the ground as in a hop
  leg_stickers_missing,  // exit 4: of a lunge: knee and ankle not both seen
  no_lunge,              // exit 4: no shank that leant forward
  clip_too_short,        // exit 4: fewer frames than a movement needs
  cannot_write,          // exit 5
  record_unreadable,     // exit 3: the record's file is damaged, or none
  record_newer,          // exit 3: written by a later version of the program
  record_busy,           // exit 5: another program holds it
  record_damaged,        // exit 4: something in it is not what was saved
  not_in_record,         // exit 4: no such record, person or visit
  already_in_record,     // exit 4: the same visit is kept with other content
  archive_unreadable,    // exit 3: an exported file that is damaged, cut off or none
  passphrase_wrong,      // exit 3
  passphrase_missing,    // exit 2: the file is sealed and no passphrase was given
  corrections_wrong,     // exit 2: a file of corrections does not hold what it must, or does not fit the clip
  result_unreadable,     // exit 3: no folder of a result, or a damaged one
  stopped,               // exit 130: the user stopped it
  defect,                // exit 70: ours
};

struct Error {
  Fault fault = Fault::defect;
  std::string why;         // what was seen, with the values: "tags 0 and 2 were seen, 1 and 3 were not"
  std::string what_to_do;  // empty: the table's own advice
};

// The process exit status promised for this fault (0 is never returned).
int exit_status(Fault fault);

// Its stable name for programs: "sticker-not-found".
const char* key_of(Fault fault);

// "WHAT is wrong: WHY; WHAT TO DO", one line, control characters in `why` made harmless. No program name before it.
std::string sentence(const Error& error);

}  // namespace risetrace
