// The page's files, built into the program (src/web/built, embed_page.cmake).
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

namespace risetrace::serve {

struct PageFile {
  std::string_view path;  // "index.html", "assets/main.js"
  std::string_view mime;
  std::string_view etag;  // quoted
  const unsigned char* bytes;
  std::size_t size;
  const unsigned char* packed;  // gzip
  std::size_t packed_size;
};

const std::vector<PageFile>& page_files();  // generated

const PageFile* find_page_file(std::string_view path);

}  // namespace risetrace::serve
