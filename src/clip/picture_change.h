// Whether a picture is the one before shown once more, coded anew.
#pragma once

#include <cstdint>
#include <deque>
#include <vector>

#include "clip/frame.h"

namespace risetrace::clip {

// Phones and messengers fill a rate with pictures shown again, and a second coding leaves those a grey level or two
// off. Feed every frame in order.
class PictureChange {
 public:
  // True where far fewer pixels have changed than from picture to picture just before, among pictures in which
  // something moved. A scene that comes to rest at once looks the same: who knows what should be moving decides.
  bool like_last(const Frame& frame);

 private:
  std::vector<std::uint8_t> last_;  // of the pixels looked at
  std::deque<double> changes_;      // of the pictures before that were new: shares of those pixels
};

}  // namespace risetrace::clip
