// A piece of a clip's luma on a page.
#pragma once

#include "clip/frame.h"
#include "report/text.h"

namespace risetrace::report {

// Its top left corner at x, y, stretched to width and height. Nothing for an empty picture.
void draw_grey_picture(const Ink& ink, double x, double y, double width, double height,
                       const clip::GreyPicture& picture);

}  // namespace risetrace::report
