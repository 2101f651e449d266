//! The same night gives the same bytes: twice, on any number of threads, in debug and release.

use bench::Prepared;
use std::process::Command;
use tests::mount::night;
use tests::{text_of, top};

const BUILT_IN: &str = "fixtures/scenarios/built-in/school-field.toml";

fn bytes_of(prepared: &Prepared) -> (String, String) {
    let outcome = prepared.play();
    (report::night_json(&outcome), report::samples_csv(&outcome))
}

/// The bytes of the built-in night, everything about it made anew.
fn built_in() -> (String, String) {
    bytes_of(&night(&text_of(BUILT_IN)))
}

#[test]
fn twice() {
    let first = built_in();
    assert!(first.0.contains("\"gotos\"") && first.1.lines().count() > 1000, "the night is empty");
    assert_eq!(first, built_in());
    // One prepared night, played again, has knots of the sky that are already made.
    let prepared = night(&text_of(BUILT_IN));
    assert_eq!(bytes_of(&prepared), first);
    assert_eq!(bytes_of(&prepared), first);
}

/// Threads share what is prepared once in a process (catalogue, fingerprint) and, here, the sky's knots of one night.
#[test]
fn on_one_and_on_two_threads() {
    let alone = built_in();
    let shared = night(&text_of(BUILT_IN));
    let together: Vec<(String, String)> = std::thread::scope(|scope| {
        let threads = [scope.spawn(built_in), scope.spawn(built_in)];
        let sharing = [scope.spawn(|| bytes_of(&shared)), scope.spawn(|| bytes_of(&shared))];
        threads
            .into_iter()
            .chain(sharing)
            .map(|thread| thread.join().expect("a thread plays a night"))
            .collect()
    });
    for bytes in together {
        assert_eq!(bytes, alone);
    }
}

/// A finer sampling asks more questions; it must leave every look and every common sample as it was.
#[test]
fn questions_change_nothing() {
    let text = text_of(BUILT_IN);
    let finer = text.replace("sample_every = \"1 s\"", "sample_every = \"250 ms\"");
    assert_ne!(text, finer);
    let (coarse, fine) = (night(&text).measure(), night(&finer).measure());
    assert_eq!(coarse.gotos, fine.gotos);
    for sample in &coarse.samples {
        assert!(fine.samples.contains(sample), "a sample differs: {sample:?}");
    }
}

/// This test's own build against the program that `NIGHTBENCH_BIN` names: `tests/run` builds that one in release.
#[test]
fn in_debug_and_in_release() {
    let Some(binary) = std::env::var_os("NIGHTBENCH_BIN") else {
        eprintln!("NIGHTBENCH_BIN names no program: nothing to compare with (tests/run sets it)");
        return;
    };
    let scenario = top().join(BUILT_IN);
    let played = Command::new(&binary)
        .arg("night")
        .arg(&scenario)
        .arg("--json")
        .output()
        .unwrap_or_else(|error| panic!("{}: {error}", binary.to_string_lossy()));
    assert!(played.status.success(), "{}", String::from_utf8_lossy(&played.stderr));
    let other = String::from_utf8(played.stdout).expect("night.json is UTF-8");
    let own = built_in().0;
    assert!(own == other, "the first difference is at byte {}", first_difference(&own, &other));
}

fn first_difference(one: &str, other: &str) -> usize {
    one.bytes().zip(other.bytes()).take_while(|(a, b)| a == b).count()
}
