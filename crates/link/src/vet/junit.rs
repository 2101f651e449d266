//! Findings as a JUnit report, which continuous integration shows.

use super::{Finding, Verdict};
use quick_junit::{NonSuccessKind, Report, TestCase, TestCaseStatus, TestSuite};

/// All findings as one suite named by the address; the lines exchanged stand in each failure.
///
/// # Panics
/// Never: a report in memory can be written.
pub fn junit(address: &str, findings: &[Finding]) -> String {
    let mut suite = TestSuite::new(format!("conformance of {address}"));
    for finding in findings {
        let status = match &finding.verdict {
            Verdict::Passed => TestCaseStatus::success(),
            Verdict::NotApplicable(why) => {
                let mut status = TestCaseStatus::skipped();
                status.set_message(why.as_str());
                status
            }
            Verdict::Failed(what) => {
                let mut status = TestCaseStatus::non_success(NonSuccessKind::Failure);
                status.set_message(what.as_str());
                status.set_description(finding.lines.join("\n"));
                status
            }
        };
        let name = format!("{} {}", finding.requirement.number, finding.requirement.demand);
        suite.add_test_case(TestCase::new(name, status));
    }
    let mut report = Report::new("nightbench vet");
    report.add_test_suite(suite);
    let text =
        report.to_string().unwrap_or_else(|error| unreachable!("a report is written into memory: {error}"));
    // The schema that readers hold such files to has no count of skipped cases on the outermost element.
    let skipped =
        findings.iter().filter(|finding| matches!(finding.verdict, Verdict::NotApplicable(_))).count();
    text.replacen(&format!(" skipped=\"{skipped}\""), "", 1)
}
