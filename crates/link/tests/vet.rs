//! The conformance suite: a good device passes all of it, broken ones fail what they break and nothing else.

mod toy;

use link::vet::{Finding, REQUIREMENTS, Subject, Verdict, junit, vet};
use link::{Limits, Token};
use toy::{Fault, Toy, over_tcp};

/// The numbers of the requirements that failed.
async fn failed(fault: Option<Fault>) -> Vec<u16> {
    let token = Token::new("a-long-and-secret-word").unwrap();
    let (server, address) = over_tcp(Toy::new(fault), Limits::default(), Some(token.clone())).await;
    let subject =
        Subject { address: address.to_string().parse().unwrap(), token: Some(token), may_move: true };
    let findings = vet(&subject, |_| {}).await.unwrap();
    server.end().await;
    // What the toy has no verbs for.
    let absent = [504, 505, 506, 604, 605, 606];
    for finding in &findings {
        let left_out = matches!(finding.verdict, Verdict::NotApplicable(_));
        assert_eq!(left_out, absent.contains(&finding.requirement.number), "{finding:?}");
    }
    let failures = findings.iter().filter(|finding| matches!(finding.verdict, Verdict::Failed(_)));
    failures.map(|finding| finding.requirement.number).collect()
}

#[tokio::test]
async fn a_device_that_does_all_passes_all() {
    assert_eq!(failed(None).await, []);
}

#[tokio::test]
async fn a_broken_device_fails_what_it_breaks() {
    let expectations: [(Fault, &[u16]); 8] = [
        (Fault::ReturnsInReplies, &[106]),
        (Fault::AnswersEmptyLines, &[102]),
        // 201 tells replies apart by their tags, and 213 demands one.
        (Fault::DropsTags, &[201, 202, 213]),
        // 213 provokes a refusal with a bare number.
        (Fault::TakesBareNumbers, &[209, 213]),
        (Fault::IgnoresChecks, &[302, 303]),
        (Fault::HalfDone, &[215]),
        (Fault::TellsEveryone, &[601]),
        (Fault::RefusesStop, &[403]),
    ];
    let trials: Vec<_> =
        expectations.into_iter().map(|(fault, _)| tokio::spawn(failed(Some(fault)))).collect();
    for (trial, (fault, expected)) in trials.into_iter().zip(expectations) {
        assert_eq!(trial.await.unwrap(), expected, "{fault:?}");
    }
}

#[test]
fn the_numbers_grow_and_the_report_is_well_formed() {
    assert!(REQUIREMENTS.is_sorted_by(|one, next| one.number < next.number));
    let requirement = &REQUIREMENTS[0];
    let finding = |verdict| Finding { requirement, verdict, lines: vec!["> a\\x1b<&\n".to_owned()] };
    let report = junit(
        "127.0.0.1:1",
        &[
            finding(Verdict::Passed),
            finding(Verdict::Failed("`ok` was expected, not `\u{1b}<`".to_owned())),
            finding(Verdict::NotApplicable("why".to_owned())),
        ],
    );
    assert!(
        report.contains("tests=\"3\" skipped=\"1\" errors=\"0\" failures=\"1\"")
            && report.contains("<skipped"),
        "{report}"
    );
    assert!(!report.contains('\u{1b}') && report.contains("&lt;&amp;"), "{report}");
}

#[test]
fn the_manuals_page_is_as_the_table_says() {
    let page = include_str!("../../../docs/reference/conformance.md");
    let remedy = "cargo run -p link --example conformance_page > docs/reference/conformance.md";
    assert!(page == link::vet::reference_page(), "docs/reference/conformance.md is stale: {remedy}");
}
