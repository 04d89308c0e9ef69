#include "cli/filming_options.h"

#include "cli/commands.h"

namespace risetrace::cli {

scale::ScaleOptions Filming::scale_options() const {
  scale::ScaleOptions options;
  options.card = card == "tags"   ? scale::CardKind::tags
                 : card == "id-1" ? scale::CardKind::id_1
                                  : scale::CardKind::none;
  options.px_per_cm = px_per_cm;
  options.card_offset_cm = card_offset_cm;
  options.distance_m = distance_m;
  return options;
}

std::optional<Point> place(const std::vector<double>& xy) {
  return xy.empty() ? std::nullopt : std::optional(Point{xy[0], xy[1]});
}

void add_filming_options(CLI::App& command, Filming& filming) {
  Filming& f = filming;
  command
      .add_option("--card", f.card,
                  "which card; none needs --px-per-cm or gives pixels only (the times of hops need no scale)")
      ->check(CLI::IsMember({"tags", "id-1", "none"}))
      ->capture_default_str();
  command
      .add_option("--card-offset", f.card_offset_cm,
                  "the card stands this far behind (+) or in front (-) of the sticker, cm; needs --distance")
      ->check(number_between(-500, 500, "cm"));
  command.add_option("--distance", f.distance_m, "camera to sticker, m")->check(number_between(0.2, 100, "m"));
  command.add_option("--px-per-cm", f.px_per_cm, "the scale by hand")->check(number_between(0.5, 1000, "px/cm"));
  command
      .add_option("--heel", f.heel_px,
                  "X,Y of the heel sticker in the first frame, in pixels from the top left, if it is not found")
      ->delimiter(',')
      ->expected(2)
      ->check(number_between(0, 20000, "px"));
  command
      .add_option("--capture-fps", f.capture_fps, "the true filming rate of a slow-motion clip that does not say it")
      ->check(number_between(1, 10000, "/s"));
}

}  // namespace risetrace::cli
