//! Take-up: when an axis turns back, its motor runs on by the play in the gears, and the dial leaves that out.

use kinematics::path::Path;
use kinematics::profile::{Limits, RestToRest};
use units::{Angle, Span};

/// The part of one motor's count that is no motion of the axis.
#[derive(Clone, Debug, Default)]
pub(crate) struct TakeUp {
    /// What was taken up by moves that are over.
    done: Angle,
    /// Moves under way or planned: when, how, and in which sense the axis turns from then on.
    moves: Vec<(Span, RestToRest, i8)>,
    /// The sense in which the axis last turned before those; zero while it has not turned.
    sense: i8,
}

impl TakeUp {
    /// How much of the count it is at an instant.
    pub(crate) fn at(&self, now: Span) -> Angle {
        let part = |(begin, profile, _): &(Span, RestToRest, i8)| profile.state((now - *begin).seconds()).0;
        self.moves.iter().map(part).fold(self.done, |sum, part| sum + part)
    }

    /// The path of the count for a new path of the dial from `now` on. What was planned for later is given up, what is under way ends.
    ///
    /// A move is made at half of the limits, as it comes on top of the axis's own turning.
    pub(crate) fn applied(&mut self, dial: &Path, now: Span, amount: Angle, limits: &Limits) -> Path {
        self.forget(now);
        let half = Limits {
            rate: limits.rate * 0.5,
            acceleration: limits.acceleration * 0.5,
            jerk: limits.jerk.map(|jerk| jerk * 0.5),
        };
        let mut sense = self.moves.last().map_or(self.sense, |(_, _, sense)| *sense);
        let end = dial.end_of_last_finite_piece().max(now) + Span::from_whole_seconds(1);
        let mut turns = vec![now];
        turns.extend(dial.turning_points(now, end));
        turns.push(end);
        for stretch in turns.windows(2) {
            let middle = stretch[0] + Span::from_nanoseconds((stretch[1] - stretch[0]).nanoseconds() / 2);
            let way = (dial.position(middle) - dial.position(stretch[0])).radians();
            let turned = if way == 0.0 { 0 } else { way.signum() as i8 };
            if turned == 0 || turned == sense {
                continue;
            }
            let by = if sense == 0 { Angle::ZERO } else { amount * f64::from(turned) };
            self.moves.push((stretch[0], RestToRest::new(by, &half), turned));
            sense = turned;
        }
        let begun = dial.shifted(Span::ZERO, self.done);
        let real = self.moves.iter().filter(|(_, profile, _)| profile.distance() != Angle::ZERO);
        real.fold(begun, |path, (begin, profile, _)| path.plus(*begin, profile))
    }

    fn forget(&mut self, now: Span) {
        self.moves.retain(|(begin, _, _)| *begin < now);
        while let Some((begin, profile, sense)) = self.moves.first() {
            if *begin + profile.duration() > now {
                break;
            }
            self.done += profile.distance();
            self.sense = *sense;
            self.moves.remove(0);
        }
    }
}
