// Contrast of what the papers are drawn in.
#include "report/palette.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>

#include "place.h"

namespace risetrace::report {
namespace {

// WCAG 2.2, relative luminance and contrast ratio (from memory).
double luminance(const Colour& colour) {
  const auto linear = [](double v) { return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4); };
  return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
}
double contrast(const Colour& a, const Colour& b) {
  const double high = std::max(luminance(a), luminance(b));
  const double low = std::min(luminance(a), luminance(b));
  return (high + 0.05) / (low + 0.05);
}

TEST(Palette, ContrastIsTwentyOneOfBlackOnWhite) { EXPECT_NEAR(contrast({0, 0, 0}, {1, 1, 1}), 21.0, 1e-9); }

TEST(Palette, TextHasContrastEnough) {
  for (std::size_t i = 0; i < palette::text_pairs.size(); ++i) {
    EXPECT_GE(contrast(palette::text_pairs.at(i).front, palette::text_pairs.at(i).behind), 4.5) << "pair " << i;
  }
}

TEST(Palette, GraphicsHaveContrastEnough) {
  for (std::size_t i = 0; i < palette::graphic_pairs.size(); ++i) {
    EXPECT_GE(contrast(palette::graphic_pairs.at(i).front, palette::graphic_pairs.at(i).behind), 3.0) << "pair " << i;
  }
}

// A new colour is paired with what it stands on, or said to be ornament: `rule` alone stands in no pair.
TEST(Palette, EveryColourStandsInAPair) {
  std::ifstream in(test::source_folder() / "src/report/palette.h");
  std::stringstream whole;
  whole << in.rdbuf();
  const std::string text = whole.str();
  const std::string pairs = text.substr(text.find("struct Pair"));
  const std::regex definition(R"(constexpr Colour (\w+)\{)");
  int colours = 0;
  for (std::sregex_iterator it(text.begin(), text.end(), definition), end; it != end; ++it, ++colours) {
    const std::string name = (*it)[1];
    const bool paired = std::regex_search(pairs, std::regex("[{ ]" + name + "[,}]"));
    EXPECT_EQ(paired, name != "rule") << name;
  }
  EXPECT_GE(colours, 15);
}

}  // namespace
}  // namespace risetrace::report
