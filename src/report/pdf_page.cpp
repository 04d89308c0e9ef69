#include "report/pdf_page.h"

#include <cairo-pdf.h>

#include "report/result_folder.h"

namespace risetrace::report {
namespace {

cairo_status_t append(void* bytes, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

PdfPage::PdfPage(double width_pt, double height_pt, const std::string& title, const std::string& date)
    : surface_(cairo_pdf_surface_create_for_stream(append, &bytes_, width_pt, height_pt)),
      context_(cairo_create(surface_.get())) {
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATOR, "risetrace");
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, date.c_str());
}

void PdfPage::next_page() { cairo_show_page(context_.get()); }

Outcome PdfPage::write(const std::filesystem::path& file) {
  cairo_show_page(context_.get());
  const cairo_status_t drawn = cairo_status(context_.get());
  context_.reset();
  cairo_surface_finish(surface_.get());
  const cairo_status_t finished = cairo_surface_status(surface_.get());
  const cairo_status_t wrong = drawn != CAIRO_STATUS_SUCCESS ? drawn : finished;
  if (wrong != CAIRO_STATUS_SUCCESS) {
    return Error{Fault::defect, file.string() + ": the page could not be drawn: " + cairo_status_to_string(wrong), ""};
  }
  return write_text(file, bytes_);
}

}  // namespace risetrace::report
