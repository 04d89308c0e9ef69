#include "report/screen_keys.h"

namespace risetrace::model {

const char* key_of(CautionMeans means) {
  switch (means) {
    case CautionMeans::refer_same_day:
      return "refer-same-day";
    case CautionMeans::refer:
      return "refer";
    case CautionMeans::no_hops:
      return "no-hops";
    case CautionMeans::care:
      return "care";
  }
  return "";
}

const char* key_of(CutOffKind kind) {
  switch (kind) {
    case CutOffKind::difference:
      return "difference";
    case CutOffKind::index_pct:
      return "index_pct";
  }
  return "";
}

const char* key_of(Against against) {
  switch (against) {
    case Against::other_side:
      return "other-side";
    case Against::other_knee:
      return "other-knee";
    case Against::least:
      return "least";
    case Against::greatest:
      return "greatest";
  }
  return "";
}

const char* key_of(Sureness sureness) {
  switch (sureness) {
    case Sureness::doubtful:
      return "doubtful";
    case Sureness::likely:
      return "likely";
    case Sureness::sure:
      return "sure";
  }
  return "";
}

const char* key_of(SignState state) {
  switch (state) {
    case SignState::unknown:
      return "unknown";
    case SignState::good:
      return "good";
    case SignState::low:
      return "low";
  }
  return "";
}

}  // namespace risetrace::model

namespace risetrace::visit {

const char* key_of(Sex sex) {
  switch (sex) {
    case Sex::not_stated:
      return "not-stated";
    case Sex::female:
      return "female";
    case Sex::male:
      return "male";
    case Sex::other:
      return "other";
  }
  return "";
}

const char* key_of(Answer answer) {
  switch (answer) {
    case Answer::not_asked:
      return "not-asked";
    case Answer::no:
      return "no";
    case Answer::yes:
      return "yes";
  }
  return "";
}

const char* key_of(Beyond beyond) {
  switch (beyond) {
    case Beyond::not_known:
      return "not-known";
    case Beyond::no:
      return "no";
    case Beyond::yes:
      return "yes";
  }
  return "";
}

const char* key_of(Move move) {
  switch (move) {
    case Move::up:
      return "up";
    case Move::more_load:
      return "more-load";
    case Move::hold:
      return "hold";
    case Move::down:
      return "down";
  }
  return "";
}

const char* key_of(Change change) {
  switch (change) {
    case Change::cannot_tell:
      return "cannot-tell";
    case Change::not_changed:
      return "not-changed";
    case Change::changed:
      return "changed";
  }
  return "";
}

}  // namespace risetrace::visit
