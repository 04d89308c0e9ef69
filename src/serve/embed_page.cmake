# cmake -DFOLDER=src/web/built -DOUT=page_files.cpp -P embed_page.cmake: the page's files as a C++ source, plain and
# packed with gzip.
file(GLOB_RECURSE files RELATIVE ${FOLDER} ${FOLDER}/*)
list(SORT files)

set(mime_html "text/html; charset=utf-8")
set(mime_js "text/javascript; charset=utf-8")
set(mime_css "text/css; charset=utf-8")
set(mime_json "application/json")
set(mime_svg "image/svg+xml")
set(mime_png "image/png")
set(mime_ico "image/x-icon")
set(mime_woff2 "font/woff2")
set(mime_txt "text/plain; charset=utf-8")
set(mime_webmanifest "application/manifest+json")
set(mime_map "application/json")

function(bytes_of file name out)
  file(READ ${file} hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," text "${hex}")
  string(REGEX REPLACE "(0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,0x..,)" "\\1\n" text
         "${text}")
  set(${out} "constexpr unsigned char ${name}[] = {\n${text}0};\n" PARENT_SCOPE)
endfunction()

set(arrays "")
set(rows "")
set(number 0)
foreach(file ${files})
  string(REGEX MATCH "[^.]+$" ending ${file})
  if(NOT DEFINED mime_${ending})
    message(FATAL_ERROR "${file}: no MIME type is known for .${ending}; add it to embed_page.cmake")
  endif()
  file(SHA256 ${FOLDER}/${file} sum)
  string(SUBSTRING ${sum} 0 20 sum)
  set(packed ${OUT}.${number}.gz)
  file(ARCHIVE_CREATE OUTPUT ${packed} PATHS ${FOLDER}/${file} FORMAT raw COMPRESSION GZip COMPRESSION_LEVEL 9)
  file(SIZE ${FOLDER}/${file} size)
  file(SIZE ${packed} packed_size)
  bytes_of(${FOLDER}/${file} plain_${number} plain_text)
  bytes_of(${packed} packed_${number} packed_text)
  file(REMOVE ${packed})
  string(APPEND arrays "${plain_text}${packed_text}")
  string(APPEND rows "      {\"${file}\", \"${mime_${ending}}\", \"\\\"${sum}\\\"\", plain_${number}, ${size}, packed_${number}, "
                     "${packed_size}},\n")
  math(EXPR number "${number} + 1")
endforeach()

file(WRITE ${OUT}.new "// Made by embed_page.cmake.\n#include \"serve/page_files.h\"\n\nnamespace risetrace::serve {\nnamespace {\n\n"
                      "${arrays}\n}  // namespace\n\nconst std::vector<PageFile>& page_files() {\n"
                      "  static const std::vector<PageFile> files = {\n${rows}  };\n  return files;\n}\n\n"
                      "}  // namespace risetrace::serve\n")
file(RENAME ${OUT}.new ${OUT})
