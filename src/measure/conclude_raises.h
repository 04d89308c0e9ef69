// What is made of a set of heel raises once its last frame was seen, of a file or of a camera.
#pragma once

#include "base/result.h"
#include "measure/measurement.h"
#include "measure/read_through.h"
#include "model/card.h"
#include "sticker/track_sticker.h"

namespace risetrace::measure {

// `measurement` has its clip, asked and beats. Fills all else that heel raises have, the notes last. Faults:
// clip_too_short, those of scale/ and sticker/, sticker_lost, camera_lost, no_movement.
Outcome conclude_raises(Measurement& measurement, Steps<sticker::StickerTracker>& steps, const model::Cards& cards);

}  // namespace risetrace::measure
