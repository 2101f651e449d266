//! What the night did to the mount: for the outcome.

use crate::outcome::FaultRow;
use controller::Mishap;
use faults::Order;
use mechanics::{MountEventKind, StallCause};
use units::{Angle, Fixed};
use world::{BaseMove, Disturbance, Happening, World};

/// What struck the mount or happened in it, in time order.
pub(crate) fn faults(world: &World, ordered: &[Order]) -> Vec<FaultRow> {
    let mut rows: Vec<FaultRow> = world.happened().iter().map(fault).collect();
    // A fault that strikes on a wire is told once, when it begins, whether anybody is there or not.
    rows.extend(
        ordered.iter().filter(|order| order.kind.doc().group.is_wire() || order.choice.is_some()).map(
            |order| FaultRow {
                at: order.from,
                kind: order.kind.word().to_owned(),
                detail: format!("ordered: {}", order.text()),
            },
        ),
    );
    rows.sort_by_key(|row| row.at);
    rows
}

fn fault(happening: &Happening) -> FaultRow {
    match happening {
        Happening::Struck(at, disturbance) => {
            FaultRow { at: *at, kind: disturbance.word().to_owned(), detail: detail(disturbance) }
        }
        Happening::Mount(event) => {
            let (kind, detail) = in_the_mount(&event.kind);
            FaultRow { at: event.at, kind: kind.to_owned(), detail }
        }
    }
}

const AXES: [&str; 2] = ["first axis", "second axis"];

fn in_the_mount(kind: &MountEventKind) -> (&'static str, String) {
    match kind {
        MountEventKind::Turned { axis } => ("turned", AXES[*axis].to_owned()),
        MountEventKind::FlankChanged { axis, .. } => ("flank-changed", AXES[*axis].to_owned()),
        MountEventKind::Stalled { axis, cause } => {
            let cause = match cause {
                StallCause::Torque => "more torque was asked than its motor can pull",
                StallCause::Forced => "its motor was held",
                StallCause::Stop => "it met its stop",
                StallCause::Collision => "parts of the mount met",
            };
            ("stalled", format!("{}: {cause}; the dial doesn't know", AXES[*axis]))
        }
        MountEventKind::Caught { axis, lost } => {
            ("caught", format!("{}: the dial reads {:.1} arcsec too far", AXES[*axis], lost.arcsec()))
        }
        MountEventKind::PowerLost => ("power-lost", "the motors stand, the computer is off".to_owned()),
        MountEventKind::Reset => {
            ("reset", "the computer is up again and takes the dials for home".to_owned())
        }
    }
}

fn detail(disturbance: &Disturbance) -> String {
    match disturbance {
        Disturbance::Knock { axes, base } => format!("{}; {}", of_axes(axes), of_base(base)),
        Disturbance::Bump(axes) | Disturbance::ClutchSlip(axes) => of_axes(axes),
        Disturbance::TripodKick(base) => of_base(base),
        Disturbance::Settle { lean: [north, east], time } => format!(
            "the base comes to lean by {} to the north and {} to the east, most of it in {:.0} min",
            arcmin(*north, 1),
            arcmin(*east, 1),
            time.minutes()
        ),
        Disturbance::Wind(Some(wind)) => {
            format!("{:.1} m/s from {:.0} deg", wind.speed.metres_per_second(), wind.from.degrees())
        }
        Disturbance::Wind(None) => "calm".to_owned(),
        Disturbance::BrownOut(lasts) => format!("the supply fails for {:.3} s", lasts.seconds()),
        Disturbance::Stall { axis, lasts } => format!("{}: held for {:.3} s", AXES[*axis], lasts.seconds()),
        Disturbance::ClockJump(by) => format!("the mount's clock jumps by {:.3} s", by.seconds()),
        Disturbance::SelfRestart(lasts) => {
            format!("the watchdog starts the computer anew, which takes {:.3} s", lasts.seconds())
        }
        Disturbance::Freeze(lasts) => format!("the computer does nothing for {:.3} s", lasts.seconds()),
        Disturbance::Mishap(mishap) => of_mishap(mishap),
        Disturbance::LostSteps { axis, angle } => {
            format!("{}: its motor falls behind by {:.2} arcmin", AXES[*axis], angle.arcmin())
        }
        Disturbance::CountSlip { axis, angle } => {
            format!("{}: its count jumps by {:.2} arcmin", AXES[*axis], angle.arcmin())
        }
        Disturbance::Temperature(course) => match course.points.last() {
            Some((_, reached)) => format!("the mount comes to {:.1} degC", reached.celsius()),
            None => String::new(),
        },
    }
}

fn of_mishap(mishap: &Mishap) -> String {
    match mishap {
        Mishap::StuckBusy(lasts) => {
            format!("the computer takes itself to be busy for {:.3} s", lasts.seconds())
        }
        Mishap::ErrorFlood(count) => format!("{count} entries come into the log of errors"),
        Mishap::OldSettings => "the computer forgets what it was told since it was switched on".to_owned(),
        Mishap::LimitBounce { axis, times } => {
            format!("{}: its limit switch bounces {times} times", AXES[axis.index()])
        }
    }
}

fn of_axes(axes: &[Angle; 2]) -> String {
    let [first, second] = axes;
    format!("first axis {}, second axis {}", arcmin(*first, 2), arcmin(*second, 2))
}

/// An angle in minutes of arc; one that rounds to nothing has no sign.
fn arcmin(angle: Angle, decimals: u8) -> String {
    let mut text = String::new();
    Fixed { value: angle.arcmin(), decimals }.push_to(&mut text);
    text + " arcmin"
}

fn of_base(base: &BaseMove) -> String {
    if *base == BaseMove::default() {
        return "the base stays".to_owned();
    }
    format!(
        "the base: north end up {}, north end east {}, lean north {}, lean east {}",
        arcmin(base.north_end_up, 2),
        arcmin(base.north_end_east, 2),
        arcmin(base.lean_north, 2),
        arcmin(base.lean_east, 2)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Span;

    #[test]
    fn a_settling_that_is_nothing_one_way_has_no_sign() {
        let lean = [-0.02, 0.36].map(Angle::from_arcmin);
        let told = detail(&Disturbance::Settle { lean, time: Span::from_whole_seconds(1800) });
        assert_eq!(
            told,
            "the base comes to lean by 0.0 arcmin to the north and 0.4 arcmin to the east, most of it in 30 min"
        );
        assert_eq!(
            of_axes(&[-0.004, -3.0].map(Angle::from_arcmin)),
            "first axis 0.00 arcmin, second axis -3.00 arcmin"
        );
    }
}
