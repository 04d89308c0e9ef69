#include "synth/render.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "synth/backdrop.h"
#include "synth/bystanders.h"
#include "synth/clock.h"
#include "synth/contact_shadow.h"
#include "synth/develop.h"
#include "synth/grain.h"
#include "synth/motion.h"
#include "synth/outline.h"
#include "synth/shaken.h"

namespace risetrace::synth {
namespace {

constexpr double greatest_step_px = 0.5;  // of what moves, between two instants of one exposure
constexpr int most_instants = 64;
constexpr double unseen_shift_px = 0.1;  // of the room: a blur of 0.03 px, nothing beside the lens's

void copy_spans(const LightPicture& from, const RowSpans& spans, LightPicture& to) {
  for (int y = 0; y < from.height(); ++y) {
    const RowSpan span = spans[static_cast<std::size_t>(y)];
    for (int plane = 0; !span.empty() && plane < 3; ++plane) {
      std::copy(from.row(plane, y) + span.low, from.row(plane, y) + span.high, to.row(plane, y) + span.low);
    }
  }
}

// to += (what - less) x share
void add_spans(const LightPicture& what, const LightPicture* less, float share, const RowSpans& spans,
               LightPicture& to) {
  for (int y = 0; y < to.height(); ++y) {
    const RowSpan span = spans[static_cast<std::size_t>(y)];
    for (int plane = 0; !span.empty() && plane < 3; ++plane) {
      const float* add = what.row(plane, y);
      float* out = to.row(plane, y);
      if (less == nullptr) {
        for (int x = span.low; x < span.high; ++x) out[x] += share * add[x];
        continue;
      }
      const float* base = less->row(plane, y);
      for (int x = span.low; x < span.high; ++x) out[x] += share * (add[x] - base[x]);
    }
  }
}

void copy_fixed(const FixedPicture& from, const RowSpans& spans, FixedPicture& to) {
  for (int y = 0; y < from.luma.height; ++y) {
    const RowSpan span = spans[static_cast<std::size_t>(y)];
    if (span.empty()) continue;
    std::copy(from.luma.row(y) + span.low, from.luma.row(y) + span.high, to.luma.row(y) + span.low);
    if (y % 2 != 0) continue;
    std::copy(from.cb.row(y / 2) + span.low / 2, from.cb.row(y / 2) + span.high / 2, to.cb.row(y / 2) + span.low / 2);
    std::copy(from.cr.row(y / 2) + span.low / 2, from.cr.row(y / 2) + span.high / 2, to.cr.row(y / 2) + span.low / 2);
  }
}

void take_in(RowSpans& all, const RowSpans& more) {
  for (std::size_t y = 0; y < all.size(); ++y) {
    if (!more[y].empty()) all[y].take_in(more[y].low, more[y].high);
  }
}

// The scene has been checked: a file that has gone since then leaves the wall bare.
std::optional<Photo> photo_of(const Scene& scene) {
  if (scene.background.kind != BackgroundKind::photo) return std::nullopt;
  auto photo = read_photo(scene.background.file);
  return photo ? std::optional<Photo>(std::move(*photo)) : std::nullopt;
}

}  // namespace

struct Renderer::Inside {
  Inside(const Scene& s, const model::Cards& c)
      : scene(s),
        cards(c),
        photo(photo_of(s)),
        motion(s),
        view(s),
        painter(scene, view),
        developer(scene, view.stored_width(), view.stored_height()),
        grain(scene, view),
        times(frame_times(s)),
        still(view.stored_width(), view.stored_height()),
        work(view.stored_width(), view.stored_height()),
        sum(view.stored_width(), view.stored_height()),
        picture(developer.blank()) {
    if (!view.sways()) draw_still(view.moves() ? before_all_s : 0.0);
  }

  void draw_still(double time_s) {
    draw_backdrop(scene, cards, photo ? &*photo : nullptr, time_s, painter, still);
    work = still;
    sum = still;
    RowSpans spans = whole();
    developer.develop(still, spans, picture);
    still_picture = picture;
    still_s = time_s;
  }
  // A card falls over once; what else stands still stays.
  [[nodiscard]] bool knocked_by(double time_s) const {
    return std::any_of(scene.cards.begin(), scene.cards.end(), [&](const Card& card) {
      return card.knocked_s && still_s < *card.knocked_s && time_s >= *card.knocked_s;
    });
  }

  [[nodiscard]] RowSpans whole() const {
    return RowSpans(static_cast<std::size_t>(view.stored_height()), RowSpan{0, view.stored_width()});
  }
  [[nodiscard]] RowSpans none() const { return RowSpans(static_cast<std::size_t>(view.stored_height())); }
  [[nodiscard]] int instants(double time_s) const;
  [[nodiscard]] int room_instants(double time_s, int most) const;
  [[nodiscard]] double shift_px(const std::function<Spot(double)>& spot_at, double time_s) const;
  [[nodiscard]] bool hunts_focus() const { return scene.camera.focus_hunting_px > 0.0; }
  [[nodiscard]] double blur_px(double time_s) const;
  void draw_shadow(double time_s, RowSpans& touched);
  void draw_leg(const LegModel& leg, const PoseAt& pose_at, double z_cm, double time_s, RowSpans& touched);
  void draw_moving(int index, double time_s, RowSpans& touched);
  void expose(int index, double time_s);
  void expose_swaying(int index, double time_s);

  Scene scene;
  model::Cards cards;
  std::optional<Photo> photo;
  Motion motion;
  View view;
  Painter painter;
  Developer developer;
  Grain grain;
  std::vector<FrameTime> times;
  LightPicture still;  // all that does not move
  LightPicture work;   // one instant; equals `still` between frames
  LightPicture sum;    // the whole exposure; the same
  FixedPicture picture;
  FixedPicture still_picture;
  double still_s = 0.0;  // when it looked so
  std::size_t next_index = 0;
  RenderedFrame last;
};

// How far a point goes in the picture during one exposure, there and back counted twice.
double Renderer::Inside::shift_px(const std::function<Spot(double)>& spot_at, double time_s) const {
  const double half_s = scene.camera.exposure_s / 2;
  const auto a = view.caught(spot_at, time_s - half_s);
  const auto b = view.caught(spot_at, time_s);
  const auto c = view.caught(spot_at, time_s + half_s);
  if (!a || !b || !c) return 0.0;
  const auto length = [](const Caught& p, const Caught& q) {
    return std::hypot(q.stored_px.x - p.stored_px.x, q.stored_px.y - p.stored_px.y);
  };
  return length(*a, *b) + length(*b, *c);
}

int Renderer::Inside::instants(double time_s) const {
  double shift = shift_px([&](double t) { return motion.heel_sticker_cm(t); }, time_s);
  shift = std::max(shift, shift_px([&](double t) { return motion.spot_cm(Part::shank, {}, t); }, time_s));
  if (motion.bends_knee()) {
    const Point hip = motion.leg().hip_point_cm();
    shift = std::max(shift, shift_px([&](double t) { return motion.spot_cm(Part::thigh, {}, t); }, time_s));
    shift = std::max(shift, shift_px([&](double t) { return motion.spot_cm(Part::thigh, hip, t); }, time_s));
  }
  if (motion.hops() != nullptr) {
    const Point tip = motion.leg().toe_tip_point_cm();
    shift = std::max(shift, shift_px([&](double t) { return motion.spot_cm(Part::foot, tip, t); }, time_s));
  }
  if (const OtherLeg* other = motion.other()) {
    const auto toes_at = [&](double t) {
      return other->leg().spot_cm(Part::foot, other->leg().toe_tip_point_cm(), other->pose(t));
    };
    shift = std::max(shift, shift_px(toes_at, time_s));
  }
  if (view.moves()) shift = std::max(shift, shift_px([](double) { return Spot{0.0, 20.0, 0.0}; }, time_s));
  if (scene.walker && time_s >= scene.walker->from_s && time_s <= scene.walker->to_s) {
    const double speed_cm_s = 240.0 / (scene.walker->to_s - scene.walker->from_s);
    shift = std::max(shift, speed_cm_s * scene.camera.exposure_s * view.focal_px() / (scene.camera.distance_m * 100));
  }
  if (shift < 0.02) return 1;
  return std::clamp(static_cast<int>(std::ceil(shift / greatest_step_px)) + 1, 2, most_instants);
}

// The room moves in the picture as the camera does, often less than who walks before it, and is slow to draw.
int Renderer::Inside::room_instants(double time_s, int most) const {
  const double shift = shift_px([](double) { return Spot{0.0, 20.0, 0.0}; }, time_s);
  return shift < unseen_shift_px ? 1 : std::min(most, static_cast<int>(std::ceil(shift / greatest_step_px)) + 1);
}

// Under the toes, and paler under the heel the higher it is.
void Renderer::Inside::draw_shadow(double time_s, RowSpans& touched) {
  const double by = scene.leg.shoe_length_cm / 28.0;
  const double forward = scene.leg.facing == Facing::right ? 1.0 : -1.0;
  const double heel_share = 1.0 / (1.0 + std::max(0.0, motion.heel_height_cm(time_s)) / 4.0);
  const auto placing = [&](Point p, double) { return Spot{scene.leg.x_cm + forward * p.x * by, 0.0, p.y * by}; };
  for (int i = 0; i < 7; ++i) {
    const double grow = 1.0 - 0.1 * i;
    for (const double toes : {0.0, 1.0}) {
      const Point middle{toes > 0 ? 23.0 : 13.5, 0.5};
      const Point half{(toes > 0 ? 7.5 : 16.0) * grow, 6.0 * grow};
      std::vector<Point> ring = circle({0, 0}, 1.0, 40);
      for (Point& p : ring) p = {middle.x + p.x * half.x, middle.y + p.y * half.y};
      painter.draw({ring}, plain({0.03, 0.03, 0.03}, toes > 0 ? 0.05 : 0.11 * heel_share), placing, time_s, work,
                   &touched);
    }
  }
}

void Renderer::Inside::draw_leg(const LegModel& leg, const PoseAt& pose_at, double z_cm, double time_s,
                                RowSpans& touched) {
  for (const LegShape& shape : leg.shapes()) {
    const auto placing = [&](Point p, double t) {
      const Spot spot = leg.spot_cm(shape.part, p, pose_at(t));
      return Spot{spot.x, spot.y, z_cm};
    };
    painter.draw({shape.outline_cm}, shape.fill, placing, time_s, work, &touched);
  }
}

void Renderer::Inside::draw_moving(int index, double time_s, RowSpans& touched) {
  const bool walker_in_front = scene.walker && scene.walker->behind_cm < 0;
  if (!walker_in_front) draw_walker(scene, time_s, painter, work, &touched);
  const double half_readout_s = std::abs(scene.camera.readout_s) / 2;
  if (const OtherLeg* other = motion.other()) {
    const PoseStrip strip([&](double t) { return other->pose(t); }, time_s - half_readout_s, time_s + half_readout_s);
    const auto pose_at = [&](double t) { return strip.at(t); };
    if (scene.light.shadow)
      draw_contact_shadow(scene, other->leg(), pose_at, other->z_cm(), time_s, painter, work, &touched);
    draw_leg(other->leg(), pose_at, other->z_cm(), time_s, touched);
  }
  std::optional<PoseStrip> strip;
  const auto exact_at = [&](double t) { return motion.pose(t); };
  if (motion.hops() != nullptr) strip.emplace(exact_at, time_s - half_readout_s, time_s + half_readout_s);
  const auto pose_at = [&](double t) { return strip ? strip->at(t) : motion.pose(t); };
  if (scene.light.shadow && (motion.hops() != nullptr || scene.light.shadow_strength)) {
    draw_contact_shadow(scene, motion.leg(), pose_at, 0.0, time_s, painter, work, &touched);
  } else if (scene.light.shadow) {
    draw_shadow(time_s, touched);
  }
  draw_leg(motion.leg(), pose_at, 0.0, time_s, touched);
  draw_hands(scene, motion, index, time_s, painter, work, &touched);
  if (walker_in_front) draw_walker(scene, time_s, painter, work, &touched);
}

// A lens that hunts goes out of focus and back, sharp at the start.
double Renderer::Inside::blur_px(double time_s) const {
  const double turn = 2 * std::numbers::pi * scene.camera.focus_hunting_hz * time_s;
  return scene.camera.blur_px + scene.camera.focus_hunting_px * (1.0 - std::cos(turn)) / 2;
}

void Renderer::Inside::expose(int index, double time_s) {
  if (knocked_by(time_s)) draw_still(time_s);
  const int count = instants(time_s);
  RowSpans all = none();
  for (int k = 0; k < count; ++k) {
    RowSpans touched = none();
    draw_moving(index, time_s + scene.camera.exposure_s * ((k + 0.5) / count - 0.5), touched);
    add_spans(work, &still, 1.0F / static_cast<float>(count), touched, sum);
    copy_spans(still, touched, work);
    take_in(all, touched);
  }
  RowSpans developed = hunts_focus() ? whole() : all;
  if (hunts_focus()) developer.blur(blur_px(time_s));
  developer.develop(sum, developed, picture);
  grain.store(picture, static_cast<std::uint64_t>(index), time_s, last.bits, last.planes);
  copy_spans(still, all, sum);
  copy_fixed(still_picture, developed, picture);
}

// A camera that moves leaves nothing still: everything is drawn at every instant, or moved if it is but shaken.
void Renderer::Inside::expose_swaying(int index, double time_s) {
  const int count = instants(time_s);
  const int rooms = room_instants(time_s, count);
  int room = -1;
  sum = LightPicture(view.stored_width(), view.stored_height());
  RowSpans all = whole();
  for (int k = 0; k < count; ++k) {
    const double instant_s = time_s + scene.camera.exposure_s * ((k + 0.5) / count - 0.5);
    if (view.sways()) {
      if (k * rooms / count != room) {
        room = k * rooms / count;
        const double room_s = time_s + scene.camera.exposure_s * ((room + 0.5) / rooms - 0.5);
        draw_backdrop(scene, cards, photo ? &*photo : nullptr, room_s, painter, still);
      }
      work = still;
    } else {
      shake(still, view, instant_s, work);
    }
    RowSpans touched = none();
    draw_moving(index, instant_s, touched);
    add_spans(work, nullptr, 1.0F / static_cast<float>(count), all, sum);
  }
  if (hunts_focus()) developer.blur(blur_px(time_s));
  developer.develop(sum, all, picture);
  grain.store(picture, static_cast<std::uint64_t>(index), time_s, last.bits, last.planes);
}

Renderer::Renderer(const Scene& scene, const model::Cards& cards) : inside_(std::make_unique<Inside>(scene, cards)) {}
Renderer::Renderer(Renderer&&) noexcept = default;
Renderer& Renderer::operator=(Renderer&&) noexcept = default;
Renderer::~Renderer() = default;

int Renderer::frame_count() const { return static_cast<int>(inside_->times.size()); }
int Renderer::stored_width() const { return inside_->view.stored_width(); }
int Renderer::stored_height() const { return inside_->view.stored_height(); }

std::optional<RenderedFrame> Renderer::next() {
  Inside& in = *inside_;
  if (in.next_index >= in.times.size()) return std::nullopt;
  const FrameTime& frame = in.times[in.next_index];
  in.last.bits = in.scene.file.codec == CodecName::hevc_10bit ? 10 : 8;
  in.last.index = static_cast<int>(in.next_index);
  in.last.time_s = frame.time_s;
  in.last.file_time_s = frame.time_s * stretch_of(in.scene);
  if (!frame.repeated) {  // a repeated frame keeps the planes of the one before, noise and all
    if (in.view.moves()) {
      in.expose_swaying(in.last.index, frame.shows_s);
    } else {
      in.expose(in.last.index, frame.shows_s);
    }
  }
  ++in.next_index;
  return in.last;
}

}  // namespace risetrace::synth
