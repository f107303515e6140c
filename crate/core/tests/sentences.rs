//! Sentences that say a number say the one that is computed with.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use extrados::anatomy::course::UNCERTAIN_END_MM;
use extrados::casefile::case::CArm;
use extrados::graft::lie::DEFAULT_PUSH;
use extrados::message;

fn says(sentence: &str, words: &str) {
    assert!(sentence.contains(words), "“{words}” is not in: {sentence}");
}

#[test]
fn sentences_say_the_limits_they_are_about() {
    says(message::UNCERTAIN_END, &format!("within {UNCERTAIN_END_MM} mm"));
    says(message::NEAR_END, &format!("within {UNCERTAIN_END_MM} mm"));
    says(message::HARDLY_PUSHED, &format!("less push than {:e} per", DEFAULT_PUSH.relaxed_per_mm2));
    let CArm { primary_limit_deg: [rao, lao], secondary_limit_deg: [caudal, cranial], .. } = CArm::default();
    says(message::DEFAULT_REACH, &format!("RAO {} to LAO {lao}, CAU {} to CRA {cranial}", -rao, -caudal));
}
