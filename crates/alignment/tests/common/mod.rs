//! Mounts, stars and draws for the tests of this crate.
#![allow(dead_code, reason = "every test file uses its own part of this")]

use alignment::{Sense, Sighting};
use kinematics::{BaseErrors, Branch, Chain, Geometry, Kind, base, frames};
use nalgebra::Vector3;
use rand_chacha::ChaCha8Rng;
use rand_core::{Rng, SeedableRng};
use units::{Angle, Instant, Span, maths};

pub fn deg(degrees: f64) -> Angle {
    Angle::from_degrees(degrees)
}

pub fn arcmin(arcmin: f64) -> Angle {
    Angle::from_arcmin(arcmin)
}

pub fn arcsec(arcsec: f64) -> Angle {
    Angle::from_arcsec(arcsec)
}

/// A mount as it truly is. Angles in arcminutes.
#[derive(Clone, Copy, Debug)]
pub struct Truth {
    pub kind: Kind,
    pub latitude: f64,
    pub polar_altitude: f64,
    pub polar_azimuth: f64,
    pub lean_north: f64,
    pub lean_east: f64,
    pub zero_first: f64,
    pub zero_second: f64,
    pub skew: f64,
    pub cone: f64,
    pub flexure: f64,
}

impl Truth {
    pub fn perfect(kind: Kind, latitude: f64) -> Self {
        Self {
            kind,
            latitude,
            polar_altitude: 0.0,
            polar_azimuth: 0.0,
            lean_north: 0.0,
            lean_east: 0.0,
            zero_first: 0.0,
            zero_second: 0.0,
            skew: 0.0,
            cone: 0.0,
            flexure: 0.0,
        }
    }

    /// A German mount at 50° with something of everything but flexure.
    pub fn crooked() -> Self {
        Self {
            polar_altitude: 25.0,
            polar_azimuth: -40.0,
            zero_first: 30.0,
            zero_second: -20.0,
            skew: 4.0,
            cone: 10.0,
            ..Self::perfect(Kind::GermanEquatorial, 50.0)
        }
    }

    pub fn latitude(&self) -> Angle {
        deg(self.latitude)
    }

    pub fn chain(&self) -> Chain {
        let errors = BaseErrors {
            polar_altitude: arcmin(self.polar_altitude),
            polar_azimuth: arcmin(self.polar_azimuth),
            lean_north: arcmin(self.lean_north),
            lean_east: arcmin(self.lean_east),
        };
        Chain::new(Geometry {
            zero_first: arcmin(self.zero_first),
            zero_second: arcmin(self.zero_second),
            axis_skew: arcmin(self.skew),
            cone_error: arcmin(self.cone),
            tube_flexure: arcmin(self.flexure),
            ..Geometry::ideal(self.kind, base(self.kind, self.latitude(), &errors))
        })
    }

    /// An exact sighting of a star at this place: hour angle and declination, or azimuth and altitude, in degrees.
    pub fn sight(&self, first: f64, second: f64, branch: Branch) -> Sighting {
        let direction = place(self.kind, self.latitude, first, second);
        let dials = self.chain().dials_for(&direction, branch).expect("reachable");
        sighting(&format!("star at {first}, {second}"), direction, dials, branch)
    }
}

/// Direction of a place on the sky: hour angle and declination, or azimuth and altitude, in degrees.
pub fn place(kind: Kind, latitude: f64, first: f64, second: f64) -> Vector3<f64> {
    if kind == Kind::AltAzimuth {
        frames::direction(deg(first), deg(second))
    } else {
        frames::equatorial_to_topocentric(deg(latitude))
            * frames::equatorial_direction(deg(first), deg(second))
    }
}

pub fn sighting(
    name: &str,
    direction: Vector3<f64>,
    dials: kinematics::AxisAngles,
    branch: Branch,
) -> Sighting {
    Sighting {
        at: Instant::J2000_TAI + Span::DAY * 9_000,
        direction,
        dials,
        branch,
        approach: [Sense::Unknown; 2],
        sigma: arcsec(60.0),
        power_on: 1,
        name: name.to_owned(),
    }
}

/// Normal draws from a seed, by Box and Muller's method (Annals of Mathematical Statistics 29 (1958) 610; from memory).
pub struct Draws {
    generator: ChaCha8Rng,
    spare: Option<f64>,
}

impl Draws {
    pub fn new(seed: u64) -> Self {
        Self { generator: ChaCha8Rng::seed_from_u64(seed), spare: None }
    }

    /// Between nought and one, both excluded.
    pub fn uniform(&mut self) -> f64 {
        ((self.generator.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = (-2.0 * maths::ln(self.uniform())).sqrt();
        let (sine, cosine) = maths::sincos(maths::TAU * self.uniform());
        self.spare = Some(radius * sine);
        radius * cosine
    }

    /// A direction shifted by normal components of this size along both tangents.
    pub fn blurred(&mut self, direction: &Vector3<f64>, sigma: Angle) -> Vector3<f64> {
        let (east, north) = alignment::rows::tangents(direction, &Vector3::z());
        let (e, n) = (self.normal() * sigma.radians(), self.normal() * sigma.radians());
        (direction + east * e + north * n).normalize()
    }

    /// A direction anywhere on the sphere.
    pub fn anywhere(&mut self) -> Vector3<f64> {
        Vector3::new(self.normal(), self.normal(), self.normal()).normalize()
    }
}
