#include "clip/pixel_format.h"

extern "C" {
#include <libavutil/pixdesc.h>
}

#include <cstring>

namespace risetrace::clip {
namespace {

bool usable(const AVPixFmtDescriptor& facts) {
  constexpr std::uint64_t refused = AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BITSTREAM | AV_PIX_FMT_FLAG_HWACCEL |
                                    AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_FLOAT | AV_PIX_FMT_FLAG_BE |
                                    AV_PIX_FMT_FLAG_BAYER;
  const AVComponentDescriptor& luma = facts.comp[0];
  const int sample_bytes = luma.depth > 8 ? 2 : 1;
  return (facts.flags & refused) == 0 && luma.plane == 0 && luma.offset == 0 && luma.shift == 0 &&
         luma.step == sample_bytes && luma.depth >= 8 && luma.depth <= 12;
}

bool has_chroma_420(const AVPixFmtDescriptor& facts) {
  const int step = facts.comp[0].step;
  return facts.nb_components >= 3 && facts.log2_chroma_w == 1 && facts.log2_chroma_h == 1 && facts.comp[1].plane == 1 &&
         facts.comp[2].plane == 2 && facts.comp[1].step == step && facts.comp[2].step == step;
}

}  // namespace

Result<PixelKind> pixel_kind(int libav_format) {
  const auto format = static_cast<AVPixelFormat>(libav_format);
  const AVPixFmtDescriptor* facts = av_pix_fmt_desc_get(format);
  if (facts == nullptr || !usable(*facts)) {
    const char* name = facts != nullptr ? facts->name : "unknown";
    return Error{Fault::clip_unreadable, std::string("its pixels are stored as '") + name + "', which is not read",
                 "film with the phone's standard settings, or convert the clip to H.264"};
  }
  return PixelKind{facts->comp[0].depth, has_chroma_420(*facts), std::strncmp(facts->name, "yuvj", 4) == 0};
}

void set_planes(Frame& frame, const AVFrame& picture, const PixelKind& kind, bool keep_chroma) {
  frame.bits = kind.bits;
  frame.luma = {picture.data[0], picture.linesize[0], picture.width, picture.height};
  frame.full_range = kind.full_range || picture.color_range == AVCOL_RANGE_JPEG;
  if (!keep_chroma || !kind.chroma_420) return;
  for (int i = 0; i < 2; ++i) {
    frame.chroma[i] = {picture.data[i + 1], picture.linesize[i + 1], (picture.width + 1) / 2, (picture.height + 1) / 2};
  }
}

}  // namespace risetrace::clip
