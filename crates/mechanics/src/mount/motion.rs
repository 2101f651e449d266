//! The ordered motion of one axis, piece by piece, in true time.

use crate::crystal::Crystal;
use kinematics::path::{Cubic, FAR, Path};
use std::sync::Arc;
use units::{Angle, Instant, Span};

/// An ordered path and the piece of it that holds now.
#[derive(Clone, Debug)]
pub(crate) struct Motion {
    path: Arc<Path>,
    /// The piece that holds, in controller time.
    piece: Cubic,
    /// Index of the piece that comes after it.
    next: usize,
    /// True instant at which the next one takes over.
    pub ends: Option<Instant>,
}

impl Motion {
    /// Obeys a path from an instant on.
    pub fn new(path: Path, crystal: &Crystal, now: Instant) -> Self {
        let time = crystal.controller_time(now);
        let pieces = path.pieces();
        let next = pieces.partition_point(|piece| piece.begin <= time);
        let piece = match next {
            0 => Cubic::hold(time, Angle::from_radians(pieces[0].coefficients[0])),
            index => pieces[index - 1],
        };
        let ends = pieces.get(next).map(|piece| crystal.instant(piece.begin));
        Self { path: Arc::new(path), piece, next, ends }
    }

    /// Goes on to the next piece.
    ///
    /// # Panics
    /// If the last one holds already.
    pub fn step(&mut self, crystal: &Crystal) {
        assert!(self.next < self.path.pieces().len(), "the last piece never ends");
        self.piece = self.path.pieces()[self.next];
        self.next += 1;
        self.ends = self.path.pieces().get(self.next).map(|piece| crystal.instant(piece.begin));
    }

    /// The whole path.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The piece that holds.
    pub fn piece(&self) -> &Cubic {
        &self.piece
    }

    /// Ordered position in radians at a controller time within the piece.
    #[inline]
    pub fn position(&self, time: Span) -> f64 {
        self.piece.position(time).radians()
    }

    /// Ordered rate, radians per controller second.
    #[inline]
    pub fn rate(&self, time: Span) -> f64 {
        self.piece.rate(time).radians()
    }

    /// Ordered acceleration, radians per controller second squared.
    #[inline]
    pub fn acceleration(&self, time: Span) -> f64 {
        self.piece.acceleration(time).radians()
    }

    /// Whether it stands still.
    #[inline]
    pub fn rests(&self) -> bool {
        let [_, c1, c2, c3] = self.piece.coefficients;
        c1 == 0.0 && c2 == 0.0 && c3 == 0.0
    }

    /// The greatest size of the rate between two controller times within the piece.
    pub fn greatest_rate(&self, from: Span, to: Span) -> f64 {
        let mut greatest = self.rate(from).abs().max(self.rate(to).abs());
        let [_, _, c2, c3] = self.piece.coefficients;
        let extreme = -c2 / (3.0 * c3);
        if extreme.abs() < FAR {
            let vertex = self.piece.begin + Span::from_seconds(extreme);
            if vertex > from && vertex < to {
                greatest = greatest.max(self.rate(vertex).abs());
            }
        }
        greatest
    }

    /// The sense in which the order moves from an instant within the piece on: −1, 0 or +1.
    pub fn sense_from(&self, crystal: &Crystal, from: Instant) -> f64 {
        if self.rests() {
            return 0.0;
        }
        let end = self.ends.unwrap_or(from + Span::from_whole_seconds(1));
        let until = self.next_turn(crystal, from).map_or(end, |turn| turn.min(end));
        let way =
            self.position(crystal.controller_time(until)) - self.position(crystal.controller_time(from));
        if way == 0.0 { 0.0 } else { way.signum() }
    }

    /// The first true instant after `after` and within the piece at which the motion turns back.
    pub fn next_turn(&self, crystal: &Crystal, after: Instant) -> Option<Instant> {
        if self.rests() {
            return None;
        }
        let turns = self.piece.turning_points(f64::INFINITY);
        turns
            .map(|seconds| crystal.instant(self.piece.begin + Span::from_seconds_up(seconds)))
            .find(|turn| *turn > after)
            .filter(|turn| self.ends.is_none_or(|end| *turn < end))
    }
}
