//! Bringing something to the middle of a glass, and finding it if it isn't there.

use crate::hands::{Hands, Held};
use crate::seat::{Glass, NightOver, Object, Seat, Sight};
use units::Angle;

/// After so many presses along one axis a person gives up.
const MOST_PRESSES: usize = 60;

/// How far a star is taken past the middle before its final approach, as a share of the field: some arcminutes, more than
/// the play of a usual mount.
const MARGIN: f64 = 0.08;

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

impl<S: Seat> Hands<'_, S> {
    /// Presses keys until an object stands where the person wants it.
    pub(crate) fn centre(&mut self, object: Object<'_>, mut how: Centring) -> Result<Held, NightOver> {
        // Near the pole one axis moves the other's coordinate: then it takes some rounds.
        for _ in 0..4 {
            for axis in 0..2 {
                match self.centre_axis(object, axis, &mut how)? {
                    Held::There => {}
                    other => return Ok(other),
                }
            }
            let Some(needed) = self.needed_now(object, &how) else { return Ok(Held::Lost) };
            if (0..2).all(|axis| (needed[axis] - how.aim[axis]).abs() <= 2.0 * how.tolerance) {
                return Ok(Held::There);
            }
            // The senses have been kept; what is left is small.
            how.senses = [None; 2];
        }
        Ok(Held::Stuck)
    }

    fn needed_now(&mut self, object: Object<'_>, how: &Centring) -> Option<[f64; 2]> {
        match self.seat.see(how.glass, object) {
            Sight::Seen(spot) => {
                let field = self.seat.field(how.glass, object);
                Some(self.needed(how.glass, &spot, field, how.mistaken))
            }
            Sight::NotThere | Sight::Hidden | Sight::TooBright => None,
        }
    }

    fn centre_axis(
        &mut self,
        object: Object<'_>,
        axis: usize,
        how: &mut Centring,
    ) -> Result<Held, NightOver> {
        let field = self.seat.field(how.glass, object).radians();
        let mut last = 0.0;
        for _ in 0..MOST_PRESSES {
            let Some(needed) = self.needed_now(object, how) else { return self.lost(object, how.glass) };
            let left = needed[axis] - how.aim[axis];
            let Some((sense, distance)) = next_move(left, how.senses[axis], last, how.tolerance, field)
            else {
                return Ok(Held::There);
            };
            let slack = self.slack(axis, sense, distance);
            if !self.press(axis, sense, distance + slack, how.glass)? {
                return Ok(Held::Stuck);
            }
            let Some(needed) = self.needed_now(object, how) else { return self.lost(object, how.glass) };
            let moved = (left - (needed[axis] - how.aim[axis])) * sense;
            if how.mistaken && moved < -0.3 * distance {
                // It went the wrong way: now the person knows how the view is turned.
                how.mistaken = false;
                continue;
            }
            self.learn(axis, distance, slack, moved);
            last = sense;
        }
        Ok(Held::Stuck)
    }

    fn lost(&mut self, object: Object<'_>, glass: Glass) -> Result<Held, NightOver> {
        Ok(match self.seat.see(glass, object) {
            Sight::Hidden | Sight::TooBright => Held::Hidden,
            Sight::NotThere | Sight::Seen(_) => Held::Lost,
        })
    }

    /// Looks round in a square spiral of that many rings until an object shows; the stops overlap.
    pub(crate) fn hunt(&mut self, object: Object<'_>, glass: Glass, rings: i32) -> Result<bool, NightOver> {
        let step = 0.7 * self.seat.field(glass, object).radians();
        let mut sense = 1.0;
        for leg in 1..=2 * rings {
            for axis in 0..2 {
                for _ in 0..leg {
                    if !self.press(axis, sense, step, glass)? {
                        return Ok(false);
                    }
                    if let Sight::Seen(_) = self.seat.see(glass, object) {
                        return Ok(true);
                    }
                }
            }
            sense = -sense;
        }
        // The last side of the outermost ring.
        for _ in 0..2 * rings {
            if !self.press(0, sense, step, glass)? {
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
        (0.2 * sigma.radians()).max(0.5 * self.finest_step()).max(FINEST.radians())
    }
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
