//! `junit.xml`: the verdicts, for build servers.

use crate::escape::harmless;
use bench::Outcome;
use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};

/// The text of `junit.xml`: a suite named by the night, with a case for each expectation, none where the scenario
/// expects nothing. It holds no time of day and no duration, so the same night gives the same bytes.
pub fn junit_xml(outcome: &Outcome) -> String {
    let mut report = Report::new("nightbench");
    let mut suite = TestSuite::new(legal(&outcome.title));
    suite.add_property(("seed", outcome.seed.to_string().as_str()));
    suite.add_property(("scenario_digest", outcome.scenario_digest.as_str()));
    suite.add_property(("version", env!("CARGO_PKG_VERSION")));
    suite.add_property(("maths_fingerprint", outcome.maths_fingerprint.as_str()));
    for verdict in &outcome.verdicts {
        let (key, expected, found) = (legal(&verdict.key), legal(&verdict.expected), legal(&verdict.found));
        let status = if verdict.held {
            TestCaseStatus::success()
        } else {
            let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
            status.set_message(format!("{key} {expected}, found {found}"));
            status
        };
        let mut case = TestCase::new(format!("{key} {expected}"), status);
        case.set_classname("nightbench.expect");
        case.set_system_out(format!("found {found}"));
        suite.add_test_case(case);
    }
    report.add_test_suite(suite);
    let mut bytes = Vec::new();
    report.serialize(&mut bytes).expect("writing into memory can't fail");
    let text = String::from_utf8(bytes).expect("XML is written as UTF-8");
    // The schema that readers hold such files to has no count of skipped cases on the outermost element.
    text.replacen(" skipped=\"0\"", "", 1)
}

/// A text without what steers, and without the two characters beyond those that XML 1.0 has no place for.
fn legal(text: &str) -> String {
    harmless(text).replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")
}
