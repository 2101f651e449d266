//! A covariance of two components on the sky, and what it promises.

use crate::parameters::{Matrix7, Rows};
use nalgebra::{Matrix2, Vector2};
use units::{Angle, maths};

/// Covariance of an error's components east and north of the celestial pole, in radians squared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covariance2 {
    /// Variance to the east.
    pub east: f64,
    /// Covariance of the two.
    pub east_north: f64,
    /// Variance to the north.
    pub north: f64,
}

impl Covariance2 {
    /// G C Gᵀ.
    pub fn of(rows: &Rows, covariance: &Matrix7) -> Self {
        let both = rows * covariance * rows.transpose();
        Self { east: both[(0, 0)], east_north: (both[(0, 1)] + both[(1, 0)]) / 2.0, north: both[(1, 1)] }
    }

    /// With this variance more in every direction.
    pub fn plus_isotropic(self, variance: f64) -> Self {
        Self { east: self.east + variance, north: self.north + variance, ..self }
    }

    /// As a matrix (east, north).
    pub fn matrix(&self) -> Matrix2<f64> {
        Matrix2::new(self.east, self.east_north, self.east_north, self.north)
    }

    /// Root of the expected squared length: √trace.
    pub fn rms(&self) -> Angle {
        Angle::from_radians((self.east + self.north).max(0.0).sqrt())
    }

    /// xᵀ S⁻¹ x; infinite where S is singular.
    pub fn squared_distance(&self, components: &Vector2<f64>) -> f64 {
        let determinant = self.east * self.north - self.east_north * self.east_north;
        if determinant <= 0.0 {
            return if components.norm_squared() == 0.0 { 0.0 } else { f64::INFINITY };
        }
        let (e, n) = (components.x, components.y);
        (self.north * e * e - 2.0 * self.east_north * e * n + self.east * n * n) / determinant
    }

    /// Standard deviations along the long and the short axis of the ellipse.
    pub fn semi_axes(&self) -> (Angle, Angle) {
        let middle = (self.east + self.north) / 2.0;
        let reach = maths::hypot((self.east - self.north) / 2.0, self.east_north);
        let root = |variance: f64| Angle::from_radians(variance.max(0.0).sqrt());
        (root(middle + reach), root(middle - reach))
    }

    /// The radius of the circle round the target that holds this share (between 0 and 1) of the errors, if they are normal.
    ///
    /// Found by Newton's method on [`Covariance2::share_within`], kept between bounds.
    pub fn radius_of_share(&self, share: f64) -> Angle {
        let (long, short) = self.semi_axes();
        let (long, short) = (long.radians(), short.radians());
        if long == 0.0 || share <= 0.0 {
            return Angle::ZERO;
        }
        let share = share.min(1.0 - 1e-12);
        // A long thin ellipse: below a thousandth the short axis adds nothing that could be seen.
        let short = short.max(long * 1e-3);
        let (mut low, mut high) = (0.0, 8.0 * long);
        // Where it would be if both axes were the longer one.
        let mut radius = (long * (-2.0 * maths::ln(1.0 - share)).sqrt()).min(high);
        let variances = variances(long, short);
        for _ in 0..60 {
            let (inside, slope) = within(radius, &variances);
            if inside < share {
                low = radius;
            } else {
                high = radius;
            }
            let newton = radius - (inside - share) / slope;
            let next = if low < newton && newton < high { newton } else { (low + high) / 2.0 };
            let step = (next - radius).abs();
            radius = next;
            if step <= 1e-13 * long {
                break;
            }
        }
        Angle::from_radians(radius)
    }

    /// The chance of an error shorter than this radius, if errors are normal.
    pub fn share_within(&self, radius: Angle) -> f64 {
        let (long, short) = self.semi_axes();
        let (long, short) = (long.radians(), short.radians());
        if long == 0.0 {
            return 1.0;
        }
        within(radius.radians(), &variances(long, short.max(long * 1e-3))).0
    }
}

/// Angles α over a quarter turn at which the mean is taken.
const POINTS: usize = 64;

/// long² cos²α + short² sin²α at each angle: they are the same for every radius.
fn variances(long: f64, short: f64) -> [f64; POINTS] {
    std::array::from_fn(|k| {
        let (sine, cosine) = maths::sincos(maths::PI * (k as f64 + 0.5) / (2.0 * POINTS as f64));
        long * long * cosine * cosine + short * short * sine * sine
    })
}

/// P(|x| < r) for a centred normal with standard deviations `long` and `short` along its axes, and how it grows with r.
///
/// In polar coordinates the radial integral is closed; over the angle α of the *whitened* plane the radius reaches
/// r/√(long² cos²α + short² sin²α), so P = 1 − mean over α of exp(−r²/(2 (long² cos²α + short² sin²α))).
fn within(radius: f64, variances: &[f64; POINTS]) -> (f64, f64) {
    let (mut outside, mut slope) = (0.0, 0.0);
    for squared in variances {
        let beyond = maths::exp(-radius * radius / (2.0 * squared));
        outside += beyond;
        slope += beyond * radius / squared;
    }
    let points = POINTS as f64;
    (1.0 - outside / points, slope / points)
}
