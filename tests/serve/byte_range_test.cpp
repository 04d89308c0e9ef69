// RFC 9110, section 14: which part of a file a Range header asks for.
#include "serve/byte_range.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

namespace risetrace::serve {
namespace {

void expect_part(const std::string& header, std::uint64_t first, std::uint64_t length) {
  const AskedRange asked = read_range(header, 1000);
  ASSERT_EQ(asked.kind, RangeKind::part) << header;
  EXPECT_EQ(asked.part.first, first) << header;
  EXPECT_EQ(asked.part.length, length) << header;
}

TEST(ByteRange, PartsOfTheFile) {
  expect_part("bytes=0-99", 0, 100);
  expect_part("bytes=500-", 500, 500);
  expect_part("bytes=-1", 999, 1);
  expect_part("bytes=999-999", 999, 1);
}

TEST(ByteRange, EndsPastTheFileAreCutToIt) {
  expect_part("bytes=990-5000", 990, 10);
  expect_part("bytes=0-99999999999999999999999", 0, 1000);
  expect_part("bytes=-5000", 0, 1000);
}

TEST(ByteRange, BeginningsPastTheFileCannotBe) {
  for (const char* header : {"bytes=1000-", "bytes=1000-1001", "bytes=99999999999999999999999-", "bytes=-0"}) {
    EXPECT_EQ(read_range(header, 1000).kind, RangeKind::unsatisfiable) << header;
  }
  EXPECT_EQ(read_range("bytes=0-0", 0).kind, RangeKind::unsatisfiable);
}

TEST(ByteRange, OtherFormsAskForTheWhole) {
  for (const char* header : {"", "bytes", "bytes=", "bytes=-", "bytes=a-b", "bytes=5-2", "lines=0-5", "bytes=0-1,5-6",
                             "bytes= 0-5", "bytes=+1-5", "bytes=0x1-5", "bytes=1--5"}) {
    EXPECT_EQ(read_range(header, 1000).kind, RangeKind::whole) << header;
  }
}

RC_GTEST_PROP(ByteRange, WhatIsGivenLiesWithinTheFile, (std::uint32_t size, std::uint32_t a, std::uint32_t b)) {
  const AskedRange asked = read_range("bytes=" + std::to_string(a) + "-" + std::to_string(b), size);
  if (asked.kind == RangeKind::part) {
    RC_ASSERT(asked.part.length > 0U);
    RC_ASSERT(asked.part.first == a);
    RC_ASSERT(asked.part.first + asked.part.length <= size);
  } else {
    RC_ASSERT(b < a || a >= size);
  }
}

RC_GTEST_PROP(ByteRange, AnyTextIsReadWithoutHarm, (const std::string& text, std::uint32_t size)) {
  const AskedRange asked = read_range("bytes=" + text, size);
  RC_ASSERT(asked.part.first + asked.part.length <= size);  // of another kind than a part: 0
}

}  // namespace
}  // namespace risetrace::serve
