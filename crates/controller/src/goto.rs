//! Going to a target: where the axes must be, and when they get there.

use crate::Controller;
use crate::jobs::{Job, Work};
use crate::motion::hour_rate;
use crate::motors::Motors;
use crate::requests::in_degrees;
use kinematics::path::Path;
use kinematics::profile::RestToRest;
use kinematics::sides::{self, HourRange};
use kinematics::{AxisAngles, Branch, Kind, frames};
use nalgebra::Vector3;
use protocol::{Aim, Fields, Rate, Refusal, RefusalKind, Side};
use sky::catalogue::Catalogue;
use sky::{Source, StarPlace, Track};
use units::{Angle, Span};

/// What a go-to goes to, made ready.
enum Goal {
    /// Something that moves with the sky.
    Sky { name: String, track: Box<Track> },
    /// A direction over the ground (east, north, up), as observed.
    Ground { name: String, direction: Vector3<f64> },
    /// Dials.
    Dials { name: String, dials: AxisAngles },
}

/// Where and when a go-to arrives.
struct Arrival {
    dials: AxisAngles,
    branch: Branch,
    /// The moment for which the dials hold; the moves end within nanoseconds of it.
    on_target: Span,
    /// When the last of the moves ends.
    ends: Span,
    moves: [RestToRest; 2],
}

/// A pass brings the arrival nearer by the ratio of the sky's rate to the slew's, a thousand or more; six passes reach the last bit.
const PASSES: usize = 6;

impl Controller {
    /// Begins a go-to.
    pub(crate) fn goto(
        &mut self,
        aim: &Aim,
        side: Side,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        let goal = self.goal(aim)?;
        let rate = match goal {
            Goal::Sky { .. } => Rate::Sidereal,
            Goal::Ground { .. } | Goal::Dials { .. } => Rate::Off,
        };
        let arrival = self.arrival(&goal, side, rate, now)?;
        let paths = self.paths(&arrival, rate, now);
        self.order(paths, rate, motors);
        self.jobs_begun += 1;
        let (Goal::Sky { name, .. } | Goal::Ground { name, .. } | Goal::Dials { name, .. }) = goal;
        let number = self.jobs_begun;
        self.job = Some(Job { number: Some(number), work: Work::Goto { target: name }, ends: arrival.ends });
        let solution = match arrival.branch {
            Branch::Direct => Side::Direct,
            Branch::ThroughPole => Side::ThroughPole,
        };
        Ok(Fields::new()
            .count("job", number)
            .seconds("seconds", arrival.ends - now)
            .text("solution", solution.word()))
    }

    fn goal(&self, aim: &Aim) -> Result<Goal, Refusal> {
        let wrong_kind = |needs: &str| {
            let sentence = format!("this mount is {}; give {needs}", self.settings.kind.word());
            Refusal::new(RefusalKind::WrongKind, sentence)
        };
        let alt_azimuth = self.settings.kind == Kind::AltAzimuth;
        Ok(match *aim {
            Aim::Name(ref name) => {
                let entry = Catalogue::embedded()
                    .find(name)
                    .map_err(|missing| Refusal::new(RefusalKind::UnknownTarget, missing.to_string()))?;
                Goal::Sky { track: Box::new(self.belief.track(&entry.source)), name: entry.name }
            }
            Aim::Equatorial { ra, dec } => {
                let name = format!("{} {}", ra.as_hours_text(1), dec.as_degrees_text(0));
                Goal::Sky {
                    name,
                    track: Box::new(self.belief.track(&Source::Star(StarPlace::fixed(ra, dec)))),
                }
            }
            Aim::Horizontal { azimuth, altitude } => {
                Goal::Ground { name: "direction".to_owned(), direction: frames::direction(azimuth, altitude) }
            }
            Aim::EquatorialAxes { hour, declination } if !alt_azimuth => Goal::Dials {
                name: "axes".to_owned(),
                dials: AxisAngles { first: hour, second: declination },
            },
            Aim::HorizontalAxes { azimuth, altitude } if alt_azimuth => Goal::Dials {
                name: "axes".to_owned(),
                dials: AxisAngles { first: azimuth, second: altitude },
            },
            Aim::EquatorialAxes { .. } => return Err(wrong_kind("azimuth_axis and altitude_axis")),
            Aim::HorizontalAxes { .. } => return Err(wrong_kind("hour_axis and declination_axis")),
        })
    }

    /// Solves for the arrival: the target's own motion plus a move from rest to rest of the difference, so that both
    /// axes are exactly there when the last of them ends.
    fn arrival(&self, goal: &Goal, side: Side, rate: Rate, now: Span) -> Result<Arrival, Refusal> {
        let from = self.motion.dials(now);
        let mut on_target = now;
        let mut pass = 0;
        loop {
            let (dials, branch) = self.dials_at(goal, side, on_target)?;
            let own_motion = Angle::from_radians(hour_rate(rate).radians() * (on_target - now).seconds());
            let distances = [dials.first - own_motion - from.first, dials.second - from.second];
            let moves =
                std::array::from_fn(|axis| RestToRest::new(distances[axis], &self.settings.limits[axis]));
            let ends = now + moves.iter().map(RestToRest::duration).fold(Span::ZERO, Span::max);
            pass += 1;
            if pass > PASSES || ends == on_target {
                self.above_horizon(goal, on_target)?;
                self.within_range(dials.first)?;
                return Ok(Arrival { dials, branch, on_target, ends, moves });
            }
            on_target = ends;
        }
    }

    /// The dials that a goal asks for at one moment.
    fn dials_at(&self, goal: &Goal, side: Side, at: Span) -> Result<(AxisAngles, Branch), Refusal> {
        let Some(direction) = self.direction(goal, at) else {
            let Goal::Dials { dials, .. } = goal else { unreachable!("only dials have no direction") };
            return Ok((*dials, branch_of_dials(*dials)));
        };
        let branch = self.branch(side, &direction)?;
        let wrapped = self
            .belief
            .model()
            .dials_for(&direction, branch)
            .map_err(|short| Refusal::new(RefusalKind::Unreachable, short.to_string()))?;
        let latitude = self.belief.station().site().latitude();
        Ok((sides::unwrapped(self.settings.kind, latitude, wrapped, branch), branch))
    }

    /// Where a goal is observed at a moment (east, north, up); dials have no direction of their own.
    fn direction(&self, goal: &Goal, at: Span) -> Option<Vector3<f64>> {
        match goal {
            Goal::Sky { track, .. } => Some(self.belief.observed(track, at)),
            Goal::Ground { direction, .. } => Some(*direction),
            Goal::Dials { .. } => None,
        }
    }

    fn branch(&self, side: Side, direction: &Vector3<f64>) -> Result<Branch, Refusal> {
        let german = self.settings.kind == Kind::GermanEquatorial;
        match side {
            Side::Auto if german => {
                let (hour, _) = sky::hour_angle_and_declination(direction, self.belief.station());
                Ok(sides::usual_branch(hour))
            }
            Side::ThroughPole if german => Ok(Branch::ThroughPole),
            Side::ThroughPole => {
                let sentence =
                    format!("a mount of kind {} goes through the pole to nothing", self.settings.kind.word());
                Err(Refusal::new(RefusalKind::WrongKind, sentence))
            }
            Side::Auto | Side::Direct => Ok(Branch::Direct),
        }
    }

    fn above_horizon(&self, goal: &Goal, at: Span) -> Result<(), Refusal> {
        let Some(direction) = self.direction(goal, at) else { return Ok(()) };
        let (azimuth, altitude) = frames::horizontal(&direction);
        let skyline = self.settings.horizon.altitude_at(azimuth);
        if altitude >= skyline {
            return Ok(());
        }
        let sentence = format!("the target is {} below the horizon there", in_degrees(skyline - altitude));
        Err(Refusal::new(RefusalKind::BelowHorizon, sentence))
    }

    fn within_range(&self, hour: Angle) -> Result<(), Refusal> {
        if self.settings.kind != Kind::GermanEquatorial {
            return Ok(());
        }
        let range = HourRange::german(self.settings.over_run);
        if range.beyond(hour) == Angle::ZERO {
            return Ok(());
        }
        let sentence = format!(
            "the hour axis may turn from {} to {}; this needs {}",
            in_degrees(range.from),
            in_degrees(range.to),
            in_degrees(hour)
        );
        Err(Refusal::new(RefusalKind::BeyondLimit, sentence))
    }

    /// The orders: where the target's own motion would have been all along, approached by the moves.
    fn paths(&self, arrival: &Arrival, rate: Rate, now: Span) -> [Path; 2] {
        let back = Angle::from_radians(hour_rate(rate).radians() * (arrival.on_target - now).seconds());
        let [first, second] = &arrival.moves;
        let own = [
            Path::steady(now, arrival.dials.first - back - first.distance(), hour_rate(rate)),
            Path::hold(now, arrival.dials.second - second.distance()),
        ];
        [own[0].plus(now, first), own[1].plus(now, second)]
    }
}

fn branch_of_dials(dials: AxisAngles) -> Branch {
    if dials.second.wrapped_signed().abs() <= Angle::QUARTER { Branch::Direct } else { Branch::ThroughPole }
}
