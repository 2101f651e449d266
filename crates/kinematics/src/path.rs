//! The language in which motion is ordered: cubics of controller time, one after another.
//!
//! A path is exact: nobody steps along it. Where it changes its direction of motion is found in closed form, so that
//! play in the gears can be taken up at that very instant.

use units::{Angle, AngularAcceleration, AngularRate, Span};

/// No piece is looked at further ahead than this, in seconds: a motion that is as good as even would turn back beyond what an
/// instant can say, and thirty years are for ever.
pub const FAR: f64 = 1e9;

/// One piece of a path: position as a cubic of the time since `begin`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cubic {
    /// Controller time since power-on at which the piece begins.
    pub begin: Span,
    /// Constant to cubic: rad, rad/s, rad/s², rad/s³, in powers of the seconds since `begin`.
    pub coefficients: [f64; 4],
}

impl Cubic {
    /// At rest at a position.
    pub fn hold(begin: Span, position: Angle) -> Self {
        Self { begin, coefficients: [position.radians(), 0.0, 0.0, 0.0] }
    }

    /// The cubic that meets position and rate at both ends of a stretch of time (Hermite's interpolation).
    ///
    /// # Panics
    /// If `duration` is not positive.
    pub fn hermite(
        begin: Span,
        duration: Span,
        start: (Angle, AngularRate),
        end: (Angle, AngularRate),
    ) -> Self {
        assert!(duration > Span::ZERO, "a stretch of time has a length");
        let t = duration.seconds();
        let step = (end.0 - start.0).radians();
        let (v0, v1) = (start.1.radians(), end.1.radians());
        let c2 = (3.0 * step / t - 2.0 * v0 - v1) / t;
        let c3 = (v0 + v1 - 2.0 * step / t) / (t * t);
        Self { begin, coefficients: [start.0.radians(), v0, c2, c3] }
    }

    /// Where it is at an instant.
    pub fn position(&self, at: Span) -> Angle {
        Angle::from_radians(self.position_after((at - self.begin).seconds()))
    }

    /// How fast it moves at an instant.
    pub fn rate(&self, at: Span) -> AngularRate {
        AngularRate::from_radians(self.rate_after((at - self.begin).seconds()))
    }

    /// How its rate changes at an instant.
    pub fn acceleration(&self, at: Span) -> AngularAcceleration {
        let [_, _, c2, c3] = self.coefficients;
        AngularAcceleration::from_radians(2.0 * c2 + 6.0 * c3 * (at - self.begin).seconds())
    }

    /// The same motion told from another beginning.
    pub fn rebased(&self, begin: Span) -> Self {
        let shift = begin - self.begin;
        if shift == Span::ZERO {
            return *self;
        }
        let t = shift.seconds();
        let [_, _, c2, c3] = self.coefficients;
        let coefficients = [self.position_after(t), self.rate_after(t), c2 + 3.0 * c3 * t, c3];
        Self { begin, coefficients }
    }

    /// The same motion at another time and place.
    pub fn shifted(&self, by: Span, offset: Angle) -> Self {
        let [c0, c1, c2, c3] = self.coefficients;
        Self { begin: self.begin + by, coefficients: [c0 + offset.radians(), c1, c2, c3] }
    }

    /// Seconds since `begin` at which the motion turns back, within (0, `duration`) seconds, ascending: the roots of the
    /// rate at which it changes its sign. Where the rate only touches zero there is no turn. Beyond [`FAR`] nothing is looked
    /// for, so an infinite duration will do.
    pub fn turning_points(&self, duration: f64) -> impl Iterator<Item = f64> + use<> {
        let duration = duration.min(FAR);
        let mut roots = self.sign_changes();
        for root in &mut roots {
            *root = root.filter(|t| *t > 0.0 && *t < duration);
        }
        roots.into_iter().flatten()
    }

    /// All real seconds at which the rate c₁ + 2c₂t + 3c₃t² changes its sign, ascending.
    fn sign_changes(&self) -> [Option<f64>; 2] {
        let [_, c, half_b, third_a] = self.coefficients;
        let a = 3.0 * third_a;
        if a == 0.0 {
            let root = if half_b == 0.0 { None } else { Some(-c / (2.0 * half_b)) };
            return [root, None];
        }
        let discriminant = half_b * half_b - a * c;
        // Each product is off by half a unit in its last place: below that the rate only touches zero, as at the end
        // of every move that comes to rest gently.
        if discriminant <= 16.0 * f64::EPSILON * (half_b * half_b + (a * c).abs()) {
            return [None, None];
        }
        // The sum of like signs loses no digits; the other root follows from the product of both.
        let q = -(half_b + discriminant.sqrt().copysign(half_b));
        let (one, other) = (q / a, c / q);
        [Some(one.min(other)), Some(one.max(other))]
    }

    /// Position after seconds, in radians.
    pub(crate) fn position_after(&self, t: f64) -> f64 {
        let [c0, c1, c2, c3] = self.coefficients;
        c0 + t * (c1 + t * (c2 + t * c3))
    }

    /// Rate after seconds, in radians per second.
    pub(crate) fn rate_after(&self, t: f64) -> f64 {
        let [_, c1, c2, c3] = self.coefficients;
        c1 + t * (2.0 * c2 + t * (3.0 * c3))
    }

    /// The sum of two pieces that begin together.
    fn plus(&self, other: &Self) -> Self {
        let mut sum = *self;
        for (mine, theirs) in sum.coefficients.iter_mut().zip(other.coefficients) {
            *mine += theirs;
        }
        sum
    }
}

/// Pieces one after another, each until the next begins; the last runs on for ever. Before the first begins, the path
/// rests where that one begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    pieces: Vec<Cubic>,
}

impl Path {
    /// From pieces in order.
    ///
    /// # Panics
    /// If there is none, or one doesn't begin later than the one before it.
    pub fn from_pieces(pieces: Vec<Cubic>) -> Self {
        assert!(!pieces.is_empty(), "a path has a piece");
        let ascending = pieces.windows(2).all(|pair| pair[0].begin < pair[1].begin);
        assert!(ascending, "the pieces of a path begin one after another");
        Self { pieces }
    }

    /// Rest at a position.
    pub fn hold(at: Span, position: Angle) -> Self {
        Self { pieces: vec![Cubic::hold(at, position)] }
    }

    /// A steady rate from a position at an instant on; at rest before.
    pub fn steady(at: Span, position: Angle, rate: AngularRate) -> Self {
        Self {
            pieces: vec![Cubic { begin: at, coefficients: [position.radians(), rate.radians(), 0.0, 0.0] }],
        }
    }

    /// The pieces in order.
    pub fn pieces(&self) -> &[Cubic] {
        &self.pieces
    }

    /// When the first piece begins.
    pub fn begin(&self) -> Span {
        self.pieces[0].begin
    }

    /// When the last piece, which runs on for ever, begins: from then on nothing but that piece happens.
    pub fn end_of_last_finite_piece(&self) -> Span {
        self.pieces[self.pieces.len() - 1].begin
    }

    /// The piece that holds at an instant (the first one before its begin).
    pub fn piece_at(&self, at: Span) -> &Cubic {
        &self.pieces[self.index_at(at)]
    }

    /// Where the path is at an instant.
    pub fn position(&self, at: Span) -> Angle {
        self.piece_from(at).position(at)
    }

    /// How fast it moves at an instant; at a corner, what it moves at from then on.
    pub fn rate(&self, at: Span) -> AngularRate {
        self.piece_from(at).rate(at)
    }

    /// How its rate changes at an instant; at a jump, what it is from then on.
    pub fn acceleration(&self, at: Span) -> AngularAcceleration {
        self.piece_from(at).acceleration(at)
    }

    /// Instants at which the motion changes between forwards, backwards and rest, after `from` and not after `to`,
    /// ascending, each rounded up to whole nanoseconds.
    ///
    /// Between two of them the position is monotone. Windows may be cut anywhere: the instants found in two windows
    /// that meet are those found in the whole.
    pub fn turning_points(&self, from: Span, to: Span) -> Vec<Span> {
        let mut found = Vec::new();
        let first = self.index_at(from);
        let mut before = if first == 0 { 0 } else { self.last_sense(first - 1) };
        for index in first..self.pieces.len() {
            let piece = &self.pieces[index];
            if piece.begin > to {
                break;
            }
            let mut instant = piece.begin;
            for (stretch_begin, sense) in self.stretches(index) {
                if stretch_begin > 0.0 {
                    instant = piece.begin + Span::from_seconds_up(stretch_begin);
                }
                if sense != before && instant > from && instant <= to {
                    found.push(instant);
                }
                before = sense;
            }
        }
        found
    }

    /// Another path in place of this one from an instant on.
    pub fn spliced(&self, at: Span, next: &Self) -> Self {
        let mut pieces: Vec<Cubic> =
            self.pieces.iter().copied().take_while(|piece| piece.begin < at).collect();
        pieces.push(next.piece_from(at).rebased(at));
        pieces.extend(next.pieces.iter().copied().filter(|piece| piece.begin > at));
        Self { pieces }
    }

    /// The same path without the pieces that are over at an instant, so that a long night doesn't gather them.
    pub fn forgotten_before(&self, at: Span) -> Self {
        Self { pieces: self.pieces[self.index_at(at)..].to_vec() }
    }

    /// The same motion at another time and place.
    pub fn shifted(&self, by: Span, offset: Angle) -> Self {
        Self { pieces: self.pieces.iter().map(|piece| piece.shifted(by, offset)).collect() }
    }

    /// Both motions at once: positions add up.
    pub fn sum(&self, other: &Self) -> Self {
        let mut begins: Vec<Span> =
            self.pieces.iter().chain(&other.pieces).map(|piece| piece.begin).collect();
        begins.sort_unstable();
        begins.dedup();
        let pieces = begins
            .into_iter()
            .map(|begin| {
                let mine = self.piece_from(begin).rebased(begin);
                mine.plus(&other.piece_from(begin).rebased(begin))
            })
            .collect();
        Self { pieces }
    }

    /// This motion and, begun at an instant, a move from rest to rest on top of it.
    pub fn plus(&self, at: Span, profile: &crate::profile::RestToRest) -> Self {
        self.sum(&profile.path(at))
    }

    /// This motion until an instant, then brought to rest within limits of acceleration and jerk.
    pub fn brought_to_rest(&self, at: Span, limits: &crate::profile::Limits) -> Self {
        let stop = crate::profile::stopping_from(self.rate(at), self.acceleration(at), limits);
        self.spliced(at, &stop.shifted(at, self.position(at)))
    }

    /// The index of the piece that holds at an instant.
    fn index_at(&self, at: Span) -> usize {
        self.pieces.partition_point(|piece| piece.begin <= at).saturating_sub(1)
    }

    /// The motion that holds at an instant: rest before the first piece.
    fn piece_from(&self, at: Span) -> Cubic {
        let piece = self.piece_at(at);
        if at < piece.begin { Cubic::hold(at, Angle::from_radians(piece.coefficients[0])) } else { *piece }
    }

    /// The stretches of one sense within a piece: seconds since its begin, and −1, 0 or +1.
    fn stretches(&self, index: usize) -> impl Iterator<Item = (f64, i8)> + use<> {
        let piece = self.pieces[index];
        let next = self.pieces.get(index + 1);
        let duration = next.map_or(f64::INFINITY, |next| (next.begin - piece.begin).seconds());
        // A root within a nanosecond of either end is that end: instants are no finer.
        let mut begins = [Some(0.0), None, None];
        for (slot, root) in begins[1..].iter_mut().zip(piece.turning_points(duration - 1e-9)) {
            *slot = Some(root).filter(|t| *t > 1e-9);
        }
        let ends = [begins[1].or(begins[2]), begins[2], None];
        begins.into_iter().zip(ends).filter_map(move |(begin, end)| {
            let begin = begin?;
            let middle = match end {
                Some(end) => 0.5 * (begin + end),
                None if duration.is_finite() => 0.5 * (begin + duration),
                None => begin + 1.0,
            };
            let rate = piece.rate_after(middle);
            Some((begin, if rate == 0.0 { 0 } else { rate.signum() as i8 }))
        })
    }

    /// The sense in which a piece ends.
    fn last_sense(&self, index: usize) -> i8 {
        self.stretches(index).last().map_or(0, |(_, sense)| sense)
    }
}
