//! What goes wrong on the wire: a client that asks once a second tells what came of it.

use super::{Verdict, hold, near};
use crate::night::Case;
use bench::Prepared;
use protocol::Device as _;
use units::Span;

/// Twenty requests, one a second from the first second of the night on.
const ASKED: usize = 20;

/// What a client heard: seconds since the begin, and the line.
fn heard(prepared: &Prepared) -> Vec<(f64, String)> {
    let mut world = prepared.world();
    let begin = world.now();
    let session = world.connect();
    let mut all = Vec::new();
    for second in 0..(ASKED + 60) {
        // Every tenth of a second is looked at: the finest that the rules here ask for.
        for tenth in 0..10 {
            let at = begin + Span::from_seconds(second as f64 + f64::from(tenth) / 10.0);
            world.advance_to(at);
            if tenth == 0 && (1..=ASKED).contains(&second) {
                let line = if second % 2 == 0 { "axes" } else { "status" };
                world.receive(session, format!("@{second} {line}\n").as_bytes());
            }
            let mut bytes = Vec::new();
            world.transmit(session, &mut bytes);
            let text = String::from_utf8_lossy(&bytes).into_owned();
            let seconds = (at - begin).seconds();
            all.extend(
                text.lines().filter(|line| !line.starts_with('*')).map(|line| (seconds, line.to_owned())),
            );
        }
    }
    all
}

/// Lines with the seconds since the begin at which they were heard.
type Heard = Vec<(f64, String)>;

fn both(case: &Case) -> (Heard, Heard) {
    (heard(&case.base_night()), heard(&case.changed_night()))
}

/// Which requests have no reply.
fn lost(heard: &[(f64, String)]) -> Vec<usize> {
    (1..=ASKED)
        .filter(|number| !heard.iter().any(|(_, line)| line.starts_with(&format!("ok @{number} "))))
        .collect()
}

fn lateness(heard: &[(f64, String)]) -> Vec<f64> {
    let late = |number: usize| {
        let tag = format!("ok @{number} ");
        heard.iter().find(|(_, line)| line.starts_with(&tag)).map(|(at, _)| at - number as f64)
    };
    (1..=ASKED).filter_map(late).collect()
}

/// A reply that is late by one second becomes late by two.
pub fn later(case: &Case) -> Verdict {
    let (before, after) = both(case);
    for (found, expected) in [(lateness(&before), 1.0), (lateness(&after), 2.0)] {
        hold(found.len() == ASKED, "a late reply is lost")?;
        for late in found {
            near("seconds late", late, expected, 1e-6)?;
        }
    }
    Ok(())
}

/// The lateness is no longer the same for all, and stays within its bounds.
pub fn uneven(case: &Case) -> Verdict {
    let late = lateness(&heard(&case.changed_night()));
    // Tenths of a second are looked at, so what comes in between is seen up to one later.
    hold(
        late.iter().all(|late| (0.5 - 1e-6..=1.6 + 1e-6).contains(late)),
        "a reply is too early or too late",
    )?;
    hold(late.iter().any(|one| (one - late[0]).abs() > 0.05), "the lateness is the same for all")
}

pub fn every_fourth_is_lost(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before) == [2, 4, 6, 8, 10, 12, 14, 16, 18, 20], "every second is lost beforehand")?;
    hold(lost(&after) == [4, 8, 12, 16, 20], "every fourth is lost")
}

pub fn the_seventh_is_lost(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before) == [3] && lost(&after) == [7], "the one of that number is lost, and no other")
}

/// Requests for the axes are the even ones.
pub fn lines_with_a_text_are_lost(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before) == [1, 3, 5, 7, 9, 11, 13, 15, 17, 19], "status is lost beforehand")?;
    hold(lost(&after) == [2, 4, 6, 8, 10, 12, 14, 16, 18, 20], "axes is lost")
}

pub fn never_and_always(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before).is_empty() && lost(&after).len() == ASKED, "a chance of 0 % is never, of 100 % always")
}

/// With full correlation the first draw holds for all.
pub fn alike(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold((4..=16).contains(&lost(&before).len()), "half of them are lost by chance")?;
    hold([0, ASKED].contains(&lost(&after).len()), "all are treated alike")
}

pub fn two_in_a_row(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before) == [3] && lost(&after) == [3, 4], "the burst is as long as it says")
}

pub fn other_draws(case: &Case) -> Verdict {
    let (before, after) = both(case);
    hold(lost(&before) != lost(&after), "another stream draws otherwise")
}

/// What is lost is the mount's line, then the client's.
pub fn the_other_way(case: &Case) -> Verdict {
    let struck = |prepared: &Prepared| {
        let mut world = prepared.world();
        let session = world.connect();
        world.advance_to(world.now() + Span::from_whole_seconds(1));
        world.receive(session, b"@1 status\n");
        let strikes = world.wire_strikes().iter().map(|(_, strike)| strike.before.clone());
        strikes.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).collect::<Vec<_>>()
    };
    let (before, after) = (struck(&case.base_night()), struck(&case.changed_night()));
    hold(before.len() == 1 && before[0].starts_with("ok @1 "), "the reply is struck beforehand")?;
    hold(after == ["@1 status\n"], "the request is struck")
}

/// Lines are cut to so many bytes.
pub fn cut_shorter(case: &Case) -> Verdict {
    let (before, after) = both(case);
    let long = |heard: &[(f64, String)], bytes: usize| heard.iter().all(|(_, line)| line.len() == bytes);
    hold(
        before.len() == ASKED && long(&before, 20) && long(&after, 10),
        "lines have as many bytes as were left",
    )
}

/// A line of so many bytes takes ten bits each: twice as fast is half as long.
pub fn twice_as_fast(case: &Case) -> Verdict {
    let (before, after) = both(case);
    let last = |heard: &[(f64, String)]| heard.last().map_or(0.0, |(at, _)| *at);
    let bytes: usize = after.iter().map(|(_, line)| line.len() + 1).sum();
    hold(before.len() == ASKED && after.len() == ASKED, "a slow line loses nothing")?;
    // The line is busy from the first reply on; what ends within a tenth of a second is seen at its end.
    near("seconds until the last reply", last(&before) - 1.0, bytes as f64 * 10.0 / 300.0, 0.2)?;
    near("seconds until the last reply", last(&after) - 1.0, bytes as f64 * 10.0 / 600.0, 0.2)
}

/// The count of the hour axis is off by so much, and the axis isn't.
pub fn count_slips_further(case: &Case) -> Verdict {
    let dial = |prepared: &Prepared| {
        let mut world = prepared.world();
        world.advance_to(world.now() + Span::from_whole_seconds(10));
        let truth = world.truth();
        (truth.dials().first.arcmin(), truth.axes().first.arcmin())
    };
    let (before, after) = (dial(&case.base_night()), dial(&case.changed_night()));
    // Counts are whole microsteps, far below a tenth of an arcminute.
    near("jump of the dial, arcmin", after.0 - before.0, 3.0, 0.1)?;
    near("jump of the axis, arcmin", after.1 - before.1, 0.0, 1e-6)
}
