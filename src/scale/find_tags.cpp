#include "scale/find_tags.h"

#include <algorithm>
#include <cstdio>

extern "C" {
#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
}

namespace risetrace::scale {
namespace {

// The library warns of odd shapes in a picture on the C library's stderr, where a program speaks to people. glibc lets
// that variable be set ("Standard Streams" in its manual); std::cerr does not notice.
class Hushed {
 public:
  Hushed() {
    if (nowhere_ != nullptr) stderr = nowhere_;
  }
  ~Hushed() {
    stderr = before_;
    if (nowhere_ != nullptr) static_cast<void>(std::fclose(nowhere_));
  }
  Hushed(const Hushed&) = delete;
  Hushed& operator=(const Hushed&) = delete;

 private:
  std::FILE* before_ = stderr;
  std::FILE* nowhere_ = std::fopen("/dev/null", "we");
};

zarray_t* detected(apriltag_detector_t* detector, image_u8_t& image) {
  const Hushed hushed;
  return apriltag_detector_detect(detector, &image);
}

}  // namespace

struct TagDetector::Inside {
  apriltag_family_t* family = tag36h11_create();
  apriltag_detector_t* detector = apriltag_detector_create();

  Inside() {
    apriltag_detector_add_family_bits(detector, family, 1);
    detector->nthreads = 1;
    detector->refine_edges = 1;
  }
  ~Inside() {
    apriltag_detector_destroy(detector);
    tag36h11_destroy(family);
  }
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
};

TagDetector::TagDetector() : inside_(std::make_unique<Inside>()) {}
TagDetector::~TagDetector() = default;
TagDetector::TagDetector(TagDetector&&) noexcept = default;
TagDetector& TagDetector::operator=(TagDetector&&) noexcept = default;

TagsSeen TagDetector::detect(const clip::GreyPicture& picture, const model::TagCard& card, int shrink) {
  TagsSeen seen;
  if (picture.width < 16 || picture.height < 16) return seen;
  inside_->detector->quad_decimate = static_cast<float>(shrink);
  // The library only reads the picture; its struct has no const form.
  image_u8_t image{picture.width, picture.height, picture.width, const_cast<std::uint8_t*>(picture.grey.data())};
  zarray_t* found = detected(inside_->detector, image);
  for (int i = 0; i < zarray_size(found); ++i) {
    apriltag_detection_t* tag = nullptr;
    zarray_get(found, i, static_cast<void*>(&tag));
    constexpr float least_margin = 20;  // of the decoding; chance patterns stay below
    const bool ours = std::any_of(card.tags.begin(), card.tags.end(), [&](const auto& t) { return t.id == tag->id; });
    if (ours && tag->decision_margin >= least_margin) {
      // The library sees the tags, as drawn on the card, turned by 180 degrees: its corners 1, 0, 3, 2 are the drawn
      // top left, top right, bottom right, bottom left. Its pixel centres lie at half pixels.
      Quad quad;
      for (std::size_t corner = 0; corner < 4; ++corner) {
        constexpr std::array from = {1, 0, 3, 2};
        quad.at(corner) = {tag->p[from.at(corner)][0] - 0.5, tag->p[from.at(corner)][1] - 0.5};
      }
      seen.twice = seen.twice || !seen.quads.emplace(tag->id, quad).second;
    }
  }
  apriltag_detections_destroy(found);
  return seen;
}

}  // namespace risetrace::scale
