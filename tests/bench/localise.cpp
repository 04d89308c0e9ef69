// How near the sticker's localisation comes to the Cramer-Rao bound, beside OpenCV's ways, on the same frames.
//
// bench_localise WORK_FOLDER [OUT.md COMMIT]: prints the page docs/localisation.md.
#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <future>
#include <iostream>
#include <opencv2/core.hpp>
#include <sstream>

#include "bench/first_look.h"
#include "bench/rival_localisers.h"
#include "bench/sticker_world.h"
#include "clip/read_clip.h"
#include "report/clip_writer.h"
#include "sticker/follow.h"

namespace risetrace::bench {
namespace {

constexpr int frames = 92;
constexpr int width = 256;
constexpr int height = 224;
constexpr std::array radii_px = {3.0, 6.0, 10.0, 18.0};
constexpr std::array noises_grey = {2.0, 5.0, 10.0};
constexpr std::array blurs_px = {0.0, 4.0, 12.0};
constexpr std::array everything_round = {Surroundings::slope, Surroundings::pattern, Surroundings::drifting,
                                         Surroundings::seam,  Surroundings::aside,   Surroundings::jerky};
// Bits a pixel: what 20 and 8 Mbit/s are for 1920 x 1080 at 60 frames a second; 0: not encoded.
constexpr std::array bits_a_pixel = {0.0, 0.161, 0.064};
constexpr std::array method_names = {"this program", "Lucas-Kanade", "template", "centroid", "ellipse"};
constexpr std::size_t methods = method_names.size();

struct Errors {
  double sd = std::nan("");   // of one axis, px
  double rms = std::nan("");  // about the truth
  int missed = 0;
};

struct Row {
  View view;
  double noise_grey = 0;
  double bits = 0;
  double bound = 0;
  std::array<Errors, methods> of;
};

[[noreturn]] void give_up(const std::string& why) {
  std::cerr << "bench_localise: " << why << "\n";
  std::exit(1);
}

// The same pictures as an H.264 file gives them back.
std::vector<Shown> through_h264(std::vector<Shown> shown, double bits, const std::string& file) {
  report::ClipWriterOptions options;
  options.width = width;
  options.height = height;
  options.rate_hz = world_fps;
  options.bit_rate_mbps = bits * width * height * world_fps / 1e6;
  options.full_range = true;
  auto writer = report::ClipWriter::create(file, options);
  if (!writer) give_up(sentence(writer.error()));
  const std::vector<std::uint8_t> no_colour(static_cast<std::size_t>(width) * height / 4, 128);
  report::PictureView view;
  view.chroma = {clip::Plane{no_colour.data(), width / 2, width / 2, height / 2},
                 clip::Plane{no_colour.data(), width / 2, width / 2, height / 2}};
  for (int k = 0; k < frames; ++k) {
    const cv::Mat& grey = shown[static_cast<std::size_t>(k)].grey;
    view.luma = {grey.data, static_cast<std::ptrdiff_t>(grey.step), width, height};
    if (const auto added = writer->add_picture(view, k / world_fps); !added) give_up(sentence(added.error()));
  }
  if (const auto done = writer->finish(); !done) give_up(sentence(done.error()));
  auto reader = clip::ClipReader::open(file, {});
  if (!reader) give_up(sentence(reader.error()));
  for (Shown& one : shown) {
    auto frame = reader->next();
    if (!frame || !*frame) give_up("a frame is missing");
    const clip::GreyPicture picture = clip::upright_picture(**frame);
    cv::Mat(height, width, CV_8U, const_cast<std::uint8_t*>(picture.grey.data())).copyTo(one.grey);
  }
  std::filesystem::remove(file);
  return shown;
}

Errors errors_of(const std::vector<std::optional<Point>>& found, const std::vector<Shown>& shown) {
  std::vector<Point> off;
  Errors errors;
  for (std::size_t k = run_in_frames; k < shown.size(); ++k) {
    const auto& p = found[k];
    const Point truth = shown[k].centre_px;
    // Farther off than 3 px it has taken something else for the sticker.
    if (!p || std::hypot(p->x - truth.x, p->y - truth.y) > 3) {
      ++errors.missed;
    } else {
      off.push_back({p->x - truth.x, p->y - truth.y});
    }
  }
  if (off.size() < shown.size() / 2) return errors;  // lost: no scatter to speak of
  const auto n = static_cast<double>(off.size());
  Point mean;
  double squares = 0;
  for (const Point& p : off) {
    mean = {mean.x + p.x / n, mean.y + p.y / n};
    squares += (p.x * p.x + p.y * p.y) / n / 2;
  }
  errors.rms = std::sqrt(squares);
  errors.sd = std::sqrt(std::max(0.0, squares - (mean.x * mean.x + mean.y * mean.y) / 2) * n / (n - 1));
  return errors;
}

// The program's own way: found once as a spot of unknown size, then followed.
std::vector<std::optional<Point>> follow(const std::vector<Shown>& shown, double radius_px) {
  std::vector<std::optional<Point>> out(shown.size());
  const auto fit = first_look(frame_of(shown[0].grey, 0), shown[0].centre_px, radius_px);
  if (!fit) return out;
  sticker::Follower follower(*fit, 0);
  for (std::size_t k = 1; k < shown.size(); ++k) {
    const auto sample = follower.follow(frame_of(shown[k].grey, static_cast<int>(k)));
    if (sample.seen) out[k] = sample.px;
  }
  return out;
}

std::array<Errors, methods> all_methods(const std::vector<Shown>& shown, double radius_px) {
  std::array<std::vector<std::optional<Point>>, methods> found;
  found[0] = follow(shown, radius_px);
  for (std::size_t k = 0; k < shown.size(); ++k) {
    const cv::Mat& grey = shown[k].grey;
    const Point truth = shown[k].centre_px;
    const Point about{std::round(truth.x * 2) / 2, std::round(truth.y * 2) / 2};  // to half a pixel
    found[1].push_back(lucas_kanade(shown[0].grey, shown[0].centre_px, grey, about, radius_px));
    found[2].push_back(matched_template(shown[0].grey, shown[0].centre_px, grey, about, radius_px));
    found[3].push_back(weighted_centroid(grey, about, radius_px));
    found[4].push_back(ellipse_of_edges(grey, about, radius_px));
  }
  std::array<Errors, methods> errors;
  for (std::size_t m = 0; m < methods; ++m) errors.at(m) = errors_of(found.at(m), shown);
  return errors;
}

std::vector<Row> rows_of(const View& view, const std::string& work) {
  const std::vector<Shown> clean = film(view, frames, width, height);
  const double unit_bound = bound_px(view, frames, width, height);
  std::vector<Row> rows;
  for (const double noise : noises_grey) {
    const std::vector<Shown> raw = noisy(clean, noise, static_cast<unsigned>(rows.size() + 1));
    for (const double bits : bits_a_pixel) {
      std::ostringstream file;
      file << work << "/" << static_cast<int>(view.surroundings) << "-" << view.radius_px << "-" << noise << "-"
           << view.blur_px << "-" << bits << ".mp4";
      rows.push_back({view, noise, bits, unit_bound * std::sqrt(noise * noise + 1.0 / 12),
                      all_methods(bits > 0 ? through_h264(raw, bits, file.str()) : raw, view.radius_px)});
    }
  }
  return rows;
}

double median(std::vector<double> values) {
  values.erase(std::remove_if(values.begin(), values.end(), [](double v) { return std::isnan(v); }), values.end());
  if (values.empty()) return std::nan("");
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

std::string number(double value, int digits = 2) {
  if (std::isnan(value)) return "-";
  std::ostringstream text;
  text.precision(digits);
  text << std::fixed << value;
  return text.str();
}

using Wanted = std::function<bool(const Row&)>;

std::string coding(double bits) { return bits == 0 ? "raw" : bits > 0.1 ? "H.264, 20 Mbit/s" : "H.264, 8 Mbit/s"; }

// One line: medians of SD over bound for each method, then how our RMS stands to our SD, and frames not found.
void add_line(std::ostream& out, const std::string& name, const std::vector<Row>& rows, const Wanted& wanted) {
  out << "| " << name << " |";
  std::vector<double> bias;
  int missed = 0;
  int asked = 0;
  for (std::size_t m = 0; m < methods; ++m) {
    std::vector<double> ratios;
    for (const Row& row : rows) {
      if (!wanted(row)) continue;
      ratios.push_back(row.of.at(m).sd / row.bound);
      if (m > 0) continue;
      bias.push_back(row.of[0].rms / row.of[0].sd);
      missed += row.of[0].missed;
      asked += frames - run_in_frames;
    }
    out << " " << (m == 0 ? "**" + number(median(ratios)) + "**" : number(median(ratios))) << " |";
  }
  if (bias.empty()) bias.push_back(std::nan(""));
  out << " " << number(median(bias)) << " | " << number(*std::max_element(bias.begin(), bias.end())) << " | " << missed
      << " of " << asked << " |\n";
}

void heading(std::ostream& out, const std::string& first) {
  out << "\n| " << first << " |";
  for (const char* name : method_names) out << " " << name << " |";
  out << " RMS / SD, middle | worst | not found |\n| --- |";
  for (std::size_t m = 0; m < methods + 3; ++m) out << " ---: |";
  out << "\n";
}

std::string tables(const std::vector<Row>& rows) {
  std::ostringstream out;
  heading(out, "everything");
  for (const double bits : bits_a_pixel) {
    add_line(out, coding(bits), rows, [bits](const Row& r) { return r.bits == bits; });
  }
  for (const double bits : bits_a_pixel) {
    heading(out, coding(bits));
    for (const Surroundings s : everything_round) {
      add_line(out, name_of(s), rows, [&](const Row& r) { return r.bits == bits && r.view.surroundings == s; });
    }
    for (const double radius : radii_px) {
      add_line(out, "radius " + number(radius, 0) + " px", rows,
               [&](const Row& r) { return r.bits == bits && r.view.radius_px == radius; });
    }
    for (const double noise : noises_grey) {
      add_line(out, "noise " + number(noise, 0) + " grey levels", rows,
               [&](const Row& r) { return r.bits == bits && r.noise_grey == noise; });
    }
    for (const double blur : blurs_px) {
      add_line(out, "blur " + number(blur, 0) + " px", rows,
               [&](const Row& r) { return r.bits == bits && r.view.blur_px == blur; });
    }
  }
  out << "\nEvery condition: the bound and this program's scatter and root mean square error of one axis, px.\n";
  out << "\n| round it | radius | noise | blur | bound | raw SD | RMS | 20 Mbit/s SD | RMS | 8 Mbit/s SD | RMS |\n";
  out << "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n";
  for (std::size_t i = 0; i + 2 < rows.size(); i += bits_a_pixel.size()) {
    const View& v = rows[i].view;
    out << "| " << name_of(v.surroundings) << " | " << number(v.radius_px, 0) << " | " << number(rows[i].noise_grey, 0)
        << " | " << number(v.blur_px, 0) << " | " << number(rows[i].bound, 4) << " |";
    for (std::size_t b = 0; b < bits_a_pixel.size(); ++b) {
      out << " " << number(rows[i + b].of[0].sd, 4) << " | " << number(rows[i + b].of[0].rms, 4) << " |";
    }
    out << "\n";
  }
  return out.str();
}

std::string introduction(const std::string& commit) {
  return R"(# Where the sticker is: how near to the limit

Made by `./dev accuracy` at commit )" +
         commit + R"( on Debian 12. A sticker, a white disc of 0.65 of the radius in a black ring, moves through
)" + std::to_string(frames - run_in_frames) +
         R"( judged frames of 256 x 224 pixels: radius 3, 6, 10, 18 px, noise 2, 5, 10 grey levels a pixel, blur by its own movement 0, 4,
12 px, before six surroundings that the fit knows nothing of. The frames are drawn on a grid eight times finer than the pixels,
the lens a Gaussian (`tests/bench/sticker_world.h`), and given to each method as they are and after H.264 (libx264,
superfast, no B pictures) at the bits a pixel that 20 and 8 Mbit/s are for 1080p at 60 frames a second. Every pixel's noise is
new in every frame, so that coding has a harder task than with a phone's picture, which is freed from noise first.

**The bound** is Cramer and Rao's for the raw frames: the least standard deviation with which any unbiased method could
place the sticker, were all but its place known (from the frames' Fisher information). A row gives the middle over its
conditions of scatter over bound; this program's number also stands for its own uncertain look, since it has to find out
radius, ring, softness, blur and ground as well. The other methods are OpenCV's (`tests/bench/rival_localisers.h`), told to half a
pixel where the sticker is. "RMS / SD" is this program's error about the truth over its scatter: 1 means no bias. A frame whose
place is 3 px off, or that was not found, is "not found"; a condition with more than half of these has no scatter.

After H.264 the bound is still that of the raw frames: what coding took away is in the ratio, and no method gets it back.
)";
}

std::vector<View> views() {
  std::vector<View> out;
  for (const Surroundings s : everything_round) {
    for (const double radius : radii_px) {
      for (const double blur : blurs_px) {
        if (s == Surroundings::jerky && blur == 0) continue;  // that is the slope again
        out.push_back({s, radius, blur});
      }
    }
  }
  return out;
}

}  // namespace
}  // namespace risetrace::bench

int main(int argc, char** argv) {
  using namespace risetrace::bench;
  if (argc < 2) {
    std::cerr << "bench_localise WORK_FOLDER [OUT.md COMMIT]\n";
    return 2;
  }
  cv::setNumThreads(1);
  const std::string work = argv[1];
  std::filesystem::create_directories(work);
  const std::vector<View> all = views();
  std::vector<std::vector<Row>> done(all.size());
  std::atomic<std::size_t> next = 0;
  const auto work_off = [&] {
    for (std::size_t i = next++; i < all.size(); i = next++) done[i] = rows_of(all[i], work);
  };
  auto other = std::async(std::launch::async, work_off);
  work_off();
  other.get();
  std::vector<Row> rows;
  for (const auto& some : done) rows.insert(rows.end(), some.begin(), some.end());
  const std::string text = introduction(argc > 3 ? argv[3] : "?") + tables(rows);
  std::cout << text;
  if (argc > 2) std::ofstream(argv[2]) << text;
  return 0;
}
