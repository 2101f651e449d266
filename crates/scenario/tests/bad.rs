//! Files that must be refused, each with what a user is told; beside each `x.toml` stands its message `x.err`.
//!
//! After a change of wording, the test names the file and shows both texts; `cargo run -p scenario --example messages`
//! writes all messages anew, and the change is then read in the version control's comparison.

mod common;

use common::{each, fixtures, rendered, text_of};
use scenario::{BYTES_MOST, Complaint, ComplaintKind, Plan, read, read_bytes};

fn refused(result: Result<Plan, Vec<Complaint>>) -> Vec<Complaint> {
    match result {
        Ok(_) => panic!("this file must be refused"),
        Err(complaints) => complaints,
    }
}

#[test]
fn every_bad_night_is_refused_with_its_message() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    each("bad", "toml", |name, text| {
        let said = match read(text) {
            Ok(_) => "(it was accepted)\n".to_owned(),
            Err(complaints) => rendered(name, text, &complaints),
        };
        let golden = fixtures("bad").join(name).with_extension("err");
        let expected = std::fs::read_to_string(&golden).unwrap_or_default();
        if said != expected {
            wrong.push(format!("{name}\n--- expected\n{expected}--- said\n{said}"));
        }
        seen += 1;
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(seen > 40);
}

/// Every complaint has a place in its file, a problem and a way out.
#[test]
fn no_complaint_is_empty() {
    each("bad", "toml", |name, text| {
        let complaints = refused(read(text));
        assert!(complaints.len() <= 51, "{name}");
        for complaint in &complaints {
            assert!(!complaint.problem.is_empty() && !complaint.expected.is_empty(), "{name}: {complaint}");
            assert!(complaint.span.end <= text.len(), "{name}: {complaint}");
            assert!(complaint.line >= 1 && complaint.column >= 1, "{name}: {complaint}");
            let picture = complaint.render(name, text);
            assert!(picture.chars().all(|c| c == '\n' || c == '\t' || !c.is_control()), "{name}");
            // The widest parts are the excerpt (100 characters and its frame) and the sentence beside the mark.
            assert!(picture.lines().all(|line| line.chars().count() < 400), "{name}: {picture}");
        }
    });
}

/// Every sort of complaint that a file can cause is shown by a fixture (those about bytes have tests below).
#[test]
fn every_sort_of_complaint_has_a_fixture() {
    use ComplaintKind as Sort;
    let mut seen = std::collections::BTreeSet::new();
    each("bad", "toml", |_, text| seen.extend(refused(read(text)).iter().map(|complaint| complaint.kind)));
    let all = [
        Sort::Syntax,
        Sort::Duplicate,
        Sort::UnknownKey,
        Sort::MissingKey,
        Sort::WrongType,
        Sort::WrongQuantity,
        Sort::UnknownWord,
        Sort::UnknownTarget,
        Sort::OutOfRange,
        Sort::OutOfPlace,
        Sort::Unusable,
        Sort::TooMuch,
    ];
    for sort in all {
        assert!(seen.contains(&sort), "{sort:?}");
    }
}

#[test]
fn a_file_over_one_mebibyte_is_refused_before_it_is_read() {
    let large = vec![b'#'; BYTES_MOST + 1];
    let complaints = refused(read_bytes(&large));
    assert_eq!(complaints.len(), 1);
    assert_eq!(complaints[0].kind, ComplaintKind::NotText);
    assert_eq!(
        complaints[0].render("large.toml", ""),
        "error: the file has 1048577 bytes; 1048576 are the most\n  at large.toml:1:1\n  \
         a scenario is a page or two of text: is this the right file?\n"
    );
    let just = vec![b'#'; BYTES_MOST];
    assert_ne!(refused(read_bytes(&just))[0].kind, ComplaintKind::NotText);
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_place() {
    let complaints = refused(read_bytes(b"format = 1\ntitle = \"caf\xe9\"\n"));
    assert_eq!((complaints[0].line, complaints[0].column), (2, 13));
    assert_eq!(complaints[0].problem, "byte 24 of the file is no UTF-8 text");
}

/// A file made to be dear: deep nesting, very many keys, very many unknown names.
#[test]
fn hostile_files_are_refused_soon() {
    let deep = format!("x = {}{}", "[".repeat(100_000), "]".repeat(100_000));
    refused(read(&deep));
    let dotted = format!("{}x = 1", "a.".repeat(100_000));
    refused(read(&dotted));
    let many: String = (0..40_000).map(|i| format!("key_{i} = {i}\n")).collect();
    assert_eq!(refused(read(&many)).len(), 51);
    let names: String = (0..20_000).map(|i| format!("[[observe]]\ntarget = \"no star {i}\"\n")).collect();
    assert_eq!(refused(read(&names)).len(), 51);
    let twice = "a = 1\n".repeat(150_000);
    assert_eq!(refused(read(&twice)).len(), 51);
    let good = text_of(&fixtures("good").join("smallest.toml"));
    let vega = "\"Vega\", ".repeat(100_000);
    let stars = format!("{good}\n[alignment]\nmethod = \"many-star\"\nstars = [{vega}]\n");
    assert_eq!(refused(read(&stars))[0].kind, ComplaintKind::TooMuch);
    let terms = "{ harmonic = 1, amplitude = \"1 arcsec\" }, ".repeat(20_000);
    let gears = format!("{good}\n[mount.hour_axis]\nperiodic_error = [{terms}]\n");
    assert_eq!(refused(read(&gears))[0].kind, ComplaintKind::TooMuch);
}

#[test]
fn a_good_file_with_one_fault_gets_one_complaint() {
    let good = text_of(&fixtures("good").join("school_field.toml"));
    let check = |from: &str, to: &str, key: &str, kind: ComplaintKind| {
        assert!(good.contains(from), "{from}");
        let complaints = refused(read(&good.replacen(from, to, 1)));
        assert_eq!(complaints.len(), 1, "{complaints:?}");
        assert_eq!((complaints[0].key.as_str(), complaints[0].kind), (key, kind), "{}", complaints[0]);
    };
    check("\"12 deg\"", "\"12\"", "site.horizon", ComplaintKind::WrongQuantity);
    check("\"close\"\ndwell", "\"clos\"\ndwell", "observe[0].eyepiece", ComplaintKind::UnknownWord);
    check(
        "harmonic = 1.0",
        "harmonic = -1.0",
        "mount.hour_axis.periodic_error[0].harmonic",
        ComplaintKind::OutOfRange,
    );
    check("\"Regulus\"", "\"Regolus\"", "alignment.later[0].target", ComplaintKind::UnknownTarget);
    check("at = \"21:45\"", "at = \"2145\"", "disturb[0].at", ComplaintKind::WrongQuantity);
    check("view =", "vue =", "tube.vue", ComplaintKind::UnknownKey);
}
