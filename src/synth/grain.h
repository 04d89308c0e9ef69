// Sensor noise, lamp flicker, a hunting exposure and rounding: the last step before a frame is stored.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "synth/develop.h"
#include "synth/random.h"
#include "synth/rendered_frame.h"
#include "synth/scene.h"
#include "synth/view.h"

namespace risetrace::synth {

class Grain {
 public:
  // The view must outlive it.
  Grain(const Scene& scene, const View& view);

  // Noise is the same for the same scene seed and `noise_number`; `time_s` is the middle row's instant.
  void store(const FixedPicture& picture, std::uint64_t noise_number, double time_s, int bits,
             std::array<StoredPlane, 3>& out);

 private:
  void store_plane(const FixedPlane& plane, int index, std::uint64_t noise_number, double time_s, int bits,
                   StoredPlane& out);
  // Of a row exposed at `row_time_s` in a frame whose exposure was set for `time_s`.
  void change_light(std::int16_t* row, int width, int index, double row_time_s, double time_s) const;
  void add_noise(std::int16_t* row, int width, int index, Random& random) const;

  const View& view_;
  Scene scene_;
  std::vector<std::int16_t> table_;       // normal numbers, standard deviation 256
  std::array<std::int32_t, 257> gain_{};  // noise at a grey level, in 64ths of a grey level x 256 / sqrt 2
  bool light_changes_;
  bool noisy_;
  bool even_noise_;  // the same at every grey level
  std::vector<std::int16_t> row_;
};

}  // namespace risetrace::synth
