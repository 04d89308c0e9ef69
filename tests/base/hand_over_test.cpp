// What is put comes out in order; neither side waits for one that has gone.
#include "base/hand_over.h"

#include <gtest/gtest.h>

#include <atomic>
#include <memory>
#include <thread>
#include <vector>

namespace risetrace {
namespace {

TEST(HandOver, KeepsTheOrderAndTheMost) {
  HandOver<std::unique_ptr<int>> between;
  constexpr int count = 2000;
  constexpr int most = 3;
  std::atomic<int> put = 0;
  std::atomic<int> taken = 0;
  std::atomic<bool> too_many = false;
  std::thread putter([&] {
    for (int i = 0; i < count; ++i) {
      if (!between.put(std::make_unique<int>(i), most)) return;
      // `put` so far, less what was taken for certain: one may be in the taker's hand, not yet counted.
      if (++put - taken > most + 1) too_many = true;
    }
    between.close();
  });
  std::vector<int> order;
  while (const auto item = between.take()) {
    order.push_back(**item);
    ++taken;
  }
  putter.join();
  ASSERT_EQ(order.size(), static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) EXPECT_EQ(order[static_cast<std::size_t>(i)], i);
  EXPECT_FALSE(too_many);
}

TEST(HandOver, OneAlwaysFindsRoom) {
  HandOver<int> between;
  EXPECT_TRUE(between.put(1, 0));
  EXPECT_EQ(between.take(), 1);
}

TEST(HandOver, WhatLiesReadyWhenClosedIsStillTaken) {
  HandOver<int> between;
  EXPECT_TRUE(between.put(1, 4));
  EXPECT_TRUE(between.put(2, 4));
  between.close();
  EXPECT_EQ(between.take(), 1);
  EXPECT_EQ(between.take(), 2);
  EXPECT_EQ(between.take(), std::nullopt);
}

TEST(HandOver, AbandonedLetsBothGo) {
  HandOver<int> full;
  ASSERT_TRUE(full.put(1, 1));
  std::thread putter([&] { EXPECT_FALSE(full.put(2, 1)); });
  full.abandon();
  putter.join();
  HandOver<int> empty;
  std::thread taker([&] { EXPECT_EQ(empty.take(), std::nullopt); });
  empty.abandon();
  taker.join();
}

}  // namespace
}  // namespace risetrace
