#include "report/trace_csv.h"

#include <array>
#include <charconv>
#include <cmath>

#include "report/heights.h"
#include "report/hop_samples.h"

namespace risetrace::report {
namespace {

// printf would follow the locale's decimal mark; to_chars never does.
void add(std::string& row, std::optional<double> value, int decimals) {
  row += ',';
  if (!value || !std::isfinite(*value)) return;
  std::array<char, 64> text{};
  const double unit = std::pow(10.0, decimals);
  const double rounded = std::round(*value * unit) / unit + 0.0;
  const auto end = std::to_chars(text.data(), text.data() + text.size(), rounded, std::chars_format::fixed, decimals);
  row.append(text.data(), end.ptr);
}

// The shortest text that reads as the same number again.
void add_exact(std::string& row, double value) {
  std::array<char, 64> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value + 0.0);
  row += ',';
  row.append(text.data(), end.ptr);
}

void add_sticker(std::string& row, const std::optional<Point>& px, bool seen) {
  add(row, px ? std::optional(px->x) : std::nullopt, 4);
  add(row, px ? std::optional(px->y) : std::nullopt, 4);
  row += ',';
  if (px) row += seen ? "1" : "0";
}

std::string hop_trace_csv(const measure::Measurement& measurement) {
  std::string out =
      "frame,time_s,heel_x_px,heel_y_px,heel_seen,heel_up_cm,forefoot_x_px,forefoot_y_px,forefoot_seen,"
      "clearance_px,clearance_px_u,clearance_cm,in_contact,hop,exact_s\r\n";
  for (const HopSample& sample : hop_samples(measurement)) {
    out += std::to_string(sample.frame);
    add(out, sample.time_s, 6);
    add_sticker(out, sample.heel_px, sample.heel_seen);
    add(out, sample.heel_up_cm, 4);
    add_sticker(out, sample.forefoot_px, sample.forefoot_seen);
    add(out, sample.clearance_px, 4);
    add(out, sample.clearance_px_u, 4);
    add(out, sample.clearance_cm, 4);
    out += sample.ground == Ground::on ? ",1," : sample.ground == Ground::off ? ",0," : ",,";
    if (sample.hop) out += std::to_string(*sample.hop);
    add_exact(out, sample.time_s);
    out += "\r\n";
  }
  return out;
}

std::string lunge_trace_csv(const measure::Measurement& m) {
  std::string out = "frame,time_s,ankle_x_px,ankle_y_px,ankle_seen,knee_x_px,knee_y_px,knee_seen,shank_deg\r\n";
  if (!m.angles || !m.leg.ankle || !m.leg.knee) return out;
  const auto sticker = [&](std::string& row, const sticker::Track& track, std::int64_t frame) {
    const auto at = static_cast<std::size_t>(frame - track.samples.front().frame);  // one sample a frame
    add_sticker(row, track.samples[at].px, track.samples[at].seen);
  };
  for (const ankle::LegSample& sample : m.angles->samples) {
    out += std::to_string(sample.frame);
    add(out, sample.time_s, 6);
    sticker(out, *m.leg.ankle, sample.frame);
    sticker(out, *m.leg.knee, sample.frame);
    add(out, sample.shank_deg, 3);
    out += "\r\n";
  }
  return out;
}

// What reps are found from, with every digit, so that a recount finds the same.
class ExactPath {
 public:
  explicit ExactPath(const path::Path& path) : samples_(path.samples) {}
  void add(std::string& row, std::int64_t frame) {
    while (next_ < samples_.size() && samples_[next_].frame < frame) ++next_;
    if (next_ == samples_.size() || samples_[next_].frame != frame) {
      row += ",,,";
      return;
    }
    add_exact(row, samples_[next_].time_s);
    add_exact(row, samples_[next_].up_cm);
    add_exact(row, samples_[next_].across_cm);
  }

 private:
  const std::vector<path::PathSample>& samples_;
  std::size_t next_ = 0;
};

// Of a set of raises, walked through along with the samples.
class AngleAt {
 public:
  explicit AngleAt(const measure::Measurement& m) : m_(m) {}
  ankle::LegSample at(std::int64_t frame) {
    if (!m_.angles) return {};
    const auto& samples = m_.angles->samples;
    while (next_ < samples.size() && samples[next_].frame < frame) ++next_;
    return next_ < samples.size() && samples[next_].frame == frame ? samples[next_] : ankle::LegSample{};
  }

 private:
  const measure::Measurement& m_;
  std::size_t next_ = 0;
};

}  // namespace

std::string trace_csv(const measure::Measurement& measurement) {
  if (measurement.asked.test == Test::hop) return hop_trace_csv(measurement);
  if (measurement.asked.test == Test::lunge) return lunge_trace_csv(measurement);
  std::string out =
      "frame,time_s,x_px,y_px,seen,fit,height_cm,height_raw_cm,across_cm,rep,shank_deg,knee_deg,exact_s,exact_up_cm,"
      "exact_across_cm\r\n";
  ExactPath exact_path(measurement.path);
  AngleAt angle(measurement);
  for (const HeightSample& sample : height_samples(measurement)) {
    out += std::to_string(sample.frame);
    add(out, sample.time_s, 6);
    add(out, sample.px.x, 4);
    add(out, sample.px.y, 4);
    out += sample.seen ? ",1" : ",0";
    add(out, sample.fit, 4);
    add(out, sample.height_cm, 4);
    add(out, sample.height_raw_cm, 4);
    add(out, sample.across_cm, 4);
    out += ',';
    if (sample.rep) out += std::to_string(*sample.rep);
    const ankle::LegSample leg = angle.at(sample.frame);
    add(out, leg.shank_deg, 3);
    add(out, leg.knee_deg, 3);
    exact_path.add(out, sample.frame);
    out += "\r\n";
  }
  return out;
}

}  // namespace risetrace::report
