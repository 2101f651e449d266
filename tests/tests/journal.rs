//! Journals: whole nights and talks played again to the same lines, and everything that makes one unusable.

use bench::{JournalHead, NotThisNight, Prepared};
use protocol::Device as _;
use tests::mount::{NIGHT, night};
use tests::text_of;
use units::Span;
use world::{Allowed, FaultsAllowed, Replayed, World};

/// A night with visitors, gusts, a knock and a loss of power.
const TROUBLED: &str = r#"
format = 1
[night]
begin = 2027-03-06T20:30:00+01:00
length = "3 h"
seed = 11
[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
[mount]
kind = "german-equatorial"
grade = "worn"
[mount.clock]
drift = "80 ppm"
[alignment]
method = "two-star"
[[observe]]
target = "M 42"
dwell = "18 min"
visitors = 12
[[observe]]
target = "Regulus"
dwell = "5 min"
[[observe]]
target = "Capella"
[[disturb]]
at = "20:35"
kind = "wind"
speed = "6 m/s"
[[disturb]]
at = "20:40"
kind = "knock"
hour_axis = "3 arcmin"
[[disturb]]
at = "20:45"
kind = "brown-out"
lasts = "2 s"
"#;

fn played(prepared: &Prepared) -> String {
    prepared.play_with_journal().1
}

#[track_caller]
fn same(prepared: &Prepared, journal: &str) -> usize {
    let mut replay = prepared.replay(journal).unwrap_or_else(|error| panic!("{error}"));
    match replay.play_to(None) {
        Replayed::Same { lines, .. } => lines,
        differs => panic!("{differs:?}"),
    }
}

#[test]
fn nights_come_again_line_by_line() {
    let built_in = text_of("fixtures/scenarios/built-in/school-field.toml");
    for text in [NIGHT, TROUBLED, &built_in] {
        let prepared = night(text);
        let journal = played(&prepared);
        assert_eq!(played(&prepared), journal, "the same night has another journal");
        let lines = journal.lines().count();
        let head = 8;
        let draws = journal.lines().filter(|line| line.split(' ').nth(2) == Some("draw")).count();
        assert_eq!(same(&prepared, &journal), lines - head - draws);
    }
}

/// A journal has what the issue of a night is traced by: both times, lines both ways, events, draws, disturbances, power.
#[test]
fn a_journal_tells_everything_that_passed() {
    let journal = played(&night(TROUBLED));
    for part in [
        " in 0 goto name=",
        " out 0 ok job=",
        " event arrived job=",
        " draw 0 eyepiece centring",
        " struck knock",
        " struck wind",
        " befell ",
        " mount power-lost",
        " mount power-back",
        " event restarted",
        " end ",
    ] {
        assert!(journal.contains(part), "`{part}` is not in the journal");
    }
    // The crystal is 80 ppm off.
    let knock = journal.lines().find(|line| line.ends_with(" struck knock")).expect("it was struck");
    let times: Vec<f64> = knock.split(' ').take(2).map(|word| word.parse().expect("a time")).collect();
    assert_eq!(times[0], 600.0);
    // Nanoseconds of rounding.
    assert!(((times[1] - times[0]).abs() - 600.0 * 80e-6).abs() < 1e-8, "{knock}");
}

#[test]
fn the_first_difference_is_named() {
    let prepared = night(TROUBLED);
    let journal = played(&prepared);
    let lines: Vec<&str> = journal.lines().collect();
    let outs =
        lines.iter().enumerate().filter(|(_, line)| line.contains(" out 0 ok ")).map(|(index, _)| index);
    for index in outs.step_by(7) {
        let mut changed = lines.clone();
        let other = lines[index].replace(" ok ", " ok  ");
        changed[index] = &other;
        let text = changed.join("\n") + "\n";
        let found = prepared.replay(&text).expect("it still is a journal").play_to(None);
        let expected = Replayed::Differs {
            line: index + 1,
            expected: Some(other.clone()),
            got: Some(lines[index].to_owned()),
        };
        assert_eq!(found, expected);
    }
    // A line that is gone, one too many, and another request.
    let last = lines.len();
    let shorter = lines[..last - 2].join("\n") + "\n";
    assert!(matches!(prepared.replay(&shorter).unwrap().play_to(None), Replayed::Same { .. }));
    let longer = journal.clone() + &format!("{}\n", lines[last - 1].replace(" end ", " event "));
    let found = prepared.replay(&longer).unwrap().play_to(None);
    assert!(matches!(found, Replayed::Differs { line, got: None, .. } if line == last + 1), "{found:?}");
    let other = journal.replacen(" in 0 goto name=", " in 0 goto name=x", 1);
    let at = other.lines().position(|line| line.contains("name=x")).expect("it was changed");
    let found = prepared.replay(&other).unwrap().play_to(None);
    assert!(matches!(found, Replayed::Differs { line, .. } if line == at + 2), "{found:?}");
}

/// Whatever was played before, an instant has the same state; copies on the way make later ones quick.
#[test]
fn instants_come_in_any_order() {
    let prepared = night(TROUBLED);
    let journal = played(&prepared);
    let alone =
        |seconds: i64| prepared.replay(&journal).unwrap().play_to(Some(Span::from_whole_seconds(seconds)));
    let mut replay = prepared.replay(&journal).unwrap();
    for seconds in [1300, 100, 901, 900, 700, 0, 1400, 600] {
        let found = replay.play_to(Some(Span::from_whole_seconds(seconds)));
        assert_eq!(found, alone(seconds), "at {seconds} s");
        assert!(
            matches!(found, Replayed::Same { at, .. } if at == Span::from_whole_seconds(seconds)),
            "{found:?}"
        );
    }
    assert_eq!(replay.play_to(None), prepared.replay(&journal).unwrap().play_to(None));
}

/// A talk in which the client owns the clock, with all that can come over a wire.
fn stepped_talk(prepared: &Prepared) -> String {
    let (mut world, mut journal) =
        prepared.world_with_journal(Allowed { clock: true, faults: FaultsAllowed::All });
    let first = world.connect();
    let second = world.connect();
    let say = |world: &mut World, session, bytes: &[u8]| world.receive(session, bytes);
    say(&mut world, first, b"identify\r\n\n@1 goto name=Regulus\nclock until=event\nst\xff\x07op\\\n");
    say(&mut world, second, "x".repeat(400).as_bytes());
    say(&mut world, second, b"\nstatus\nchecks demand=yes\nstatus\n");
    say(
        &mut world,
        first,
        b"fault kind=brown-out after=3s\nfault kind=lost-reply every=3\nclock by=20s\nstatus\n",
    );
    say(&mut world, first, b"axes\naxes\naxes\n");
    say(&mut world, first, b"faults entry=2\nfault kind=clock-jump by=-2s\nclock by=1h\n");
    world.disconnect(second);
    world.befall(world::Disturbance::Bump([units::Angle::from_arcmin(2.0), units::Angle::from_arcmin(-1.0)]));
    say(&mut world, first, b"clock by=0.25s\nsta");
    world.end_transcript();
    journal.push_str(&world.take_transcript());
    journal
}

#[test]
fn a_stepped_talk_comes_again() {
    let prepared = night(NIGHT);
    let journal = stepped_talk(&prepared);
    assert_eq!(stepped_talk(&prepared), journal);
    assert!(same(&prepared, &journal) > 30, "{journal}");
    for part in [
        "in-long 1",
        "in-bytes 0 st\\xff\\x07op\\\\",
        "wire 0 lost-reply sent order=2",
        "silent 0",
        "close 1",
    ] {
        let found = journal.contains(part);
        assert_eq!(found, part != "silent 0", "`{part}`\n{journal}");
    }
}

#[test]
fn what_is_no_journal_of_this_night_is_refused_with_its_line() {
    let prepared = night(TROUBLED);
    let journal = played(&prepared);
    let refused = |text: &str| match prepared.replay(text) {
        Err(NotThisNight::Unusable(error)) => error.line,
        other => panic!("{other:?} for {text:.300}"),
    };
    assert_eq!(refused(""), 1);
    assert_eq!(refused("{\"format\": 1}\n"), 1);
    assert_eq!(refused(&journal.replacen("nightbench-journal 1", "nightbench-journal 2", 1)), 1);
    assert_eq!(refused(&journal.replacen("seed 11", "seed eleven", 1)), 5);
    assert_eq!(refused(&journal.replacen("time-by-itself", "time-by-magic", 1)), 7);
    for bad in [
        "now",
        "1.0 1.0 in 0 status",
        "1.000000000 1.000000000",
        "1.000000000 1.000000000 sang 0 la",
        "1.000000000 1.000000000 in one status",
        "1.000000000 1.000000000 in 0 ",
        "1.000000000 1.000000000 in-bytes 0 \\q",
        "1.000000000 1.000000000 in-bytes 0 a\\nb",
        "1.000000000 1.000000000 befell earthquake",
        "1.000000000 1.000000000 befell bump first=1arcmin",
        "1.000000000 1.000000000 wire 0 no-such-fault sent",
        "99999999999.000000000 1.000000000 in 0 status",
    ] {
        let text = format!("{}{bad}\n", journal.split_inclusive('\n').take(8).collect::<String>());
        assert_eq!(refused(&text), 9, "{bad}");
    }
    let (head, ..) = JournalHead::read(&journal).expect("a journal");
    let other = JournalHead { scenario: "0".repeat(64), ..head.clone() }.text();
    assert!(matches!(prepared.replay(&other), Err(NotThisNight::Scenario { .. })));
    let other = JournalHead { seed: 12, ..head.clone() }.text();
    assert!(matches!(prepared.replay(&other), Err(NotThisNight::Seed { journal: 12, night: 11 })));
    assert_eq!(JournalHead::read(&head.text()).expect("it reads back").0, head);
}

/// A file that was cut anywhere is refused, or plays as far as it goes.
#[test]
fn a_journal_that_was_cut_never_hurts() {
    let prepared = night(NIGHT);
    let journal = stepped_talk(&prepared);
    let head = prepared.journal_head(Allowed::default()).text().len();
    for length in (0..journal.len()).step_by(3) {
        let text = &journal[..journal.floor_char_boundary(length)];
        match prepared.replay(text) {
            Ok(mut replay) => drop(replay.play_to(None)),
            Err(error) => assert!(length < head || matches!(error, NotThisNight::Unusable(_)), "{error}"),
        }
    }
}
