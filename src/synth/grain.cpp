#include "synth/grain.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace risetrace::synth {
namespace {

constexpr std::uint64_t purpose_table = 3;
constexpr std::uint64_t purpose_rows = 4;
constexpr std::size_t table_length = std::size_t{1} << 17U;
constexpr int fixed_per_grey = 64;
constexpr double display_power = 1.0 / 2.2;

}  // namespace

Grain::Grain(const Scene& scene, const View& view)
    : view_(view),
      scene_(scene),
      light_changes_(scene.light.flicker_depth > 0.0 || scene.light.hunting_depth > 0.0),
      noisy_(scene.camera.noise_grey > 0.0 || scene.camera.noise_per_grey > 0.0),
      even_noise_(scene.camera.noise_per_grey == 0.0),
      row_(static_cast<std::size_t>(view.stored_width())) {
  if (!noisy_) return;
  Random random(mixed_seed(scene.seed, purpose_table));
  table_.resize(table_length + row_.size());
  for (std::int16_t& value : table_) value = static_cast<std::int16_t>(std::lround(256.0 * random.normal()));
  for (std::size_t grey = 0; grey < gain_.size(); ++grey) {
    const Camera& camera = scene.camera;
    const double variance = camera.noise_grey * camera.noise_grey + camera.noise_per_grey * static_cast<double>(grey);
    gain_[grey] = static_cast<std::int32_t>(std::lround(std::sqrt(variance / 2) * fixed_per_grey * 256.0));
  }
}

// The lamp's light is 1 + depth sin(2 pi f t), averaged over the row's exposure; the camera's gain is the same for all
// rows of a frame. A power law turns a factor on light into a factor on what is shown.
void Grain::change_light(std::int16_t* row, int width, int index, double row_time_s, double time_s) const {
  const double half_turn = std::numbers::pi * scene_.light.flicker_hz * scene_.camera.exposure_s;
  const double average = half_turn > 0 ? std::sin(half_turn) / half_turn : 1.0;
  const double phase = 2 * std::numbers::pi * scene_.light.flicker_hz * row_time_s;
  const double lamp = std::max(0.0, 1.0 + scene_.light.flicker_depth * average * std::sin(phase));
  const double hunting = 2 * std::numbers::pi * scene_.light.hunting_hz * time_s;
  const double light = lamp * (1.0 + scene_.light.hunting_depth * std::sin(hunting));
  const auto factor = static_cast<float>(scene_.camera.gamma ? std::pow(light, display_power) : light);
  const float zero = (index > 0 ? 128.0F : (scene_.file.full_range ? 0.0F : 16.0F)) * fixed_per_grey;
  for (int x = 0; x < width; ++x) {
    const float value = zero + (static_cast<float>(row[x]) - zero) * factor;
    row[x] = static_cast<std::int16_t>(std::clamp(value, 0.0F, 32000.0F));
  }
}

// The sum of two stretches of the table at random places: rows seldom share either, almost never both.
// Colour differences get half the luma's noise.
void Grain::add_noise(std::int16_t* row, int width, int index, Random& random) const {
  const std::int16_t* a = table_.data() + random.next() % table_length;
  const std::int16_t* b = table_.data() + random.next() % table_length;
  const int shift = index > 0 ? 17 : 16;
  const std::int32_t half = 1 << (shift - 1);
  if (even_noise_ || index > 0) {
    const std::int32_t gain = gain_[index > 0 ? 128 : 0];
    for (int x = 0; x < width; ++x) {
      row[x] = static_cast<std::int16_t>(row[x] + (((a[x] + b[x]) * gain + half) >> shift));
    }
    return;
  }
  for (int x = 0; x < width; ++x) {
    const std::int32_t gain = gain_[static_cast<std::size_t>(std::clamp(row[x] / fixed_per_grey, 0, 256))];
    row[x] = static_cast<std::int16_t>(row[x] + (((a[x] + b[x]) * gain + half) >> shift));
  }
}

void Grain::store_plane(const FixedPlane& plane, int index, std::uint64_t noise_number, double time_s, int bits,
                        StoredPlane& out) {
  out.width = plane.width;
  out.height = plane.height;
  const auto width = static_cast<std::size_t>(plane.width);
  out.bytes.resize(width * static_cast<std::size_t>(plane.height) * (bits > 8 ? 2 : 1));
  Random random(mixed_seed(scene_.seed, purpose_rows, noise_number, static_cast<std::uint64_t>(index)));
  for (int y = 0; y < plane.height; ++y) {
    std::copy_n(plane.row(y), plane.width, row_.data());
    const double luma_row = index > 0 ? 2.0 * y + 0.5 : y;
    if (light_changes_) change_light(row_.data(), plane.width, index, time_s + view_.row_delay_s(luma_row), time_s);
    if (noisy_) add_noise(row_.data(), plane.width, index, random);
    std::uint8_t* to = out.bytes.data() + static_cast<std::size_t>(y) * width * (bits > 8 ? 2 : 1);
    if (bits == 8) {
      for (std::size_t x = 0; x < width; ++x)
        to[x] = static_cast<std::uint8_t>(std::clamp((row_[x] + 32) >> 6, 0, 255));
    } else {
      for (std::size_t x = 0; x < width; ++x) {
        const int value = std::clamp((row_[x] + 8) >> 4, 0, 1023);
        to[2 * x] = static_cast<std::uint8_t>(value & 0xff);
        to[2 * x + 1] = static_cast<std::uint8_t>(value >> 8);
      }
    }
  }
}

void Grain::store(const FixedPicture& picture, std::uint64_t noise_number, double time_s, int bits,
                  std::array<StoredPlane, 3>& out) {
  store_plane(picture.luma, 0, noise_number, time_s, bits, out[0]);
  store_plane(picture.cb, 1, noise_number, time_s, bits, out[1]);
  store_plane(picture.cr, 2, noise_number, time_s, bits, out[2]);
}

}  // namespace risetrace::synth
