#include "model/read_models.h"

#include <gtest/gtest.h>

#include "place.h"

namespace risetrace::model {
namespace {

TEST(ReadModels, ShippedFilesAreWholeAndTheCardIsAsPromised) {
  const auto models = read_models(test::source_folder() / "models");
  ASSERT_TRUE(models) << sentence(models.error());
  const TagCard& card = models->cards.tags;
  EXPECT_DOUBLE_EQ(card.side_cm, 16.0);
  EXPECT_DOUBLE_EQ(card.tag_side_cm, 5.0);
  ASSERT_EQ(card.tags.size(), 4U);
  // id 0 top left, 1 top right, 2 bottom right, 3 bottom left, centres on a 9 cm square.
  EXPECT_DOUBLE_EQ(card.tags[0].centre_cm.x, -4.5);
  EXPECT_DOUBLE_EQ(card.tags[0].centre_cm.y, 4.5);
  EXPECT_DOUBLE_EQ(card.tags[2].centre_cm.x, 4.5);
  EXPECT_DOUBLE_EQ(card.tags[2].centre_cm.y, -4.5);
  for (const TagPattern& tag : card.tags) EXPECT_EQ(tag.black.size(), 64U);
  // ISO/IEC 7810 ID-1.
  EXPECT_DOUBLE_EQ(models->cards.id_1.width_cm, 8.560);
  EXPECT_DOUBLE_EQ(models->cards.id_1.height_cm, 5.398);
  EXPECT_EQ(models->heel_raise.end_after, 2);
  EXPECT_DOUBLE_EQ(models->heel_raise.end_fraction, 0.75);
  EXPECT_EQ(models->hop.first_left_out, 3);
  EXPECT_EQ(models->hop.wanted_hops, 7);
  EXPECT_DOUBLE_EQ(models->hop.stiffness_flag_under_per_min, 132);
  EXPECT_DOUBLE_EQ(models->hop.slow_under_per_min, 72);
  EXPECT_LT(models->hop.least_contact_ms, models->hop.greatest_contact_ms);
  EXPECT_LT(models->hop.least_flight_ms, models->hop.greatest_flight_ms);
  EXPECT_EQ(models->stickers.diameters_cm, (std::vector<double>{2.5, 2.0, 1.5}));
  EXPECT_DOUBLE_EQ(models->stickers.ring_of_diameter, 0.2);
  ASSERT_EQ(models->stickers.places.size(), 5U);
  EXPECT_EQ(models->stickers.places[0].name, "Heel");
}

TEST(ReadModels, MissingFolderIsNamed) {
  const auto models = read_models("nowhere");
  ASSERT_FALSE(models);
  EXPECT_EQ(models.error().fault, Fault::model_unreadable);
  EXPECT_NE(sentence(models.error()).find("cards.json"), std::string::npos);
}

}  // namespace
}  // namespace risetrace::model
