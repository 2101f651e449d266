//! What the night did to the mount: for the outcome.

use crate::outcome::FaultRow;
use mechanics::{MountEventKind, StallCause};
use units::Angle;
use world::{BaseMove, Disturbance, Happening, World};

/// What struck the mount or happened in it, in time order.
pub(super) fn faults(world: &World) -> Vec<FaultRow> {
    world.happened().iter().map(fault).collect()
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
            "the base comes to lean by {:.1} arcmin to the north and {:.1} arcmin to the east, most of it in {:.0} min",
            north.arcmin(),
            east.arcmin(),
            time.minutes()
        ),
        Disturbance::Wind(Some(wind)) => {
            format!("{:.1} m/s from {:.0} deg", wind.speed.metres_per_second(), wind.from.degrees())
        }
        Disturbance::Wind(None) => "calm".to_owned(),
        Disturbance::BrownOut(lasts) => format!("the supply fails for {:.3} s", lasts.seconds()),
        Disturbance::Stall { axis, lasts } => format!("{}: held for {:.3} s", AXES[*axis], lasts.seconds()),
        Disturbance::ClockJump(by) => format!("the mount's clock jumps by {:.3} s", by.seconds()),
        Disturbance::Temperature(course) => match course.points.last() {
            Some((_, reached)) => format!("the mount comes to {:.1} degC", reached.celsius()),
            None => String::new(),
        },
    }
}

fn of_axes(axes: &[Angle; 2]) -> String {
    let [first, second] = axes;
    format!("first axis {:.2} arcmin, second axis {:.2} arcmin", first.arcmin(), second.arcmin())
}

fn of_base(base: &BaseMove) -> String {
    if *base == BaseMove::default() {
        return "the base stays".to_owned();
    }
    format!(
        "the base: north end up {:.2} arcmin, north end east {:.2} arcmin, lean north {:.2} arcmin, lean east {:.2} arcmin",
        base.north_end_up.arcmin(),
        base.north_end_east.arcmin(),
        base.lean_north.arcmin(),
        base.lean_east.arcmin()
    )
}
