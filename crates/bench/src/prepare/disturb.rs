//! What goes wrong during the night, from the scenario's `[[disturb]]`.

use faults::{Choice, Direction, Kind, Order, Parameters};
use kinematics::BaseErrors;
use mechanics::{Spectrum, TemperatureCourse, WindSpec};
use scenario::{AxisName, Complaint, DisturbanceKind, Plan, WireWay};
use units::{Angle, Instant, Share, Span, Speed, Streams, Temperature, maths};
use world::{BaseMove, Disturbance};

/// All disturbances by rising instant; those of one instant in the file's order.
pub(super) fn disturbances(
    plan: &Plan,
    begin: Instant,
    end: Instant,
    true_temperature: Temperature,
    streams: &Streams,
) -> Result<Vec<(Instant, Disturbance)>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut all: Vec<(Instant, Disturbance)> = sinking(plan, begin, streams).into_iter().collect();
    for index in 0..plan.disturb.len() {
        match one(plan, index, end, true_temperature, streams) {
            Ok(found) => all.extend(found),
            Err(complaint) => complaints.push(complaint),
        }
    }
    all.sort_by_key(|(at, _)| *at);
    if complaints.is_empty() { Ok(all) } else { Err(complaints) }
}

/// The tripod sinks in from the begin where `[setup]` has it so.
fn sinking(plan: &Plan, begin: Instant, streams: &Streams) -> Option<(Instant, Disturbance)> {
    let size = plan.setup.settling.filter(|size| *size != Angle::ZERO)?;
    // The index of no table, so that it takes no table's direction.
    Some((begin, settle(size, SETTLING_TIME, streams, u64::MAX)))
}

/// Time in which most of a sinking has happened (common practice, no source).
const SETTLING_TIME: Span = Span::from_whole_seconds(1800);

fn settle(size: Angle, time: Span, streams: &Streams, index: u64) -> Disturbance {
    let turn = streams.stream("settling direction", index).uniform();
    let (sin, cos) = maths::sincos(maths::TAU * turn);
    Disturbance::Settle { lean: [size * cos, size * sin], time }
}

/// The disturbance of one table; a wind that ends is two.
fn one(
    plan: &Plan,
    index: usize,
    end: Instant,
    true_temperature: Temperature,
    streams: &Streams,
) -> Result<Vec<(Instant, Disturbance)>, Complaint> {
    let file = &plan.disturb[index];
    let key = |name: &str| format!("disturb[{index}].{name}");
    let at =
        plan.night.begin.next(file.at).map_err(|error| {
            plan.complain(&key("at"), error.to_string(), "write a time of day of this night")
        })?;
    let axes = axis_angles(plan, index);
    let single = |disturbance| Ok(vec![(at, disturbance)]);
    match file.kind {
        DisturbanceKind::Knock => single(Disturbance::Knock { axes, base: base_move(plan, index) }),
        DisturbanceKind::Bump => single(Disturbance::Bump(axes)),
        DisturbanceKind::ClutchSlip => single(Disturbance::ClutchSlip(axes)),
        DisturbanceKind::TripodKick => single(Disturbance::TripodKick(base_move(plan, index))),
        DisturbanceKind::Settle => {
            let size = file.size.unwrap_or(Angle::ZERO);
            let time = file.time_constant.unwrap_or(SETTLING_TIME);
            single(settle(size, time, streams, index as u64))
        }
        DisturbanceKind::Wind => {
            let from = file.from.unwrap_or(Angle::from_degrees(270.0));
            let blows = wind(file.speed.unwrap_or(Speed::ZERO), from, file.gusts);
            let mut both = vec![(at, Disturbance::Wind(Some(blows)))];
            if let Some(lasts) = file.lasts.filter(|lasts| at + *lasts < end) {
                both.push((at + lasts, Disturbance::Wind(None)));
            }
            Ok(both)
        }
        DisturbanceKind::Temperature => {
            let until = file.lasts.map_or(end, |lasts| at + lasts).max(at + Span::from_whole_seconds(1));
            let reached = file.temperature.unwrap_or(true_temperature);
            single(Disturbance::Temperature(TemperatureCourse {
                reference: true_temperature,
                points: vec![(at, true_temperature), (until, reached)],
            }))
        }
        // It stands before the sky, not against the mount: the seat knows it.
        DisturbanceKind::Cloud => Ok(Vec::new()),
        // What has the envelope of faults is ordered as such.
        _ => Ok(Vec::new()),
    }
}

/// The faults of the wire, and those of the mount, in the file's order.
pub(super) fn faults(plan: &Plan, begin: Instant) -> Vec<Order> {
    let ordered = plan.disturb.iter().enumerate().filter_map(|(index, file)| {
        let kind = Kind::of_word(file.kind.word())?;
        let at = plan.night.begin.next(file.at).unwrap_or(begin);
        Some(order(kind, at, index, file))
    });
    ordered.collect()
}

fn order(kind: Kind, at: Instant, index: usize, file: &scenario::Disturbance) -> Order {
    let mut order = Order { stream: file.stream.unwrap_or(index as u64), ..Order::new(kind, at) };
    let small = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
    if let Some(direction) = file.direction {
        order.direction = match direction {
            WireWay::Received => Direction::Received,
            WireWay::Sent => Direction::Sent,
            WireWay::Both => Direction::Both,
        };
    }
    order.choice = match (file.chance, file.every, file.nth, &file.line) {
        (Some(chance), ..) => Some(Choice::Chance(chance.fraction())),
        (_, Some(every), ..) => Some(Choice::Every(every)),
        (_, _, Some(nth), _) => Some(Choice::Nth(nth)),
        (_, _, _, Some(line)) => Some(Choice::Line(line.clone())),
        _ => None,
    };
    order.correlation = file.correlation.map_or(0.0, Share::fraction);
    order.burst = file.burst.map_or(order.burst, small);
    let wire = kind.doc().group.is_wire();
    order.until = file.lasts.filter(|_| wire).map(|lasts| at + lasts);
    order.parameters = Parameters {
        delay: file.delay,
        jitter: file.jitter,
        bytes: file.bytes.map(small),
        baud: file.baud.map(small),
        lasts: file.lasts.filter(|_| !wire),
        axis: file.axis.map(|axis| match axis {
            AxisName::Hour | AxisName::Azimuth => faults::Axis::First,
            AxisName::Declination | AxisName::Altitude => faults::Axis::Second,
        }),
        angle: file.angle,
        by: file.by,
    };
    order
}

/// Wind over open land, with gusts as usual there where nothing is said of them.
pub(crate) fn wind(speed: Speed, from: Angle, gusts: Option<Share>) -> WindSpec {
    let roughness = roughness(gusts);
    WindSpec { gusts: Some(Spectrum::Davenport { roughness }), ..WindSpec::open_field(speed, from) }
}

/// Davenport's κ for gusts of a deviation: σ = √6κ·V.
fn roughness(gusts: Option<Share>) -> f64 {
    gusts.map_or(0.005, |share| share.fraction() * share.fraction() / 6.0)
}

fn axis_angles(plan: &Plan, index: usize) -> [Angle; 2] {
    let file = &plan.disturb[index];
    let (first, second) = if plan.mount.kind.is_equatorial() {
        (file.hour_axis, file.declination_axis)
    } else {
        (file.azimuth_axis, file.altitude_axis)
    };
    [first.unwrap_or(Angle::ZERO), second.unwrap_or(Angle::ZERO)]
}

/// The polar keys speak of the elevated end; the mount's matter of the north end.
fn base_move(plan: &Plan, index: usize) -> BaseMove {
    let file = &plan.disturb[index];
    let or_none = |angle: Option<Angle>| angle.unwrap_or(Angle::ZERO);
    let errors = BaseErrors::from_elevated_end(
        plan.site.latitude,
        or_none(file.polar_altitude),
        or_none(file.polar_azimuth),
        or_none(file.lean_north),
        or_none(file.lean_east),
    );
    BaseMove {
        north_end_up: errors.polar_altitude,
        north_end_east: errors.polar_azimuth,
        lean_north: errors.lean_north,
        lean_east: errors.lean_east,
    }
}
