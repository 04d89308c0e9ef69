#include "visit/session.h"

namespace risetrace::visit {

std::string key_of(const Slot& slot) {
  std::string key = std::string(key_of(slot.test)) + "/" + key_of(slot.side);
  if (slot.knee != Knee::not_stated) key += std::string("/") + key_of(slot.knee);
  return key;
}

const char* key_of(GotBy got_by) {
  switch (got_by) {
    case GotBy::clip:
      return "clip";
    case GotBy::result:
      return "result";
    case GotBy::hand:
      break;
  }
  return "by-hand";
}

}  // namespace risetrace::visit
