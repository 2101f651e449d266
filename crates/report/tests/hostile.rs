//! Whatever a scenario says in its texts, results stay readable, in shape and without effect on a terminal.

mod common;

use common::eventful;
use proptest::prelude::*;
use report::{TableStyle, night_json, night_table, samples_csv};
use unicode_width::UnicodeWidthStr as _;

/// Any text at all: control characters, wide and joined characters, separators, very long words.
fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[\\x00-\\x1f\\x7f-\\u{9f}\",;=\u{202e}\u{2066}a-c ]{0,40}",
        "[\u{263a}\u{fe0f}\u{200d}\u{1f468}\u{1f3fd}\u{2764}\u{5b57}\u{301} ]{0,60}",
        "[a-z ]{100,200}",
    ]
}

fn steers(c: char) -> bool {
    (c.is_control() && c != '\n') || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn texts_stay_texts(title in any_text(), target in any_text(), refusal in any_text(), advice in any_text()) {
        let mut outcome = eventful();
        outcome.title.clone_from(&title);
        outcome.gotos[0].target.clone_from(&target);
        outcome.gotos[3].refusal = Some(refusal);
        outcome.dwells[0].target.clone_from(&target);
        outcome.advice[0] = advice;

        for unicode in [true, false] {
            let table = night_table(&outcome, TableStyle { colour: false, unicode });
            prop_assert!(!table.contains(steers));
            prop_assert!(unicode || table.is_ascii());
            for line in table.lines() {
                prop_assert!(line.width() <= 80, "{}: {:?}", line.width(), line);
            }
        }

        let json = night_json(&outcome);
        prop_assert!(!json.contains(steers));
        let night: serde_json::Value = serde_json::from_str(&json).unwrap();
        prop_assert_eq!(night["title"].as_str(), Some(title.as_str()));
        prop_assert_eq!(night["gotos"][0]["target"].as_str(), Some(target.as_str()));

        let samples = samples_csv(&outcome);
        prop_assert!(!samples.contains(steers));
        for row in csv::Reader::from_reader(samples.as_bytes()).records() {
            prop_assert_eq!(&row.unwrap()[1], &report::harmless(&target));
        }
    }
}
