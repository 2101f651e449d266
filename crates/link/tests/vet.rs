//! The conformance suite: a good device passes all of it, broken ones fail what they break and nothing else.

mod toy;

use link::vet::{Subject, Verdict, vet};
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
    assert!(findings.iter().all(|finding| !matches!(finding.verdict, Verdict::NotApplicable(_))));
    let failures = findings.iter().filter(|finding| matches!(finding.verdict, Verdict::Failed(_)));
    failures.map(|finding| finding.requirement.number).collect()
}

#[tokio::test]
async fn a_device_that_does_all_passes_all() {
    assert_eq!(failed(None).await, []);
}

#[tokio::test]
async fn a_broken_device_fails_what_it_breaks() {
    for (fault, expected) in [
        (Fault::ReturnsInReplies, vec![106]),
        (Fault::AnswersEmptyLines, vec![102]),
        // 201 and 601 tell replies apart by their tags, and 213 demands one.
        (Fault::DropsTags, vec![201, 202, 213]),
        (Fault::TakesBareNumbers, vec![209, 213]),
        (Fault::IgnoresChecks, vec![302, 303]),
        (Fault::HalfDone, vec![215]),
        (Fault::TellsEveryone, vec![601]),
        (Fault::RefusesStop, vec![403]),
    ] {
        assert_eq!(failed(Some(fault)).await, expected, "{fault:?}");
    }
}
