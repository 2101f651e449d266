//! Following something with both axes: cubics through places at fixed knots of the computer's time.
//!
//! The knots are whole multiples of [`KNOT`], whenever somebody began to follow or asks: the same dials come out. Between
//! two knots Hermite's cubic is off by h⁴/384 of the fourth derivative. An azimuth passes the zenith at a distance z like
//! atan(ωt/z), whose fourth derivative is at most 4.67 (ω/z)⁴; on the sky that is 4.67 h⁴ω⁴/(384 z³), for
//! 10 s and half a degree (the smallest zenith zone) 0.001″. All else that is followed moves more evenly.

use crate::belief::Belief;
use crate::target::Target;
use kinematics::path::{Cubic, Path};
use kinematics::{Branch, Unreachable};
use sky::Track;
use std::fmt;
use std::sync::Arc;
use units::{Angle, AngularRate, Span};

/// From knot to knot.
pub(crate) const KNOT: Span = Span::from_whole_seconds(10);
/// How many knots are made at a time.
const AHEAD: i64 = 16;
/// Half the stretch over which a rate is taken as a difference. The third derivative over it is below 1e-8 rad/s³ (a
/// degree from the zenith), which leaves a rate off by 1e-9 rad/s and a place by a tenth of that times ten seconds.
const HALF_STRETCH: Span = Span::from_nanoseconds(500_000_000);

/// The fastest that knots so far apart follow well; half a degree from the zenith an azimuth turns with 114 sidereal rates.
const FASTEST: f64 = 150.0;

/// Why something can't be followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum CannotFollow {
    /// No position of the axes points there.
    Unreachable(Unreachable),
    /// An axis would have to turn too fast: the tube is too near the pole of the first axis.
    TooFast,
}

impl fmt::Display for CannotFollow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreachable(short) => short.fmt(f),
            Self::TooFast => f.write_str(
                "the tube is too near the pole of its first axis to be followed by the model; track with axes=one there",
            ),
        }
    }
}

/// By what law the dials follow.
#[derive(Clone)]
pub(crate) enum Course {
    /// The model of the mount, and the refracted place.
    Model {
        /// What is followed.
        target: Target,
        /// By which solution.
        branch: Branch,
    },
    /// Hour angle and declination without air, as a mount without errors would count them: the topocentric rates alone.
    Rates {
        /// What is followed.
        track: Arc<Track>,
        /// +1 where the declination dial grows northward, −1 through the pole.
        sense: f64,
    },
}

impl fmt::Debug for Course {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Model { target, branch } => write!(f, "model {target:?} {branch:?}"),
            Self::Rates { track, sense } => write!(f, "rates {:?} {sense}", track.source()),
        }
    }
}

#[derive(Clone, Copy, Debug)]
struct Knot {
    at: Span,
    dials: [Angle; 2],
    rates: [AngularRate; 2],
}

impl Knot {
    /// This knot, if no axis has to hurry from the one before it to be here: at the pole itself a rate is nothing while
    /// the dial of the first axis turns right round.
    fn within_reach_of(self, before: &Self) -> Result<Self, CannotFollow> {
        let most = Angle::from_radians(AngularRate::SIDEREAL.radians() * FASTEST * KNOT.seconds());
        let way = |axis: usize| (self.dials[axis] - before.dials[axis]).abs();
        if [0, 1].into_iter().any(|axis| way(axis) > most) { Err(CannotFollow::TooFast) } else { Ok(self) }
    }
}

/// What both axes follow.
#[derive(Clone, Debug)]
pub(crate) struct Follower {
    pub(crate) course: Course,
    /// Added to the dials.
    offset: [Angle; 2],
    last: Knot,
    /// No place of the axes follows beyond the last knot.
    pub(crate) ended: bool,
}

impl Follower {
    /// Begins to follow from the knot before `now`, on the turn of the dials that is nearest to `near` then. The path begins at that
    /// knot and is good until [`Follower::renew_at`].
    ///
    /// # Errors
    /// There is no way there even now.
    pub(crate) fn begin(
        course: Course,
        near: [Angle; 2],
        belief: &Belief,
        now: Span,
    ) -> Result<(Self, [Path; 2]), CannotFollow> {
        let first = KNOT * now.nanoseconds().div_euclid(KNOT.nanoseconds());
        let last = knot(&course, near, belief, first)?;
        let mut follower = Self { course, offset: [Angle::ZERO; 2], last, ended: false };
        let pieces = follower.next_pieces(belief)?;
        Ok((follower, pieces.map(Path::from_pieces)))
    }

    /// When the path needs more pieces.
    pub(crate) fn renew_at(&self) -> Span {
        self.last.at - KNOT
    }

    /// Appends pieces to a path that this follower made.
    pub(crate) fn extend(&mut self, paths: &mut [Path; 2], belief: &Belief, now: Span) {
        let Ok(pieces) = self.next_pieces(belief) else {
            self.ended = true;
            return;
        };
        for (path, more) in paths.iter_mut().zip(pieces) {
            let mut all = path.forgotten_before(now).pieces().to_vec();
            all.extend(more);
            *path = Path::from_pieces(all);
        }
    }

    /// Moves the dials by as much from now on; the path is to be shifted by the caller.
    pub(crate) fn shift(&mut self, by: [Angle; 2]) {
        for (offset, by) in self.offset.iter_mut().zip(by) {
            *offset += by;
        }
    }

    /// By how much the dials are off the course.
    pub(crate) fn shifted_by(&self) -> [Angle; 2] {
        self.offset
    }

    /// The cubics from the last knot on, at least one of them.
    fn next_pieces(&mut self, belief: &Belief) -> Result<[Vec<Cubic>; 2], CannotFollow> {
        let mut pieces = [Vec::new(), Vec::new()];
        for _ in 0..AHEAD {
            let next = knot(&self.course, self.last.dials, belief, self.last.at + KNOT);
            let next = match next.and_then(|next| next.within_reach_of(&self.last)) {
                Ok(next) => next,
                Err(end) if pieces[0].is_empty() => return Err(end),
                Err(_) => {
                    self.ended = true;
                    break;
                }
            };
            for (axis, pieces) in pieces.iter_mut().enumerate() {
                let at = |knot: &Knot| (knot.dials[axis] + self.offset[axis], knot.rates[axis]);
                pieces.push(Cubic::hermite(self.last.at, KNOT, at(&self.last), at(&next)));
            }
            self.last = next;
        }
        Ok(pieces)
    }
}

fn knot(course: &Course, near: [Angle; 2], belief: &Belief, at: Span) -> Result<Knot, CannotFollow> {
    let dials = dials(course, near, belief, at)?;
    let before = self::dials(course, dials, belief, at - HALF_STRETCH)?;
    let after = self::dials(course, dials, belief, at + HALF_STRETCH)?;
    let stretch = (HALF_STRETCH * 2).seconds();
    let rates =
        [0, 1].map(|axis| AngularRate::from_radians((after[axis] - before[axis]).radians() / stretch));
    let fastest = AngularRate::SIDEREAL * FASTEST;
    if rates.iter().any(|rate| rate.abs() > fastest) {
        return Err(CannotFollow::TooFast);
    }
    Ok(Knot { at, dials, rates })
}

fn dials(course: &Course, near: [Angle; 2], belief: &Belief, at: Span) -> Result<[Angle; 2], CannotFollow> {
    let (first, second) = match course {
        Course::Model { target, branch } => {
            let direction = target.observed(belief, at);
            let dials = belief.model().dials_for(&direction, *branch).map_err(CannotFollow::Unreachable)?;
            (dials.first, dials.second)
        }
        Course::Rates { track, sense } => {
            let instant = belief.instant(at);
            let direction = belief.station().airless(&track.cirs(instant), instant);
            let (hour, declination) = sky::hour_angle_and_declination(&direction, belief.station());
            (hour, declination * *sense)
        }
    };
    Ok([first.unwrapped_near(near[0]), second.unwrapped_near(near[1])])
}
