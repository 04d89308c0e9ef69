#include "report/hop_overlay.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "report/hop_plot.h"
#include "report/overlay_look.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using namespace overlay_look;  // NOLINT(google-build-using-namespace): its few names fill this file

constexpr Colour ground_colour{0.55, 1.0, 0.55};
constexpr Colour dark{0.04, 0.06, 0.08};
constexpr double trail_s = 0.25;
constexpr double longest_page_s = 4.0;
constexpr double flash_s = 0.08;      // of a beat
constexpr double strip_units = 18.0;  // its height

}  // namespace

HopOverlay::HopOverlay(const measure::Measurement& measurement, const PictureCanvas& canvas)
    : m_(measurement),
      canvas_(canvas),
      samples_(hop_samples(measurement)),
      trace_(hop_trace(measurement, samples_)),
      unit_(std::min(canvas.width(), canvas.height()) / 100.0),
      floor_y_(floor_on_canvas()) {
  if (m_.hops && m_.hops->sound_offset_ms) sound_offset_s_ = *m_.hops->sound_offset_ms / 1000;
  const double strip_height = strip_units * unit_;
  strip_top_ = canvas_.height() - strip_height;
  panel_top_ = 3 * unit_;
  if (floor_y_ + 8 * unit_ > strip_top_) {
    strip_top_ = 0.0;
    panel_top_ += strip_height;
  }
  const double end_s = std::max(m_.clip.duration_s, samples_.empty() ? 0.0 : samples_.back().time_s);
  if (end_s > 0) page_s_ = end_s / std::ceil(end_s / longest_page_s);
}

// Where the shoe rests; without the sole, a little below the lowest place of a sticker.
double HopOverlay::floor_on_canvas() const {
  if (!m_.clearance.samples.empty()) return canvas_.from_upright({0, m_.clearance.floor_row_px}).y;
  double lowest_px = -std::numeric_limits<double>::infinity();
  for (const HopSample& sample : samples_) {
    if (sample.heel_seen) lowest_px = std::max(lowest_px, sample.heel_px->y);
    if (sample.forefoot_seen) lowest_px = std::max(lowest_px, sample.forefoot_px->y);
  }
  if (!std::isfinite(lowest_px)) return canvas_.height() / 2.0;
  return canvas_.from_upright({0, lowest_px}).y + 8 * unit_;
}

const hop::Hop* HopOverlay::hop_at(double time_s) const {
  if (!m_.hops) return nullptr;
  const auto& hops = m_.hops->hops;
  const auto after = std::upper_bound(hops.begin(), hops.end(), time_s,
                                      [](double t_s, const hop::Hop& hop) { return t_s < hop.touchdown_s; });
  return after == hops.begin() ? nullptr : &*std::prev(after);
}

void HopOverlay::draw(const Ink& ink, std::int64_t frame, double time_s) {
  const auto at = std::lower_bound(samples_.begin(), samples_.end(), frame,
                                   [](const HopSample& sample, std::int64_t number) { return sample.frame < number; });
  const bool there = at != samples_.end() && at->frame == frame;
  if (there) {
    draw_sticker(ink, static_cast<std::size_t>(at - samples_.begin()), false);
    draw_sticker(ink, static_cast<std::size_t>(at - samples_.begin()), true);
    draw_ground(ink, *at);
  }
  draw_strip(ink, time_s);
  draw_clock(ink, frame, time_s);
  if (m_.hops) draw_panel(ink, time_s, there ? at->ground : Ground::unknown);
}

// A ring, broken where the sticker was not seen, and the way of the last quarter second.
void HopOverlay::draw_sticker(const Ink& ink, std::size_t at, bool forefoot) const {
  const auto place = [&](const HopSample& sample) { return forefoot ? sample.forefoot_px : sample.heel_px; };
  const auto seen = [&](const HopSample& sample) { return forefoot ? sample.forefoot_seen : sample.heel_seen; };
  const HopSample& now = samples_[at];
  if (!place(now)) return;
  for (std::size_t i = at; i > 0 && now.time_s - samples_[i - 1].time_s <= trail_s; --i) {
    if (!seen(samples_[i]) || !seen(samples_[i - 1])) continue;
    const Point from = canvas_.from_upright(*place(samples_[i - 1]));
    const Point to = canvas_.from_upright(*place(samples_[i]));
    const double share = 1 - (now.time_s - samples_[i].time_s) / trail_s;
    ink.line(from.x, from.y, to.x, to.y, unit_ * 0.5, mark.with_alpha(0.8 * share));
  }
  const double radius_px = forefoot && m_.forefoot ? m_.forefoot->radius_px : m_.track.radius_px;
  const double radius = std::max(radius_px * canvas_.canvas_per_px() * 1.9, unit_ * 1.8);
  const Point centre = canvas_.from_upright(*place(now));
  if (!seen(now)) ink.dash(unit_ * 1.4, unit_ * 1.2);
  ink.ring(centre.x, centre.y, radius, unit_ * 0.9, edge);
  ink.ring(centre.x, centre.y, radius, unit_ * 0.45, seen(now) ? mark : bright);
  ink.dash(0, 0);
}

// Below the shoe: on the ground a thick bar with the time since touchdown, in the air a thin broken line.
void HopOverlay::draw_ground(const Ink& ink, const HopSample& sample) const {
  if (sample.ground == Ground::unknown || (!sample.heel_px && !sample.forefoot_px)) return;
  const double heel_x = canvas_.from_upright(sample.heel_px ? *sample.heel_px : *sample.forefoot_px).x;
  const double forefoot_x = sample.forefoot_px ? canvas_.from_upright(*sample.forefoot_px).x : heel_x;
  const double beyond = (sample.forefoot_px && sample.heel_px ? 5 : 14) * unit_;
  const double x0 = std::clamp(std::min(heel_x, forefoot_x) - beyond, 0.0, canvas_.width() - 1.0);
  const double x1 = std::clamp(std::max(heel_x, forefoot_x) + beyond, x0 + 1.0, static_cast<double>(canvas_.width()));
  const double y = floor_y_ + 2.5 * unit_;
  if (sample.ground == Ground::off) {
    ink.dash(unit_ * 1.6, unit_ * 1.6);
    edged_line(ink, {x0, y}, {x1, y}, unit_ * 0.4, bright);
    ink.dash(0, 0);
    return;
  }
  ink.fill_box(x0 - 0.4 * unit_, y - 1.4 * unit_, x1 - x0 + 0.8 * unit_, 2.8 * unit_, edge);
  ink.fill_box(x0, y - unit_, x1 - x0, 2 * unit_, ground_colour);
  const hop::Hop* hop = hop_at(sample.time_s + 1e-9);
  if (hop == nullptr || sample.hop != hop->n) return;
  const std::string text = fixed(1000 * (sample.time_s - hop->touchdown_s), 0) + " ms";
  const TextStyle style{.size = unit_ * 3.4, .bold = true, .colour = ground_colour};
  const TextSize size = ink.measure(text, style);
  const bool right = x1 + size.width + 3 * unit_ < canvas_.width();
  const double x = right ? x1 + 1.5 * unit_ : x0 - size.width - 1.5 * unit_;
  rounded_box(ink, x - 0.7 * unit_, y - size.height / 2, size.width + 1.4 * unit_, size.height, 0.8 * unit_, panel);
  ink.text(x, y - size.height / 2, text, style);
}

// The hop's number and its time on the ground, large enough for a phone held at arm's length.
void HopOverlay::draw_panel(const Ink& ink, double time_s, Ground ground) const {
  const hop::Hop* hop = hop_at(time_s);
  const auto counted = std::count_if(m_.hops->hops.begin(), m_.hops->hops.end(),
                                     [&](const hop::Hop& h) { return h.counted && h.takeoff_s <= time_s; });
  const double x = 3 * unit_;
  const double y = panel_top_;
  const double inner = x + 2 * unit_;
  const bool left_out = hop != nullptr && !hop->counted;
  const TextStyle small{.size = unit_ * 2.7, .colour = low, .width = 42 * unit_};
  const std::string why = !left_out              ? ""
                          : hop->why_not.empty() ? "not counted"
                                                 : "not counted: " + readable(hop->why_not);
  const std::string shown = ink.fitted(why, small, 7.5 * unit_);  // two lines
  const double why_height = left_out ? ink.measure(shown, small).height + 0.8 * unit_ : 0.0;
  rounded_box(ink, x, y, 46 * unit_, 31 * unit_ + why_height, 2 * unit_, panel);
  ink.text(inner, y + 1.2 * unit_, "hop", {.size = unit_ * 4, .colour = bright});
  ink.text(x + 44 * unit_, y + 1.2 * unit_, "counted " + std::to_string(counted),
           {.size = unit_ * 3.4, .colour = bright, .align = Align::right});
  const Colour colour = left_out ? low : bright;
  const double number_width = ink.text(inner, y + 18 * unit_, hop == nullptr ? "–" : std::to_string(hop->n),
                                       {.size = unit_ * (hop != nullptr && hop->n > 99 ? 12 : 15),
                                        .bold = true,
                                        .colour = colour,
                                        .on_baseline = true})
                                  .width;
  if (ground != Ground::unknown) {
    const double chip = std::max(x + 21 * unit_, inner + number_width + unit_);
    const double chip_width = x + 44 * unit_ - chip;
    const TextStyle style{.size = unit_ * 3.0,
                          .bold = ground == Ground::on,
                          .colour = ground == Ground::on ? dark : bright,
                          .align = Align::centre};
    if (ground == Ground::on) rounded_box(ink, chip, y + 10 * unit_, chip_width, 5.6 * unit_, unit_, ground_colour);
    if (ground == Ground::off) ink.frame_box(chip, y + 10 * unit_, chip_width, 5.6 * unit_, unit_ * 0.3, bright);
    ink.text(chip + chip_width / 2, y + 10.9 * unit_, ground == Ground::on ? "on ground" : "in the air", style);
  }
  const std::optional<double> contact_ms = hop != nullptr ? hop->contact_ms : std::nullopt;
  const double after = ink.text(inner, y + 27.5 * unit_, contact_ms ? fixed(contact_ms, 0) + " ms" : "– ms",
                                {.size = unit_ * 6.6, .bold = true, .colour = colour, .on_baseline = true})
                           .width;
  ink.text(inner + after + unit_, y + 27.5 * unit_, contact_ms ? "contact" : "not known",
           {.size = unit_ * 3, .colour = bright, .on_baseline = true});
  if (left_out) ink.text(inner, y + 30 * unit_, shown, small);
}

// How slow, where in the clip, and the beat: a disc that fills when it sounds.
void HopOverlay::draw_clock(const Ink& ink, std::int64_t frame, double time_s) const {
  const bool beat = !m_.beats.steps.empty();
  const double box_width = 30 * unit_;
  const double x = canvas_.width() - box_width - 3 * unit_;
  const double y = panel_top_;
  const double right = x + box_width - 1.5 * unit_;
  rounded_box(ink, x, y, box_width, (beat ? 16.5 : 11) * unit_, 1.5 * unit_, panel);
  ink.text(right, y + 0.8 * unit_, "¼ speed",
           {.size = unit_ * 3.6, .bold = true, .colour = bright, .align = Align::right});
  ink.text(right, y + 6.2 * unit_, fixed(time_s, 3) + " s · " + std::to_string(frame),
           {.size = unit_ * 2.9, .colour = bright, .align = Align::right});
  if (!beat) return;
  const double heard_s = time_s + sound_offset_s_;  // what sounds now, by the sound's clock
  bool flash = false;
  for (const beat::Click& click : m_.beats.clicks) {
    flash = flash || (click.time_s <= heard_s && heard_s < click.time_s + flash_s);
  }
  std::string text = "beat";
  for (const beat::BeatStep& step : m_.beats.steps) {
    if (heard_s >= step.from_s && heard_s < step.to_s) text = "beat " + plain(step.bpm, 0);
  }
  ink.text(right, y + 11 * unit_, text, {.size = unit_ * 3.2, .colour = bright, .align = Align::right});
  const Point disc{x + 4 * unit_, y + 13.2 * unit_};
  if (flash) ink.fill_disc(disc.x, disc.y, 2 * unit_, bright);
  if (!flash) ink.ring(disc.x, disc.y, 1.6 * unit_, 0.3 * unit_, faint);
}

double HopOverlay::page_x(double time_s) const { return canvas_.width() * (time_s / page_s_ - page_.value_or(0)); }

void HopOverlay::draw_page_trace(const Ink& ink) const {
  double least = 0.0;
  double most = 0.0;
  for (const auto& value : trace_.value) {
    if (value) least = std::min(least, *value);
    if (value) most = std::max(most, *value);
  }
  if (most <= least) return;
  const double bottom = 13 * unit_;
  const double height = 8.5 * unit_;
  cairo_t* cr = ink.context();
  ink.use(mark);
  cairo_set_line_width(cr, std::max(unit_ * 0.3, 1.0));
  for (std::size_t i = 0; i < samples_.size(); ++i) {
    const double x = page_x(samples_[i].time_s);
    if (x < -canvas_.width() || x > 2 * canvas_.width()) continue;
    if (!trace_.value[i]) cairo_new_sub_path(cr);
    if (trace_.value[i]) cairo_line_to(cr, x, bottom - height * (*trace_.value[i] - least) / (most - least));
  }
  cairo_stroke(cr);
}

// A bar a contact with the hop's number in it: filled where counted, hollow where not, crossed where doubtful.
void HopOverlay::draw_page_hops(const Ink& ink) const {
  for (const hop::Hop& hop : m_.hops->hops) {
    if (!hop.takeoff_s) continue;
    const double x = page_x(hop.touchdown_s);
    const double width = page_x(*hop.takeoff_s) - x;
    if (x + width < 0 || x > canvas_.width()) continue;
    const HopMark kind = mark_of(hop, m_.contacts);
    const double y = 14 * unit_;
    const double height = 3.4 * unit_;
    const Colour colour = kind == HopMark::doubtful ? low : ground_colour;
    if (kind == HopMark::counted) ink.fill_box(x, y, width, height, colour);
    if (kind != HopMark::counted) ink.frame_box(x, y, width, height, unit_ * 0.3, colour);
    if (kind == HopMark::doubtful) ink.line(x, y + height, x + width, y, unit_ * 0.3, colour);
    const TextStyle style{
        .size = unit_ * 2.6, .bold = true, .colour = kind == HopMark::counted ? dark : bright, .align = Align::centre};
    const std::string number = std::to_string(hop.n);
    if (ink.measure(number, style).width < width) ink.text(x + width / 2, y + 0.15 * unit_, number, style);
  }
}

void HopOverlay::draw_page_beats(const Ink& ink) const {
  for (const beat::Click& click : m_.beats.clicks) {
    const double x = page_x(click.time_s - sound_offset_s_);
    ink.line(x, 0, x, 1.8 * unit_, unit_ * 0.35, bright);
  }
  for (const beat::BeatStep& step : m_.beats.steps) {
    const double x0 = std::max(page_x(step.from_s - sound_offset_s_), 0.0);
    const double x1 = page_x(step.to_s - sound_offset_s_);
    if (x0 > canvas_.width() || x1 < 10 * unit_) continue;
    if (x0 > 0) ink.line(x0, 0, x0, strip_units * unit_, unit_ * 0.3, faint);
    ink.text(x0 + unit_, 1.4 * unit_, plain(step.bpm, 0), {.size = unit_ * 2.6, .bold = true, .colour = bright});
  }
}

// Drawn once for each page of some seconds.
void HopOverlay::draw_page() {
  const int height = static_cast<int>(std::ceil(strip_units * unit_));
  strip_.reset(cairo_image_surface_create(CAIRO_FORMAT_ARGB32, canvas_.width(), height));
  const Context context(cairo_create(strip_.get()));
  const Ink ink(context.get());
  ink.fill_box(0, 0, canvas_.width(), height, panel);
  draw_page_trace(ink);
  if (m_.hops) draw_page_hops(ink);
  draw_page_beats(ink);
}

void HopOverlay::draw_strip(const Ink& ink, double time_s) {
  const int page = std::max(0, static_cast<int>(std::floor(time_s / page_s_)));
  if (page_ != page) {
    page_ = page;
    draw_page();
  }
  cairo_set_source_surface(ink.context(), strip_.get(), 0, strip_top_);
  cairo_paint(ink.context());
  const double x = page_x(time_s);
  ink.line(x, strip_top_, x, strip_top_ + strip_units * unit_, unit_ * 0.6, bright);
}

}  // namespace risetrace::report
