// The code on the screen, the cookie that stands for it, and a phone's ticket. Time is the test's own.
#include "serve/door.h"

#include <gtest/gtest.h>

#include <set>

#include "serve/random_id.h"
#include "serve/tickets.h"

namespace risetrace::serve {
namespace {

class DoorTest : public ::testing::Test {
 protected:
  double now_s_ = 1000;
  std::vector<std::string> codes_;
  Door door_{[this](const std::string& code) { codes_.push_back(code); }, [this] { return now_s_; }};
  std::string wrong() { return codes_.back() == "00000000" ? "00000001" : "00000000"; }
};

TEST_F(DoorTest, TheRightCodeLetsInOnce) {
  const std::string code = codes_.at(0);
  EXPECT_EQ(code.size(), 8U);
  const auto entry = door_.enter(code.substr(0, 4) + " " + code.substr(4), "10.0.0.2");
  ASSERT_TRUE(entry.in);
  EXPECT_TRUE(door_.knows("other=1; __Host-risetrace=" + entry.cookie + "; more=2"));
  EXPECT_FALSE(door_.enter(code, "10.0.0.3").in) << "a code is used up";
  EXPECT_EQ(codes_.size(), 2U);
  door_.leave("__Host-risetrace=" + entry.cookie);
  EXPECT_FALSE(door_.knows("__Host-risetrace=" + entry.cookie));
}

TEST_F(DoorTest, ASessionEnds) {
  const auto entry = door_.enter(codes_.at(0), "10.0.0.2");
  now_s_ += session_lasts_s - 1;
  EXPECT_TRUE(door_.knows("__Host-risetrace=" + entry.cookie));
  now_s_ += 2;
  EXPECT_FALSE(door_.knows("__Host-risetrace=" + entry.cookie));
}

TEST_F(DoorTest, NoOtherCookieIsKnown) {
  const auto entry = door_.enter(codes_.at(0), "10.0.0.2");
  for (const std::string& header :
       {std::string(), std::string("__Host-risetrace="), "x__Host-risetrace=" + entry.cookie,
        "__Host-risetrace=" + entry.cookie + "0", "__Host-risetrace =" + entry.cookie, std::string(";;;=;"),
        "__Host-risetrace=" + random_id()}) {
    EXPECT_FALSE(door_.knows(header)) << header;
  }
}

TEST_F(DoorTest, EachWrongCodeMakesTheNextTryWaitTwiceAsLong) {
  double wait_s = 0;
  for (int i = 0; i < 5; ++i) {
    const auto entry = door_.enter(wrong(), "10.0.0.2");
    EXPECT_FALSE(entry.in);
    EXPECT_DOUBLE_EQ(entry.wait_s, i == 0 ? 1 : 2 * wait_s);
    wait_s = entry.wait_s;
    now_s_ += wait_s / 2;
    EXPECT_FALSE(door_.enter(codes_.back(), "10.0.0.2").in) << "even the right one is not looked at too soon";
    now_s_ += wait_s / 2;
  }
  EXPECT_TRUE(door_.enter(codes_.back(), "10.0.0.3").in) << "another device does not wait";
}

TEST_F(DoorTest, AfterTenWrongCodesItIsAnother) {
  const std::string code = codes_.back();
  for (int i = 0; i < 10; ++i) {
    ASSERT_EQ(codes_.size(), 1U) << i;
    door_.enter(wrong(), "10.0.0." + std::to_string(i));
  }
  ASSERT_EQ(codes_.size(), 2U);
  EXPECT_FALSE(door_.enter(code, "10.0.1.1").in && code != codes_.back());
}

TEST(Tickets, OneClipWithinAQuarterOfAnHour) {
  double now_s = 0;
  Tickets tickets([&] { return now_s; });
  const std::string ticket = tickets.issue("visit", "slot");
  ASSERT_TRUE(tickets.find(ticket));
  EXPECT_EQ(tickets.find(ticket)->slot, "slot");
  EXPECT_TRUE(tickets.use(ticket, "upload"));
  EXPECT_TRUE(tickets.use(ticket, "upload")) << "the same upload goes on";
  EXPECT_FALSE(tickets.use(ticket, "another"));
  now_s = ticket_lasts_s + 1;
  EXPECT_TRUE(tickets.find(ticket)) << "what was begun may be ended";
  now_s = used_ticket_lasts_s + 1;
  EXPECT_FALSE(tickets.find(ticket));
}

TEST(Tickets, AreOverUnusedAndByANewOne) {
  double now_s = 0;
  Tickets tickets([&] { return now_s; });
  const std::string first = tickets.issue("visit", "slot");
  const std::string second = tickets.issue("visit", "slot");
  EXPECT_FALSE(tickets.find(first));
  now_s = ticket_lasts_s + 1;
  EXPECT_FALSE(tickets.find(second));
  EXPECT_FALSE(tickets.use(second, "upload"));
  EXPECT_FALSE(tickets.find(""));
}

TEST(Tickets, TheQrCodeIsASquareWithItsThreeCornerMarks) {
  const auto rows = qr_rows("https://192.168.178.20:8737/phone#0123456789abcdef0123456789abcdef");
  ASSERT_GE(rows.size(), 21U);
  EXPECT_EQ((rows.size() - 17) % 4, 0U);  // ISO/IEC 18004: 17 + 4 times the version
  for (const auto& row : rows) {
    ASSERT_EQ(row.size(), rows.size());
    EXPECT_EQ(row.find_first_not_of("01"), std::string::npos);
  }
  const std::string mark = "1111111";
  EXPECT_EQ(rows.front().substr(0, 7), mark);
  EXPECT_EQ(rows.front().substr(rows.size() - 7), mark);
  EXPECT_EQ(rows.back().substr(0, 7), mark);
}

TEST(RandomId, HasItsFormAndIsNeverTheSame) {
  std::set<std::string> seen;
  for (int i = 0; i < 2000; ++i) {
    const std::string id = random_id();
    EXPECT_TRUE(is_id(id));
    EXPECT_TRUE(seen.insert(id).second);
  }
  for (const char* text :
       {"", "0123456789abcdef0123456789abcde", "0123456789ABCDEF0123456789ABCDEF", "0123456789abcdef0123456789abcdeg",
        "../3456789abcdef0123456789abcdef", "0123456789abcdef0123456789abcdef0"}) {
    EXPECT_FALSE(is_id(text)) << text;
  }
}

}  // namespace
}  // namespace risetrace::serve
