//! Every refusal is provoked by some line, and a refused line has changed nothing.

use protocol::RefusalKind;
use protocol::check;
use tests::mount::{Mount, NIGHT, night};

/// Bytes that provoke a refusal on a mount that was prepared by some lines.
struct Provocation {
    kind: RefusalKind,
    /// Obeyed beforehand, as in [`Mount::play`].
    before: &'static [&'static str],
    bytes: Vec<u8>,
}

fn provocations() -> Vec<Provocation> {
    let line = |kind, text: &str| Provocation { kind, before: &[], bytes: format!("{text}\n").into_bytes() };
    let slewing = |text: &str| Provocation {
        kind: RefusalKind::Busy,
        before: &["goto name=Regulus"],
        bytes: format!("{text}\n").into_bytes(),
    };
    let after =
        |before, kind, text: &str| Provocation { kind, before, bytes: format!("{text}\n").into_bytes() };
    let mut damaged = "stop".to_owned();
    check::append(&mut damaged);
    let damaged = damaged.replace("stop", "stap");
    vec![
        line(RefusalKind::Unreadable, "=status"),
        line(RefusalKind::Unreadable, "stop at once"),
        line(RefusalKind::UnknownVerb, "statsu"),
        line(RefusalKind::UnknownVerb, "help statsu"),
        line(RefusalKind::UnknownKey, "goto nmae=Regulus"),
        line(RefusalKind::MissingKey, "goto ra=5h35m17.3s"),
        line(RefusalKind::MissingKey, "goto"),
        line(RefusalKind::BadValue, "site latitude=41"),
        line(RefusalKind::BadValue, "site latitude=41m"),
        line(RefusalKind::BadValue, "track rate=quick"),
        line(RefusalKind::BadValue, "time utc=2027-02-30T00:00:00Z"),
        line(RefusalKind::BadValue, "time utc=2027-03-06T19:30:00"),
        line(RefusalKind::OutOfRange, "site latitude=95deg"),
        line(RefusalKind::OutOfRange, "site longitude=-3deg height=99km"),
        line(RefusalKind::RepeatedKey, "site latitude=41deg latitude=42deg"),
        line(RefusalKind::ConflictingKeys, "goto name=Regulus ra=5h dec=1deg"),
        line(RefusalKind::TooLong, &format!("goto name={}", "x".repeat(300))),
        Provocation { kind: RefusalKind::NotText, before: &[], bytes: b"st\x07op\n".to_vec() },
        line(RefusalKind::BadCheck, &damaged),
        line(RefusalKind::BadCheck, "stop check=12"),
        slewing("goto name=Castor"),
        slewing("track rate=off"),
        slewing("site latitude=41deg"),
        slewing("time utc=2027-03-06T19:31:00Z"),
        line(RefusalKind::UnknownTarget, "goto name=Regulsu"),
        // At the begin of the shared night, sidereal time 6h, it is below the northern horizon.
        line(RefusalKind::BelowHorizon, "goto name=Vega"),
        line(RefusalKind::BelowHorizon, "goto azimuth=10deg altitude=-1deg"),
        line(RefusalKind::BeyondLimit, "goto hour_axis=170deg declination_axis=0deg"),
        line(RefusalKind::WrongKind, "goto azimuth_axis=10deg altitude_axis=10deg"),
        after(&["+controls action=take"], RefusalKind::NotInControl, "goto name=Regulus"),
        after(&[NUMBERED], RefusalKind::SequenceUsed, "nudge direction=east rate=20x for=1s seq=7"),
        // At the pole a small miss would be a large turn.
        line(RefusalKind::Unreachable, "sync ra=2h32m dec=89.3deg"),
        // By day a mount that was never aligned can't know where the Sun is for its tube.
        after(&["time utc=2027-03-07T12:00:00Z"], RefusalKind::NearSun, "home"),
        after(&["park"], RefusalKind::Parked, "home"),
        line(RefusalKind::UnknownJob, "await job=1 within=1s"),
        after(AT_REGULUS, RefusalKind::NoAlignment, "sight name=Regulus"),
        after(SIGHTED_OF_TWO, RefusalKind::UnfitSighting, "sight name=Regulus"),
        after(SIGHTED, RefusalKind::Suspicious, "sight name=Castor"),
        line(RefusalKind::NotAllowed, "fault kind=old-settings"),
        line(RefusalKind::ConflictingKeys, "fault kind=stall baud=9600"),
        line(RefusalKind::MissingKey, "fault kind=clock-jump"),
        line(RefusalKind::WrongKind, "fault kind=stall axis=altitude"),
        line(RefusalKind::OutOfRange, "faults entry=1"),
        after(&["checks demand=yes"], RefusalKind::BadCheck, "stop"),
        after(NO_STAR, RefusalKind::NoStar, "propose"),
        line(RefusalKind::NoAlignment, "align method=resume"),
        line(RefusalKind::NoAlignment, "keep alignment=this"),
        line(RefusalKind::NoAlignment, "polar-offset name=Procyon"),
        line(RefusalKind::NoRecording, "playback state=on"),
        // Due west both bolts move a star along one line.
        after(SIGHTED, RefusalKind::BadPlace, "polar-offset name=Hamal"),
    ]
}

const NUMBERED: &str = "nudge direction=west rate=20x for=1s seq=7";
const AT_REGULUS: &[&str] = &["goto name=Regulus", "(60 s)"];
const SIGHTED: &[&str] = &["align method=one-star", "goto name=Regulus", "(60 s)", "sight name=Regulus"];
/// The same star twice tells nothing more.
const SIGHTED_OF_TWO: &[&str] =
    &["align method=two-star", "goto name=Regulus", "(60 s)", "sight name=Regulus"];
/// At noon all that stands above 60° is within 90° of the Sun.
const NO_STAR: &[&str] = &["horizon level=60deg", "sun radius=90deg", "time utc=2027-03-07T12:00:00Z"];

/// What isn't allowed is refused where nothing is.
fn mount_for(kind: RefusalKind) -> Mount {
    match kind {
        RefusalKind::NotAllowed => Mount::new(night(NIGHT).world_spec().clone()),
        _ => Mount::of_the_shared_night(),
    }
}

#[test]
fn every_refusal_is_provoked_and_changes_nothing() {
    for Provocation { kind, before, bytes } in provocations() {
        let mut mount = mount_for(kind);
        mount.play(before);
        // In the middle of a slew, if there is one.
        mount.wait(5.0);
        let told = String::from_utf8_lossy(&bytes).trim_end().to_owned();
        let earlier = mount.everything();
        let reply = mount.send(&bytes);
        let start = format!("no {} {} \"", kind.number(), kind.word());
        assert!(reply.starts_with(&start), "`{told}` was answered with `{reply}`, not with {start}");
        assert_eq!(mount.everything(), earlier, "`{told}` was refused and changed something");
        // Nor has it changed what comes: both mounts end alike.
        let mut undisturbed = mount_for(kind);
        undisturbed.play(before);
        undisturbed.wait(5.0);
        assert_eq!(mount.settle(), undisturbed.settle(), "after `{told}`");
        assert_eq!(mount.everything(), undisturbed.everything(), "after `{told}`");
    }
}

#[test]
fn no_refusal_is_left_out() {
    let provoked: Vec<RefusalKind> = provocations().iter().map(|one| one.kind).collect();
    let missing: Vec<&str> =
        RefusalKind::ALL.iter().filter(|kind| !provoked.contains(kind)).map(|kind| kind.word()).collect();
    assert!(missing.is_empty(), "no line provokes {missing:?}");
}

/// A refusal keeps the client's tag where it could be read, and a checked line is answered with a check.
#[test]
fn refusals_keep_tag_and_check() {
    let mut mount = Mount::of_the_shared_night();
    assert!(mount.send(b"@a1 statsu\n").starts_with("no @a1 11 unknown-verb "));
    let mut line = "@a2 site latitude=95deg".to_owned();
    check::append(&mut line);
    let reply = mount.send(format!("{line}\n").as_bytes());
    assert!(
        matches!(check::take(&reply), check::Checked::Good(body) if body.starts_with("no @a2 15 ")),
        "{reply}"
    );
}
