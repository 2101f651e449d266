//! The skyline of a site: what stands in front of the stars.

use units::Angle;

/// Altitude below which nothing is seen, by azimuth: straight lines between corners, round the whole circle.
#[derive(Clone, Debug, PartialEq)]
pub struct Horizon {
    /// Azimuth within [0, one turn) and altitude, by azimuth; never empty.
    corners: Vec<(Angle, Angle)>,
}

impl Horizon {
    /// The same altitude all round.
    pub fn level(altitude: Angle) -> Self {
        Self { corners: vec![(Angle::ZERO, altitude)] }
    }

    /// Through corners of azimuth (from north through east, any turn) and altitude.
    ///
    /// `None` without corners, or with two at one azimuth.
    pub fn through(corners: &[(Angle, Angle)]) -> Option<Self> {
        let mut corners: Vec<(Angle, Angle)> =
            corners.iter().map(|(azimuth, altitude)| (azimuth.wrapped_positive(), *altitude)).collect();
        corners.sort_by(|a, b| a.0.radians().total_cmp(&b.0.radians()));
        // Whole turns taken off leave rounding behind, so two corners are one below a thousandth of an arcsecond; the
        // last and the first are neighbours too.
        let apart = |a: Angle, b: Angle| (a - b).wrapped_signed().abs() > Angle::from_arcsec(1e-3);
        let count = corners.len();
        let distinct = (0..count).all(|i| count == 1 || apart(corners[i].0, corners[(i + 1) % count].0));
        (distinct && !corners.is_empty()).then_some(Self { corners })
    }

    /// The skyline's altitude at an azimuth.
    pub fn altitude_at(&self, azimuth: Angle) -> Angle {
        let azimuth = azimuth.wrapped_positive();
        let count = self.corners.len();
        let next = self.corners.partition_point(|corner| corner.0 <= azimuth);
        let (left, right) = (self.corners[(next + count - 1) % count], self.corners[next % count]);
        let width = (right.0 - left.0).wrapped_positive();
        if width == Angle::ZERO {
            return left.1;
        }
        let part = (azimuth - left.0).wrapped_positive() / width;
        left.1 + (right.1 - left.1) * part
    }

    /// The corners, by azimuth.
    pub fn corners(&self) -> &[(Angle, Angle)] {
        &self.corners
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(corners: &[(f64, f64)]) -> Vec<(Angle, Angle)> {
        corners.iter().map(|(a, h)| (Angle::from_degrees(*a), Angle::from_degrees(*h))).collect()
    }

    #[test]
    fn it_closes_round_the_circle() {
        let horizon = Horizon::through(&degrees(&[(350.0, 10.0), (90.0, 20.0), (180.0, 0.0)])).unwrap();
        let at = |azimuth| horizon.altitude_at(Angle::from_degrees(azimuth)).degrees();
        // By hand: from 350° to 90° are 100°, with 10° more of altitude.
        for (azimuth, altitude) in
            [(350.0, 10.0), (0.0, 11.0), (40.0, 15.0), (90.0, 20.0), (135.0, 10.0), (265.0, 5.0)]
        {
            assert!((at(azimuth) - altitude).abs() < 1e-9, "{azimuth}: {}", at(azimuth));
        }
    }

    #[test]
    fn one_corner_is_a_level_skyline_and_none_is_nothing() {
        assert_eq!(Horizon::level(Angle::from_degrees(12.0)).altitude_at(Angle::HALF).degrees(), 12.0);
        assert_eq!(Horizon::through(&[]), None);
        assert_eq!(Horizon::through(&degrees(&[(10.0, 1.0), (370.0, 2.0)])), None);
        assert_eq!(Horizon::through(&degrees(&[(1e-9, 1.0), (90.0, 0.0), (360.0 - 1e-9, 2.0)])), None);
        assert!(Horizon::through(&degrees(&[(10.0, 1.0)])).is_some());
    }
}
