//! How near the tube comes to the Sun, along all of its motion, and what its computer believed then.
//!
//! Between two looks tube and Sun can't come nearer to each other than both turn. So the next look is due when they could have
//! come as near as matters, [`BLIND`] at the least: what is noted is no more than that above the truth.

use crate::measured::{self, SUN_COUNTS_ABOVE};
use controller::Controller;
use kinematics::frames;
use sky::time::utc_text;
use sky::{Geocentre, Track};
use std::sync::Arc;
use units::{Angle, Instant, Span};
use world::{Truth, Watcher};

/// How near the Sun a tube may come while the Sun is up (common practice, no source).
const CIRCLE: Angle = Angle::from_degrees(20.0);
/// A tube that is as far away as this has left again.
const LEFT: Angle = Angle::from_degrees(21.0);
/// How much nearer than noted it may have come.
const BLIND: Angle = Angle::from_degrees(0.1);
/// How fast the Sun goes over the sky at most, in radians per second: a turn in a day of stars, and a hundredth more.
const SUN_RATE: f64 = 7.37e-5;

/// How far from the Sun is looked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sought {
    /// The least distance, wherever the tube is.
    Everywhere,
    /// Where it is within the circle round the Sun.
    Near,
}

/// One coming near: its nearest instant.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Approach {
    at: Instant,
    apart: Angle,
    /// What the mount's computer took the distance for; it knows of none if it was never aligned.
    believed: Option<Angle>,
}

/// A look, and when the next one is due. It depends on what happens to the mount alone, not on the steps in which somebody lets
/// time pass: so does all that is found.
#[derive(Clone, Copy, Debug)]
struct Seen {
    /// How much tube and Sun may turn from the look on before the next one, in radians.
    room: f64,
    /// How much of it was used until `since`.
    turned: f64,
    since: Instant,
    /// How fast they turn at most from then on, in radians per second.
    rate: f64,
    due: Instant,
}

impl Seen {
    fn new(room: f64, turned: f64, since: Instant, rate: f64) -> Self {
        let due = since + Span::from_seconds(((room - turned) / rate).max(0.0));
        Self { room, turned, since, rate, due }
    }

    /// From an instant on they turn at another rate, or at the same.
    fn turning(self, at: Instant, rate: f64) -> Self {
        if rate == self.rate {
            return self;
        }
        Self::new(self.room, self.turned + self.rate * (at - self.since).seconds(), at, rate)
    }
}

/// Looks along.
#[derive(Clone, Debug)]
pub(crate) struct SunWatch {
    sun: Arc<Track>,
    sought: Sought,
    end: Instant,
    /// The Sun isn't up before this instant.
    dark_until: Instant,
    /// The latest look, if the Sun was up then.
    seen: Option<Seen>,
    nearest: Option<Angle>,
    near: Option<Approach>,
    left: Vec<Approach>,
}

impl SunWatch {
    /// Looks from `begin` to `end`.
    pub(crate) fn new(geocentre: &Arc<Geocentre>, sought: Sought, begin: Instant, end: Instant) -> Self {
        Self {
            sun: Arc::new(measured::sun(geocentre)),
            sought,
            end,
            dark_until: begin,
            seen: None,
            nearest: None,
            near: None,
            left: Vec::new(),
        }
    }

    /// The least distance so far while the Sun was up; only as far as it was sought.
    pub(crate) fn nearest(&self) -> Option<Angle> {
        self.nearest
    }

    /// One line for each time that the tube came near the Sun.
    pub(crate) fn cautions(&self) -> Vec<String> {
        self.left.iter().chain(&self.near).map(caution).collect()
    }

    /// How much tube and Sun may turn from the latest look on before the next one is due, in radians.
    fn room(&self, apart: Angle) -> f64 {
        let near = self.near.map_or(CIRCLE, |near| near.apart);
        let matters = match self.sought {
            Sought::Everywhere => self.nearest.unwrap_or(near).max(near),
            Sought::Near => near,
        };
        (apart - matters).max(BLIND).radians()
    }

    fn look(&mut self, truth: &Truth<'_>, rate: f64, computer: &Controller) {
        let sun = truth.observed(&self.sun);
        let under = SUN_COUNTS_ABOVE - frames::horizontal(&sun).1;
        if under >= Angle::ZERO {
            let wait = Span::from_seconds(under.radians() / SUN_RATE);
            self.dark_until = truth.at() + wait.max(Span::from_whole_seconds(1));
            self.seen = None;
            self.left.extend(self.near.take());
            return;
        }
        let pose = truth.pose();
        let apart = frames::separation(&sun, &pose.boresight);
        self.nearest = Some(self.nearest.map_or(apart, |nearest| nearest.min(apart)));
        if apart > LEFT {
            self.left.extend(self.near.take());
        }
        if apart < self.near.map_or(CIRCLE, |near| near.apart) {
            let belief = computer.belief();
            let believed = belief.aligned().then(|| {
                let direction = belief.model().direction_for(pose.dials);
                frames::separation(&belief.sun(truth.computer_time()), &direction)
            });
            self.near = Some(Approach { at: truth.at(), apart, believed });
        }
        self.seen = Some(Seen::new(self.room(apart), 0.0, truth.at(), rate));
    }
}

impl Watcher for SunWatch {
    fn looks_along_from(&self) -> Option<Instant> {
        Some(self.dark_until).filter(|at| *at < self.end)
    }

    fn passes(&mut self, truth: &Truth<'_>, to: Instant, computer: &Controller) {
        let (mut at, to) = (truth.at(), to.min(self.end));
        if at >= to {
            return;
        }
        let rate = truth.greatest_rate() + SUN_RATE;
        loop {
            at = match self.seen {
                Some(seen) => {
                    let seen = seen.turning(at, rate);
                    self.seen = Some(seen);
                    seen.due
                }
                None => at.max(self.dark_until),
            };
            if at > to {
                return;
            }
            self.look(&truth.later(at), rate, computer);
        }
    }

    fn jolted(&mut self) {
        self.seen = None;
    }
}

fn caution(approach: &Approach) -> String {
    let at = utc_text(approach.at, 0).unwrap_or_else(|error| error.to_string());
    let believed = match approach.believed {
        Some(believed) => format!("which the mount took to be {:.1} deg away", believed.degrees()),
        None => "and the mount, which was never aligned, couldn't know".to_owned(),
    };
    format!(
        "{at}: the tube came within {:.1} deg of the Sun, {believed}. Never point an instrument without a safe solar \
         filter at or near the Sun.",
        approach.apart.degrees()
    )
}
