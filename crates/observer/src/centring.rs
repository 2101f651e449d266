//! Bringing something to the middle of a glass, and finding it if it isn't there.

use crate::hands::{GLANCE, Hands, Held, Meant, Pressed};
use crate::keys::{REST, finest_step};
use crate::seat::{Glass, NightOver, Object, Seat, Sight};
use units::{Angle, Span};

/// After so many presses along one axis a person gives up.
const MOST_PRESSES: usize = 60;

/// How far a star is taken past the middle before its final approach, as a share of the field: some arcminutes, more than
/// the play of a usual mount.
const MARGIN: f64 = 0.08;

/// A press for this much is well over what any star drifts by meanwhile: it tells how far a press goes, drift or not. With the
/// polar axis ten degrees off, and tracking on, a star drifts by 2.6 arcsec a second.
const WELL_OVER_ANY_DRIFT: Angle = Angle::from_arcmin(1.0);

/// Neighbouring stops of a search, in fields. Half the diagonal of a square of that side is 0.42 fields where the glass shows
/// 0.5 in every direction: what is left is for presses that were too long or too short, and for the star's own way meanwhile.
const STEP: f64 = 0.6;

/// Nobody centres better than this, not even a perfect hand: between two glances a star drifts by as much where the polar
/// axis is off by half a degree.
const FINEST: Angle = Angle::from_arcsec(0.25);

/// How something is to be centred.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Centring {
    pub(crate) glass: Glass,
    /// Where the person takes the middle to be: offsets on the sky along both axes, radians.
    pub(crate) aim: [f64; 2],
    /// How near they want it, radians.
    pub(crate) tolerance: f64,
    /// In which sense the tube is to move last along each axis.
    pub(crate) senses: [Option<f64>; 2],
    /// Whether the view is taken for an upright one, until the star goes the wrong way.
    pub(crate) mistaken: bool,
}

/// What a person who centres has seen of the star.
#[derive(Clone, Copy, Debug, Default)]
struct Watched {
    /// How fast it goes by itself along both axes, radians a second of what the tube must move; nothing until it was watched.
    own: Option<[f64; 2]>,
    /// The star is to stand right so many seconds later, when the other axis will have been done, too.
    ahead: f64,
}

impl Watched {
    fn running(&self, axis: usize) -> f64 {
        self.own.map_or(0.0, |own| own[axis])
    }
}

impl<S: Seat> Hands<'_, S> {
    /// Presses keys until an object stands where the person wants it.
    pub(crate) fn centre(&mut self, object: Object<'_>, mut how: Centring) -> Result<Held, NightOver> {
        let mut watched = Watched::default();
        // Near the pole one axis moves the other's coordinate, and a star that drifts leaves the one while the other is done:
        // then it takes some rounds.
        for round in 0..4 {
            for axis in 0..2 {
                watched.ahead = 0.0;
                if round > 0 && axis == 0 {
                    let Some(ahead) = self.until_both(object, &how, &watched) else {
                        return self.lost(object, how.glass);
                    };
                    watched.ahead = ahead;
                }
                match self.centre_axis(object, axis, &mut how, &mut watched)? {
                    Held::There => {}
                    other => return Ok(other),
                }
            }
            let Some(left) = self.left(object, &how) else { return Ok(Held::Lost) };
            if left.iter().all(|left| left.abs() <= 2.0 * how.tolerance) {
                return Ok(Held::There);
            }
            // The senses have been kept; what is left is small.
            how.senses = [None; 2];
            if !self.watch(object, &how, &mut watched, GLANCE)? {
                return self.lost(object, how.glass);
            }
        }
        Ok(Held::Stuck)
    }

    /// How far the tube must still move along both axes, radians; nothing if the object isn't seen.
    fn left(&mut self, object: Object<'_>, how: &Centring) -> Option<[f64; 2]> {
        match self.seat.see(how.glass, object) {
            Sight::Seen(spot) => {
                let field = self.seat.field(how.glass, object);
                let needed = self.needed(how.glass, &spot, field, how.mistaken);
                Some([needed[0] - how.aim[0], needed[1] - how.aim[1]])
            }
            Sight::NotThere | Sight::Hidden | Sight::TooBright => None,
        }
    }

    /// Takes the hand off the keys and watches how the star goes by itself; `false` if it can't be seen.
    fn watch(
        &mut self,
        object: Object<'_>,
        how: &Centring,
        watched: &mut Watched,
        span: Span,
    ) -> Result<bool, NightOver> {
        let before = self.left(object, how);
        self.seat.wait(span)?;
        let (Some(before), Some(after)) = (before, self.left(object, how)) else { return Ok(false) };
        watched.own = Some([0, 1].map(|axis| (after[axis] - before[axis]) / span.seconds()));
        Ok(true)
    }

    /// From the eye to the tube at rest, but for the time of the key.
    fn unhurried(&self) -> Span {
        self.person.reaction + REST
    }

    /// How long the second axis will take when the first has been pressed: one press, or no time if it will stand right by itself.
    fn until_both(&mut self, object: Object<'_>, how: &Centring, watched: &Watched) -> Option<f64> {
        let idle = self.unhurried().seconds();
        let left = self.left(object, how)?;
        let press = |axis: usize, coming: f64| {
            let running = watched.running(axis) * coming.signum();
            let meant = Meant { axis, sense: coming.signum(), distance: coming.abs(), running, slack: 0.0 };
            self.takes(meant, how.glass)
        };
        // The first axis's press will be for about as much later again.
        let first = press(0, left[0] + watched.running(0) * 2.0 * idle);
        let then = left[1] + watched.running(1) * first;
        if then.abs() <= how.tolerance {
            return Some(0.0);
        }
        Some(press(1, then + watched.running(1) * idle))
    }

    fn centre_axis(
        &mut self,
        object: Object<'_>,
        axis: usize,
        how: &mut Centring,
        watched: &mut Watched,
    ) -> Result<Held, NightOver> {
        let field = self.seat.field(how.glass, object).radians();
        let mut last = 0.0;
        for _ in 0..MOST_PRESSES {
            let Some(left) = self.left(object, how) else { return self.lost(object, how.glass) };
            let running = watched.running(axis);
            let left = left[axis] + running * watched.ahead;
            let next = |left| next_move(left, how.senses[axis], last, how.tolerance, field);
            let Some(as_it_stands) = next(left) else { return Ok(Held::There) };
            let arrives = -left / running;
            if (0.0..=GLANCE.seconds()).contains(&arrives)
                && how.senses[axis].is_none_or(|sense| sense == last)
            {
                // It comes by itself; if it doesn't, it must be watched.
                self.seat.wait(Span::from_seconds(arrives))?;
                let Some(left) = self.left(object, how) else { return self.lost(object, how.glass) };
                if next(left[axis] + running * watched.ahead).is_some()
                    && !self.watch(object, how, watched, GLANCE)?
                {
                    return self.lost(object, how.glass);
                }
                continue;
            }
            let coming = left + running * self.unhurried().seconds();
            let (sense, distance) = next(coming).unwrap_or(as_it_stands);
            let slack = self.slack(axis, sense, distance);
            let meant = Meant { axis, sense, distance, running: running * sense, slack };
            let pressed_at = self.now();
            let Some(pressed) = self.press(meant, how.glass)? else { return Ok(Held::Stuck) };
            let took = (self.now() - pressed_at).seconds();
            let Some(after) = self.left(object, how) else { return self.lost(object, how.glass) };
            let went = (left - (after[axis] + running * watched.ahead)) * sense;
            if how.mistaken && went < -0.3 * distance {
                // It went the wrong way: now the person knows how the view is turned.
                (how.mistaken, watched.own) = (false, None);
                continue;
            }
            let astray = (coming - sense * distance) - (after[axis] + running * watched.ahead);
            let doubtful = distance < WELL_OVER_ANY_DRIFT.radians() && astray.abs() > how.tolerance;
            let moved = went + sense * running * took;
            if doubtful
                && self.worth_watching(pressed, moved, watched, how)
                && !self.watch(object, how, watched, GLANCE)?
            {
                return self.lost(object, how.glass);
            }
            let drift = watched.running(axis) * took;
            let telling = pressed.wanted >= WELL_OVER_ANY_DRIFT.radians()
                || watched.own.is_some() && pressed.wanted >= 5.0 * how.tolerance + drift.abs();
            self.learn(pressed, went + sense * drift, telling);
            last = sense;
        }
        Ok(Held::Stuck)
    }

    /// Whether a press that went astray makes a person doubt what they know of the star's own way: not where they know it and
    /// the star stands still under the key, which is play.
    fn worth_watching(&self, pressed: Pressed, moved: f64, watched: &Watched, how: &Centring) -> bool {
        let drifts = (watched.running(pressed.axis) * self.unhurried().seconds()).abs() > how.tolerance;
        watched.own.is_none() || drifts || !self.in_vain(pressed, moved)
    }

    fn lost(&mut self, object: Object<'_>, glass: Glass) -> Result<Held, NightOver> {
        Ok(match self.seat.see(glass, object) {
            Sight::Hidden | Sight::TooBright => Held::Hidden,
            Sight::NotThere | Sight::Seen(_) => Held::Lost,
        })
    }

    /// Looks round in a square spiral of that many rings until an object shows.
    pub(crate) fn hunt(&mut self, object: Object<'_>, glass: Glass, rings: i32) -> Result<bool, NightOver> {
        let step = STEP * self.seat.field(glass, object).radians();
        for (axis, sense) in spiral(rings) {
            if self.press(Meant::plainly(axis, sense, step), glass)?.is_none() {
                return Ok(false);
            }
            if let Sight::Seen(_) = self.seat.see(glass, object) {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// How near a centring comes to what is aimed at: a fifth of the centring error, or half of the finest step.
    pub(crate) fn tolerance(&self, sigma: Angle) -> f64 {
        (0.2 * sigma.radians()).max(0.5 * finest_step(&self.person)).max(FINEST.radians())
    }
}

/// The steps of a square spiral of so many rings, as axis and sense; the last side of the outermost ring closes it.
fn spiral(rings: i32) -> impl Iterator<Item = (usize, f64)> {
    let leg = |side: i32| {
        let sense = if side % 2 == 1 { 1.0 } else { -1.0 };
        [0, 1].into_iter().flat_map(move |axis| (0..side).map(move |_| (axis, sense)))
    };
    (1..=2 * rings).flat_map(leg).chain((0..2 * rings).map(|_| (0, 1.0)))
}

/// Which way and how far to press, `left` from the place aimed at; `None` if it is there. With a sense for the final
/// approach the tube is first taken back far enough, so that its last motion has that sense.
fn next_move(left: f64, sense: Option<f64>, last: f64, tolerance: f64, field: f64) -> Option<(f64, f64)> {
    let Some(sense) = sense else {
        return (left.abs() > tolerance).then_some((left.signum(), left.abs()));
    };
    let ahead = left * sense;
    let margin = MARGIN * field;
    let approaching = last == sense;
    if approaching && ahead.abs() <= tolerance {
        None
    } else if ahead < -tolerance || (!approaching && ahead < 0.5 * margin) {
        Some((-sense, margin - ahead))
    } else {
        Some((sense, ahead))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_final_approach_goes_back_first_and_ends_in_its_sense() {
        let (tolerance, field) = (1.0, 100.0);
        assert_eq!(next_move(0.5, None, 0.0, tolerance, field), None);
        assert_eq!(next_move(-3.0, None, 0.0, tolerance, field), Some((-1.0, 3.0)));
        // It stands right, but the tube came from anywhere: back by the margin of eight, then forward.
        assert_eq!(next_move(0.0, Some(1.0), 0.0, tolerance, field), Some((-1.0, 8.0)));
        assert_eq!(next_move(8.0, Some(1.0), -1.0, tolerance, field), Some((1.0, 8.0)));
        assert_eq!(next_move(0.3, Some(1.0), 1.0, tolerance, field), None);
        // Too far forward: back again.
        assert_eq!(next_move(-2.0, Some(1.0), 1.0, tolerance, field), Some((-1.0, 10.0)));
        // The other sense is the mirror image.
        assert_eq!(next_move(-8.0, Some(-1.0), 1.0, tolerance, field), Some((-1.0, 8.0)));
    }
}
