//! Going to a target: where the axes must be, and when they get there.

use crate::Controller;
use crate::approach::{Way, final_senses};
use crate::follower::Course;
use crate::goal::Goal;
use crate::jobs::Work;
use crate::motion::{Base, Over, OverKind};
use crate::motors::Motors;
use crate::requests::in_degrees;
use crate::tracking::{branch_of_dials, declination_rate, hour_rate};
use kinematics::path::Path;
use kinematics::sides::{self, HourRange};
use kinematics::{AxisAngles, Branch, Kind, frames};
use nalgebra::Vector3;
use protocol::{Aim, Fields, Rate, Refusal, RefusalKind, Side, SolutionChoice, TrackAxes};
use units::{Angle, AngularRate, Span};

/// Where and when a go-to arrives.
struct Arrival {
    dials: AxisAngles,
    branch: Branch,
    /// The moment for which the dials hold; the moves end within nanoseconds of it.
    on_target: Span,
    /// When the last of the moves ends.
    ends: Span,
    ways: [Way; 2],
}

/// A go-to that speaks for itself: what is ordered if it begins.
struct Plan {
    base: Base,
    over: [Option<Over>; 2],
    branch: Branch,
    ends: Span,
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
        self.not_parked()?;
        let goal = self.goal(aim)?;
        let work = Work::Goto { target: goal.name().to_owned() };
        let (number, ends, branch) = self.begin_goto(&goal, side, work, now, motors)?;
        let solution = match branch {
            Branch::Direct => Side::Direct,
            Branch::ThroughPole => Side::ThroughPole,
        };
        Ok(Fields::new()
            .count("job", number)
            .seconds("seconds", ends - now)
            .text("solution", solution.word()))
    }

    /// Begins a go-to as the job of some work: its number, its end, its solution.
    pub(crate) fn begin_goto(
        &mut self,
        goal: &Goal,
        side: Side,
        work: Work,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<(u64, Span, Branch), Refusal> {
        let arrival = self.best_arrival(goal, side, now)?;
        let plan = self.plan(goal, arrival, now)?;
        let total = [0, 1].map(|axis| match &plan.over[axis] {
            Some(over) => plan.base.paths[axis].sum(&over.path),
            None => plan.base.paths[axis].clone(),
        });
        self.clear_of_sun([&total[0], &total[1]], now, plan.ends)?;
        self.begin_motion(plan.base, plan.over, now, motors);
        Ok((self.begin_job(work, plan.ends), plan.ends, plan.branch))
    }

    /// Goes to where the tube points by the other solution; the job's number, or nothing if there is no way.
    pub(crate) fn flip(&mut self, rate: Rate, now: Span, motors: &mut impl Motors) -> Option<u64> {
        let dials = self.motion.dials(now);
        let target = match self.motion.follower.as_ref().map(|follower| &follower.course) {
            Some(Course::Model { target, .. }) => target.clone(),
            // At the Moon's rate both axes follow the model from here on.
            _ => self.target_here(if rate == Rate::Lunar { rate } else { Rate::Sidereal }, dials, now),
        };
        let side = match branch_of_dials(dials) {
            Branch::Direct => Side::ThroughPole,
            Branch::ThroughPole => Side::Direct,
        };
        let goal = Goal::Sky { name: "flip".to_owned(), target, rate };
        self.begin_goto(&goal, side, Work::Flip, now, motors).ok().map(|(number, ..)| number)
    }

    /// The arrival by the position that was asked for, or by the one that the rule prefers.
    fn best_arrival(&self, goal: &Goal, side: Side, now: Span) -> Result<Arrival, Refusal> {
        let german = self.settings.kind == Kind::GermanEquatorial;
        let arrive = |branch| self.arrival(goal, branch, now);
        match side {
            Side::ThroughPole if !german => {
                let sentence =
                    format!("a mount of kind {} goes through the pole to nothing", self.settings.kind.word());
                return Err(Refusal::new(RefusalKind::WrongKind, sentence));
            }
            Side::ThroughPole => return arrive(Some(Branch::ThroughPole)),
            Side::Direct => return arrive(Some(Branch::Direct)),
            Side::Auto if !german => return arrive(Some(Branch::Direct)),
            Side::Auto => {}
        }
        let both = || (arrive(Some(Branch::Direct)), arrive(Some(Branch::ThroughPole)));
        match self.settings.solution {
            SolutionChoice::ByHourAngle => arrive(None),
            SolutionChoice::Direct => arrive(Some(Branch::Direct)),
            SolutionChoice::ThroughPole => arrive(Some(Branch::ThroughPole)),
            SolutionChoice::LongestTrack => match both() {
                (Ok(a), Ok(b)) => Ok(if a.dials.first <= b.dials.first { a } else { b }),
                (a, b) => a.or(b),
            },
            SolutionChoice::ShortestSlew => match both() {
                (Ok(a), Ok(b)) => Ok(if a.ends <= b.ends { a } else { b }),
                (a, b) => a.or(b),
            },
        }
    }

    /// Solves for the arrival: the target's own motion plus a move from rest to rest of the difference, so that both
    /// axes are exactly there when the last of them ends.
    fn arrival(&self, goal: &Goal, branch: Option<Branch>, now: Span) -> Result<Arrival, Refusal> {
        let from = self.motion.dials(now);
        let mut on_target = now;
        let mut pass = 0;
        loop {
            let (dials, branch) = self.dials_at(goal, branch, from, on_target)?;
            let steady = self.steady_rates(goal, branch);
            let own_motion = |axis: usize| {
                let rate = steady.map_or(0.0, |rates| rates[axis].radians());
                Angle::from_radians(rate * (on_target - now).seconds())
            };
            let distances =
                [dials.first - own_motion(0) - from.first, dials.second - own_motion(1) - from.second];
            let ways = self.ways(distances, branch);
            let ends = now + ways.iter().map(Way::duration).fold(Span::ZERO, Span::max);
            pass += 1;
            if pass > PASSES || ends == on_target {
                self.above_horizon(goal, on_target)?;
                self.within_range(dials)?;
                return Ok(Arrival { dials, branch, on_target, ends, ways });
            }
            on_target = ends;
        }
    }

    fn ways(&self, distances: [Angle; 2], branch: Branch) -> [Way; 2] {
        let senses = final_senses(self.settings.final_approach, branch);
        let ways = [0, 1].map(|axis| {
            let limits = &self.settings.limits[axis];
            Way::new(distances[axis], senses[axis], self.settings.overshoot, limits)
        });
        if !self.settings.axes_together {
            return ways;
        }
        let longer = ways[0].duration().max(ways[1].duration());
        ways.map(|way| way.stretched(longer))
    }

    /// The rates of both axes on arrival, if they are steady; nothing if the target is followed.
    fn steady_rates(&self, goal: &Goal, branch: Branch) -> Option<[AngularRate; 2]> {
        let rate = goal.rate();
        let followed = rate == Rate::Lunar || self.track_axes == TrackAxes::Both && rate != Rate::Off;
        (!followed).then(|| [hour_rate(rate), declination_rate(rate, branch)])
    }

    /// The dials that a goal asks for at one moment, by the solution given or the usual one.
    fn dials_at(
        &self,
        goal: &Goal,
        branch: Option<Branch>,
        from: AxisAngles,
        at: Span,
    ) -> Result<(AxisAngles, Branch), Refusal> {
        let Some(direction) = self.direction_of(goal, at) else {
            let Goal::Dials { dials, .. } = goal else { unreachable!("only dials have no direction") };
            return Ok((*dials, branch_of_dials(*dials)));
        };
        let branch = branch.unwrap_or_else(|| self.usual_branch(&direction));
        let wrapped = self
            .belief
            .model()
            .dials_for(&direction, branch)
            .map_err(|short| Refusal::new(RefusalKind::Unreachable, short.to_string()))?;
        let latitude = self.belief.station().site().latitude();
        let mut dials = sides::unwrapped(self.settings.kind, latitude, wrapped, branch);
        if self.settings.kind == Kind::AltAzimuth {
            // The nearer turn of the cable, unless that is beyond its end.
            let near = dials.first.unwrapped_near(from.first);
            if near.abs() <= self.settings.cable_wrap {
                dials.first = near;
            }
        }
        Ok((dials, branch))
    }

    fn usual_branch(&self, direction: &Vector3<f64>) -> Branch {
        let (hour, _) = sky::hour_angle_and_declination(direction, self.belief.station());
        sides::usual_branch(hour)
    }

    fn above_horizon(&self, goal: &Goal, at: Span) -> Result<(), Refusal> {
        let Some(direction) = self.direction_of(goal, at) else { return Ok(()) };
        let (azimuth, altitude) = frames::horizontal(&direction);
        let skyline = self.settings.horizon.altitude_at(azimuth);
        if altitude >= skyline {
            return Ok(());
        }
        let sentence = format!("the target is {} below the horizon there", in_degrees(skyline - altitude));
        Err(Refusal::new(RefusalKind::BelowHorizon, sentence))
    }

    fn within_range(&self, dials: AxisAngles) -> Result<(), Refusal> {
        let direction = self.belief.model().direction_for(dials);
        let Some(limit) = self.beyond(dials, &direction) else { return Ok(()) };
        let range = HourRange::german(self.settings.over_run);
        let (_, altitude) = frames::horizontal(&direction);
        let sentence = match limit {
            "hour" => format!(
                "the hour axis may turn from {} to {}; this needs {}",
                in_degrees(range.from),
                in_degrees(range.to),
                in_degrees(dials.first)
            ),
            "cable" => format!(
                "the azimuth axis may turn {} from home; this needs {}",
                in_degrees(self.settings.cable_wrap),
                in_degrees(dials.first)
            ),
            "zenith" => format!(
                "the target is {} from the zenith; the mount keeps out of {}",
                in_degrees(Angle::QUARTER - altitude),
                in_degrees(self.settings.zenith_zone)
            ),
            _ => format!(
                "the mount points at altitudes from {} to {}; this is at {}",
                in_degrees(self.settings.lowest),
                in_degrees(self.settings.highest),
                in_degrees(altitude)
            ),
        };
        Err(Refusal::new(RefusalKind::BeyondLimit, sentence))
    }

    /// The orders: where the target's own motion would have been all along, approached by the moves.
    fn plan(&self, goal: &Goal, arrival: Arrival, now: Span) -> Result<Plan, Refusal> {
        let (rate, axes) = (goal.rate(), self.track_axes);
        let Arrival { dials, branch, on_target, .. } = arrival;
        let (base, ways) = match (self.steady_rates(goal, branch), goal) {
            (None, Goal::Sky { target, .. }) => {
                let course = Course::Model { target: target.clone(), branch };
                self.following_from_afar(course, arrival.dials, rate, now)?
            }
            _ => {
                let rates = [hour_rate(rate), declination_rate(rate, branch)];
                let arrives = [dials.first, dials.second];
                let paths = [0, 1].map(|axis| {
                    let back = Angle::from_radians(rates[axis].radians() * (on_target - now).seconds());
                    Path::steady(now, arrives[axis] - back - arrival.ways[axis].distance(), rates[axis])
                });
                (Base { paths, rate, axes, follower: None }, arrival.ways)
            }
        };
        let ends = now + ways.iter().map(Way::duration).fold(Span::ZERO, Span::max);
        let over = ways.map(|way| Some(Over { path: way.path(now), kind: OverKind::Slew }));
        Ok(Plan { base, over, branch, ends: ends.max(now) })
    }

    /// A base that follows a course, moved to where the dials are now, and the ways that take it to the course itself.
    fn following_from_afar(
        &self,
        course: Course,
        near: AxisAngles,
        rate: Rate,
        now: Span,
    ) -> Result<(Base, [Way; 2]), Refusal> {
        let Course::Model { branch, .. } = course else { unreachable!("go-tos follow by the model") };
        let from = self.motion.dials(now);
        let mut base = self.following(course, near, rate, TrackAxes::Both, now)?;
        // The course stands at `near` now but for its motion until the arrival; what it was moved by is taken back.
        let follower = base.follower.as_mut().unwrap_or_else(|| unreachable!("it was just made to follow"));
        let shift = [from.first - near.first, from.second - near.second];
        let moved = follower.shifted_by();
        follower.shift(shift);
        base.paths = [0, 1].map(|axis| base.paths[axis].shifted(Span::ZERO, shift[axis]));
        let ways = self.ways([0, 1].map(|axis| -(moved[axis] + shift[axis])), branch);
        Ok((base, ways))
    }
}
