#include "report/overlay_drawing.h"

#include <algorithm>
#include <cmath>

#include "camera/view.h"
#include "report/leg_marks.h"
#include "report/overlay_look.h"
#include "report/words.h"

namespace risetrace::report {
namespace {

using namespace overlay_look;  // NOLINT(google-build-using-namespace): its few names fill this file

constexpr double trail_s = 2.0;
constexpr double ruler_gap_cm = 6.0;  // from the heel's middle place to the ruler

double median_across_cm(const std::vector<HeightSample>& samples) {
  std::vector<double> across;
  for (const HeightSample& sample : samples) {
    if (sample.across_cm) across.push_back(*sample.across_cm);
  }
  if (across.empty()) return 0.0;
  const auto middle = across.begin() + static_cast<std::ptrdiff_t>(across.size() / 2);
  std::nth_element(across.begin(), middle, across.end());
  return *middle;
}

}  // namespace

OverlayDrawing::OverlayDrawing(const measure::Measurement& measurement, const PictureCanvas& canvas)
    : m_(measurement),
      canvas_(canvas),
      samples_(height_samples(measurement)),
      unit_(std::min(canvas.width(), canvas.height()) / 100.0),
      strip_top_(canvas.height() - 13 * unit_) {
  if (m_.raises) prepare_ruler();
  prepare_strip();
}

// The ruler stands where the heel stands, to that side of it where the picture has more room.
void OverlayDrawing::prepare_ruler() {
  if (!m_.scale.cm_from_px) return;
  px_from_cm_ = m_.scale.cm_from_px->inverse();
  if (!px_from_cm_) return;
  for (const raise::Rep& rep : m_.raises->reps) greatest_cm_ = std::max(greatest_cm_, rep.height_cm);
  const double across_cm = median_across_cm(samples_);
  const Point heel = canvas_.from_upright(px_from_cm_->map({across_cm, m_.raises->standing_cm}));
  const Point right = canvas_.from_upright(px_from_cm_->map({across_cm + 1, m_.raises->standing_cm}));
  const bool room_right = heel.x < canvas_.width() / 2.0;
  const bool across_is_right = right.x > heel.x;
  ruler_side_ = room_right ? 1.0 : -1.0;
  ruler_across_cm_ = across_cm + (room_right == across_is_right ? ruler_gap_cm : -ruler_gap_cm);
}

Point OverlayDrawing::seen_in(std::int64_t frame, Point ref_px) const {
  return canvas_.from_upright(camera::view_of(m_.camera, frame).ref_from_px.inverse().map(ref_px));
}

Point OverlayDrawing::on_ruler(std::int64_t frame, double height_cm) const {
  return seen_in(frame, px_from_cm_->map({ruler_across_cm_, m_.raises->standing_cm + height_cm}));
}

const raise::Rep* OverlayDrawing::rep_at(double time_s) const {
  const raise::Rep* found = nullptr;
  for (const raise::Rep& rep : m_.raises->reps) {
    if (rep.start_s <= time_s) found = &rep;
  }
  return found;
}

void OverlayDrawing::draw(const Ink& ink, std::int64_t frame, double time_s) const {
  const auto at =
      std::lower_bound(samples_.begin(), samples_.end(), frame,
                       [](const HeightSample& sample, std::int64_t number) { return sample.frame < number; });
  const HeightSample* sample = at != samples_.end() && at->frame == frame ? &*at : nullptr;
  if (const auto marks = leg_marks(m_, frame)) {
    draw_leg_marks(ink, placed_marks(*marks, [&](Point px) { return canvas_.from_upright(px); }), unit_);
  }
  if (sample != nullptr) {
    draw_trail(ink, static_cast<std::size_t>(at - samples_.begin()));
    if (px_from_cm_ && sample->height_cm) draw_ruler(ink, *sample);
    draw_ring(ink, *sample);
  }
  draw_strip(ink, time_s);
  if (!m_.raises) return;
  draw_panel(ink, time_s, sample);
  draw_banner(ink, time_s);
}

// The way of the last two seconds, fading; a gap where the sticker was not seen.
void OverlayDrawing::draw_trail(const Ink& ink, std::size_t at) const {
  const double now_s = samples_[at].time_s;
  for (std::size_t i = at; i > 0 && now_s - samples_[i - 1].time_s <= trail_s; --i) {
    if (!samples_[i].seen || !samples_[i - 1].seen) continue;
    const auto then = [&](const HeightSample& s) {
      return seen_in(samples_[at].frame, camera::view_of(m_.camera, s.frame).ref_from_px.map(s.px));
    };
    const Point from = then(samples_[i - 1]);
    const Point to = then(samples_[i]);
    const double share = 1 - (now_s - samples_[i].time_s) / trail_s;
    ink.line(from.x, from.y, to.x, to.y, unit_ * 0.6, mark.with_alpha(0.85 * share));
  }
}

void OverlayDrawing::draw_ring(const Ink& ink, const HeightSample& sample) const {
  const Point centre = canvas_.from_upright(sample.px);
  const double radius = std::max(m_.track.radius_px * canvas_.canvas_per_px() * 1.9, unit_ * 1.8);
  if (!sample.seen) ink.dash(unit_ * 1.4, unit_ * 1.2);
  ink.ring(centre.x, centre.y, radius, unit_ * 0.9, edge);
  ink.ring(centre.x, centre.y, radius, unit_ * 0.45, sample.seen ? mark : bright);
  ink.dash(0, 0);
}

void OverlayDrawing::draw_ticks(const Ink& ink, std::int64_t frame, int top_cm) const {
  for (int cm = 0; cm <= top_cm; ++cm) {
    const Point tick = on_ruler(frame, cm);
    const double length = unit_ * (cm % 5 == 0 ? 2.2 : 1.2);
    edged_line(ink, tick, {tick.x + ruler_side_ * length, tick.y}, unit_ * 0.25, bright);
    if (cm % 5 != 0) continue;
    const TextStyle style{.size = unit_ * 2.8, .colour = bright, .align = ruler_side_ > 0 ? Align::left : Align::right};
    const double x = tick.x + ruler_side_ * unit_ * 2.9;
    TextStyle behind = style;
    behind.colour = edge;
    ink.text(x + unit_ * 0.25, tick.y - unit_ * 1.45, std::to_string(cm), behind);
    ink.text(x, tick.y - unit_ * 1.7, std::to_string(cm), style);
  }
}

// Centimetres above standing, true where the sticker is; filled to the height of this instant.
void OverlayDrawing::draw_ruler(const Ink& ink, const HeightSample& sample) const {
  const int top_cm = static_cast<int>(std::ceil(greatest_cm_));
  const Point foot = on_ruler(sample.frame, 0);
  const Point level = on_ruler(sample.frame, std::max(*sample.height_cm, 0.0));
  edged_line(ink, foot, on_ruler(sample.frame, top_cm), unit_ * 0.25, bright);
  draw_ticks(ink, sample.frame, top_cm);
  const double bar = unit_ * 1.6;
  const double bar_x = foot.x - ruler_side_ * bar * 0.9;
  edged_line(ink, {bar_x, foot.y}, {bar_x + level.x - foot.x, level.y}, bar, mark.with_alpha(0.9));
  if (m_.raises->reference_height_cm) {
    const Point limit = on_ruler(sample.frame, *m_.raises->reference_height_cm * m_.asked.protocol.end_fraction);
    edged_line(ink, {limit.x - unit_ * 3.4, limit.y}, {limit.x + unit_ * 3.4, limit.y}, unit_ * 0.4, low);
  }
  const std::string text = fixed(sample.height_cm, 1);
  const TextStyle style{.size = unit_ * 4, .bold = true, .colour = bright};
  const TextSize size = ink.measure(text, style);
  const double away = unit_ * 9;  // past the ruler's numbers, clear of the sticker
  const double x = ruler_side_ > 0 ? level.x + away : level.x - away - size.width;
  rounded_box(ink, x - unit_, level.y - size.height / 2, size.width + 2 * unit_, size.height, unit_, panel);
  ink.text(x, level.y - size.height / 2, text, style);
}

// The rep's number and height, large enough for a phone held at arm's length.
void OverlayDrawing::draw_panel(const Ink& ink, double time_s, const HeightSample* sample) const {
  const raise::Rep* rep = rep_at(time_s);
  const auto counted = std::count_if(m_.raises->reps.begin(), m_.raises->reps.end(),
                                     [&](const raise::Rep& done) { return done.counted && done.peak_s <= time_s; });
  const bool peaked = rep != nullptr && rep->peak_s <= time_s;
  const bool is_low = peaked && rep->low;
  const double x = 3 * unit_;
  const double y = 3 * unit_;
  rounded_box(ink, x, y, 38 * unit_, 30 * unit_, 2 * unit_, panel);
  const Colour colour = is_low ? low : bright;
  ink.text(x + 2 * unit_, y + 1.2 * unit_, "rep", {.size = unit_ * 4, .colour = bright});
  ink.text(x + 36 * unit_, y + 1.2 * unit_, "counted " + std::to_string(counted),
           {.size = unit_ * 3.4, .colour = bright, .align = Align::right});
  ink.text(x + 2 * unit_, y + 18.5 * unit_, rep == nullptr ? "–" : std::to_string(rep->n),
           {.size = unit_ * 15, .bold = true, .colour = colour, .on_baseline = true});
  std::optional<double> height_cm;
  if (sample != nullptr) height_cm = sample->height_cm;
  if (peaked) height_cm = rep->height_cm;
  ink.text(x + 2 * unit_, y + 27.5 * unit_, fixed(height_cm, 1) + " cm",
           {.size = unit_ * 6.6, .bold = true, .colour = colour, .on_baseline = true});
  if (!is_low) return;
  ink.fill_tip_down(x + 32 * unit_, y + 15 * unit_, 5 * unit_, low);
  ink.text(x + 32 * unit_, y + 15.2 * unit_, "low",
           {.size = unit_ * 3.6, .bold = true, .colour = low, .align = Align::centre});
}

void OverlayDrawing::draw_banner(const Ink& ink, double time_s) const {
  const raise::SetEnd& end = m_.raises->set_end;
  if (end.why == raise::EndWhy::clip_end || time_s < end.t_s) return;
  // Beside the panel where there is room, else below it: never over the foot, which is in the lower half.
  const double beside = 44 * unit_;
  const bool wide = canvas_.width() - beside > 75 * unit_;
  const double x = wide ? beside : 3 * unit_;
  const double y = wide ? 3 * unit_ : 35 * unit_;
  const double width = canvas_.width() - x - 3 * unit_;
  const TextStyle large{.size = unit_ * 5.4, .bold = true, .colour = bright, .width = width - 4 * unit_};
  const TextStyle small{.size = unit_ * 3.4, .colour = bright, .width = width - 4 * unit_};
  const std::string count = "Set ended: " + std::to_string(m_.raises->count) + " counted";
  const std::string why = "The set " + how_it_ended(*m_.raises, m_.asked.protocol);
  const double height = ink.measure(count, large).height + ink.measure(why, small).height + 3 * unit_;
  rounded_box(ink, x, y, width, height, 2 * unit_, panel.with_alpha(0.85));
  ink.fill_box(x, y + 2 * unit_, unit_, height - 4 * unit_, low);
  const double below = y + unit_ + ink.text(x + 3 * unit_, y + unit_, count, large).height;
  ink.text(x + 3 * unit_, below, why, small);
}

// Drawn once: the whole set's height (or the sticker's upright place, without a scale) in small.
void OverlayDrawing::prepare_strip() {
  const int height = static_cast<int>(std::ceil(canvas_.height() - strip_top_));
  strip_.reset(cairo_image_surface_create(CAIRO_FORMAT_ARGB32, canvas_.width(), height));
  const Context context(cairo_create(strip_.get()));
  const Ink ink(context.get());
  ink.fill_box(0, 0, canvas_.width(), height, panel);
  const auto value_of = [&](const HeightSample& sample) -> std::optional<double> {
    if (m_.raises) return sample.height_cm;
    return sample.seen ? std::optional(-sample.px.y) : std::nullopt;
  };
  double least = 1e9;
  double most = -1e9;
  for (const HeightSample& sample : samples_) {
    const auto value = value_of(sample);
    if (value) least = std::min(least, *value);
    if (value) most = std::max(most, *value);
  }
  if (most <= least) return;
  const double duration_s = std::max(m_.clip.duration_s, samples_.back().time_s);
  const auto x_of = [&](double t_s) { return canvas_.width() * t_s / duration_s; };
  const auto y_of = [&](double v) {
    return height - 1.5 * unit_ - (height - 5 * unit_) * (v - least) / (most - least);
  };
  ink.use(mark);
  cairo_set_line_width(context.get(), std::max(unit_ * 0.3, 1.0));
  for (const HeightSample& sample : samples_) {
    const auto value = value_of(sample);
    if (!value) cairo_new_sub_path(context.get());
    if (value) cairo_line_to(context.get(), x_of(sample.time_s), y_of(*value));
  }
  cairo_stroke(context.get());
  if (!m_.raises) return;
  for (const raise::Rep& rep : m_.raises->reps) {
    if (rep.low) ink.fill_tip_down(x_of(rep.peak_s), y_of(rep.height_cm) - 0.3 * unit_, 2 * unit_, low);
  }
  const double end_x = x_of(m_.raises->set_end.t_s);
  if (m_.raises->set_end.why != raise::EndWhy::clip_end) ink.line(end_x, 0, end_x, height, unit_ * 0.5, faint);
}

void OverlayDrawing::draw_strip(const Ink& ink, double time_s) const {
  cairo_t* cr = ink.context();
  cairo_set_source_surface(cr, strip_.get(), 0, strip_top_);
  cairo_paint(cr);
  const double duration_s =
      samples_.empty() ? m_.clip.duration_s : std::max(m_.clip.duration_s, samples_.back().time_s);
  if (duration_s <= 0) return;
  const double x = canvas_.width() * time_s / duration_s;
  ink.line(x, strip_top_, x, canvas_.height(), unit_ * 0.6, bright);
}

}  // namespace risetrace::report
