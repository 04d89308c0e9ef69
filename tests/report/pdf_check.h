// Looks at a PDF page as a picture, with poppler's tools where they are installed.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

namespace risetrace::test {

// A page rendered at 254 dpi: ten pixels to the millimetre.
struct PagePicture {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> grey;

  [[nodiscard]] bool dark(double x_mm, double y_mm) const {
    const auto column = static_cast<std::size_t>(x_mm * 10);
    const auto row = static_cast<std::size_t>(y_mm * 10);
    return grey.at(row * static_cast<std::size_t>(width) + column) < 128;
  }
};

inline bool runs(const std::string& command) { return std::system(command.c_str()) == 0; }  // NOLINT

inline bool has_poppler() { return runs("pdftoppm -v >/dev/null 2>&1"); }

inline PagePicture render(const std::filesystem::path& pdf) {
  PagePicture picture;
  const std::string stem = pdf.string() + ".page";
  if (!runs("pdftoppm -r 254 -gray -singlefile '" + pdf.string() + "' '" + stem + "'")) return picture;
  std::ifstream in(stem + ".pgm", std::ios::binary);
  std::string magic;
  int greatest = 0;
  in >> magic >> picture.width >> picture.height >> greatest;
  in.get();
  picture.grey.resize(static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height));
  in.read(reinterpret_cast<char*>(picture.grey.data()), static_cast<std::streamsize>(picture.grey.size()));
  std::filesystem::remove(stem + ".pgm");
  return picture;
}

// What the command prints.
inline std::string output_of(const std::string& command, const std::filesystem::path& scratch) {
  const std::filesystem::path file = scratch.string() + ".out";
  if (!runs(command + " >'" + file.string() + "' 2>/dev/null")) return "";
  std::ifstream in(file);
  std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  std::filesystem::remove(file);
  return text;
}

inline std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

// A test that writes a PDF and reads it with poppler's tools; skipped where they are not installed.
class PdfTest : public testing::Test {
 protected:
  void SetUp() override {
    if (!has_poppler()) GTEST_SKIP() << "poppler's tools are not installed";
    file_ = std::filesystem::temp_directory_path() / ("page-" + std::to_string(::getpid()) + ".pdf");
  }
  void TearDown() override { std::filesystem::remove(file_); }

  [[nodiscard]] std::string tool(const std::string& command) const {
    return output_of(command + " '" + file_.string() + "'", file_);
  }
  // The page's words in reading order, line ends as spaces.
  [[nodiscard]] std::string words() const {
    std::string text = output_of("pdftotext '" + file_.string() + "' -", file_);
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
  }

  std::filesystem::path file_;
};

}  // namespace risetrace::test
