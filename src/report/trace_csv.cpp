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

void add_sticker(std::string& row, const std::optional<Point>& px, bool seen) {
  add(row, px ? std::optional(px->x) : std::nullopt, 4);
  add(row, px ? std::optional(px->y) : std::nullopt, 4);
  row += ',';
  if (px) row += seen ? "1" : "0";
}

std::string hop_trace_csv(const measure::Measurement& measurement) {
  std::string out =
      "frame,time_s,heel_x_px,heel_y_px,heel_seen,heel_up_cm,forefoot_x_px,forefoot_y_px,forefoot_seen,"
      "clearance_px,clearance_px_u,clearance_cm,in_contact,hop\r\n";
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
    out += "\r\n";
  }
  return out;
}

}  // namespace

std::string trace_csv(const measure::Measurement& measurement) {
  if (measurement.asked.test == Test::hop) return hop_trace_csv(measurement);
  std::string out = "frame,time_s,x_px,y_px,seen,fit,height_cm,height_raw_cm,across_cm,rep\r\n";
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
    out += "\r\n";
  }
  return out;
}

}  // namespace risetrace::report
