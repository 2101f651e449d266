//! The one door to the astrometry library.
//!
//! It uses routines and computations derived from the SOFA collection (Standards of Fundamental Astronomy) and is
//! neither provided nor endorsed by it; the licence text is in `LICENSE-SOFA.md` beside this crate's manifest.
//!
//! The library answers with `Result<_, i32>`, `Option` and out-parameters; here they become plain values, because
//! every date that reaches this module has been checked, or errors of our own. It computes with the platform's
//! transcendental functions: results are the same bytes on one platform, and within a unit of the last printed
//! digit elsewhere.

use nalgebra::{Matrix3, Vector3};
use sofars::astro::{IauAstrom, ab, apci, apco, aticq, atioq, ld, ldsun, refco};
use sofars::{cal, coords, eph, erst, pnp, ts};

/// Speed of light in astronomical units per day.
pub(crate) const LIGHT_AU_PER_DAY: f64 = sofars::consts::DC;
/// Light time of one astronomical unit in days.
pub(crate) const DAYS_PER_AU: f64 = 1.0 / LIGHT_AU_PER_DAY;
/// Metres in an astronomical unit (IAU 2012).
pub(crate) const METRES_PER_AU: f64 = sofars::consts::DAU;
/// Speed of light in metres per second.
pub(crate) const LIGHT_METRES_PER_SECOND: f64 = sofars::consts::CMPS;
/// Days in a Julian year.
pub(crate) const DAYS_PER_YEAR: f64 = sofars::consts::DJY;
/// The Julian date of J2000.0.
pub(crate) const J2000: f64 = sofars::consts::DJ00;

/// A Julian date in two parts, the first of them whole days and a half.
pub(crate) type JulianDate = (f64, f64);

type Position = Vector3<f64>;

fn vector(parts: [f64; 3]) -> Position {
    Vector3::from(parts)
}

fn parts(vector: &Position) -> [f64; 3] {
    [vector.x, vector.y, vector.z]
}

fn matrix(b: &[[f64; 3]; 3]) -> Matrix3<f64> {
    Matrix3::new(b[0][0], b[0][1], b[0][2], b[1][0], b[1][1], b[1][2], b[2][0], b[2][1], b[2][2])
}

/// Modified Julian day number of a civil day, or nothing if the calendar has no such day.
pub(crate) fn day_number(year: i32, month: u8, day: u8) -> Option<i64> {
    cal::cal2jd(year, i32::from(month), i32::from(day)).ok().map(|(_, number)| number as i64)
}

/// Civil day of a modified Julian day number.
pub(crate) fn civil_day(number: i64) -> (i32, u8, u8) {
    let (year, month, day, _) =
        cal::jd2cal(sofars::consts::DJM0, number as f64).expect("the day lies within the checked range");
    (year, month as u8, day as u8)
}

/// TAI − UTC on a civil day from 1972 on, in whole seconds (the library's table of leap seconds).
pub(crate) fn leap_seconds(year: i32, month: u8, day: u8) -> i64 {
    let seconds = ts::dat(year, i32::from(month), i32::from(day), 0.0);
    seconds.expect("the day lies within the checked range") as i64
}

/// What the geocentric place of anything depends on at one moment, and nothing that depends on a site.
#[derive(Clone, Debug)]
pub(crate) struct Context {
    astrom: IauAstrom,
    bpn: Matrix3<f64>,
    /// The moment, in TT.
    pub(crate) tt: JulianDate,
    /// Earth, barycentric: position in au and velocity in au per day.
    pub(crate) earth: (Position, Position),
    /// Sun, barycentric: position in au and velocity in au per day.
    pub(crate) sun: (Position, Position),
    /// Equation of the origins (Earth rotation angle − apparent sidereal time), radians.
    pub(crate) equation_of_origins: f64,
    /// The intermediate pole's x and y and the origin's locator s, radians.
    pole: (f64, f64, f64),
}

impl Context {
    /// The context of the Earth's centre at a moment of TT.
    pub(crate) fn geocentric(tt: JulianDate) -> Self {
        let (heliocentric, barycentric) = earth(tt);
        let (r, x, y, s) = pole(tt);
        let mut astrom = IauAstrom::default();
        apci(tt.0, tt.1, &barycentric, &heliocentric[0], x, y, s, &mut astrom);
        Self::new(astrom, tt, heliocentric, barycentric, (pnp::eors(&r, s), (x, y, s)))
    }

    /// From the context of the Earth's centre to that of an observer who turns with the Earth: the library's whole chain
    /// without polar motion. `ut1` is the moment in UT1; the observer's longitude east and latitude are in radians, the
    /// height in metres. Nutation and the Earth's place, the costly part, are those of the centre.
    pub(crate) fn at_site(&self, ut1: JulianDate, site: (f64, f64, f64)) -> Self {
        let (longitude, latitude, height) = site;
        let barycentric = [parts(&self.earth.0), parts(&self.earth.1)];
        let sun_to_earth = parts(&(self.earth.0 - self.sun.0));
        let (x, y, s) = self.pole;
        let theta = erst::era00(ut1.0, ut1.1);
        let mut astrom = IauAstrom::default();
        apco(
            self.tt.0,
            self.tt.1,
            &barycentric,
            &sun_to_earth,
            x,
            y,
            s,
            theta,
            longitude,
            latitude,
            height,
            0.0,
            0.0,
            0.0,
            0.0,
            0.0,
            &mut astrom,
        );
        let bpn = matrix(&astrom.bpn);
        Self { astrom, bpn, ..self.clone() }
    }

    /// Mean and apparent sidereal time at Greenwich (IAU 2006/2000A), radians, at the context's moment in UT1. The
    /// apparent one is the Earth rotation angle less the equation of the origins, as the library's own routine has it.
    pub(crate) fn sidereal_times(&self, ut1: JulianDate) -> (f64, f64) {
        let mean = erst::gmst06(ut1.0, ut1.1, self.tt.0, self.tt.1);
        (mean, sofars::vm::anp(erst::era00(ut1.0, ut1.1) - self.equation_of_origins))
    }

    fn new(
        astrom: IauAstrom,
        tt: JulianDate,
        heliocentric: [[f64; 3]; 2],
        barycentric: [[f64; 3]; 2],
        (equation_of_origins, pole): (f64, (f64, f64, f64)),
    ) -> Self {
        let earth = (vector(barycentric[0]), vector(barycentric[1]));
        let sun = (earth.0 - vector(heliocentric[0]), earth.1 - vector(heliocentric[1]));
        let bpn = matrix(&astrom.bpn);
        Self { astrom, bpn, tt, earth, sun, equation_of_origins, pole }
    }

    /// Julian years of TT since J2000.0.
    pub(crate) fn years(&self) -> f64 {
        self.astrom.pmt
    }

    /// The observer's barycentric position, au.
    pub(crate) fn observer(&self) -> Position {
        vector(self.astrom.eb)
    }

    /// The observer's barycentric velocity as a part of the speed of light.
    pub(crate) fn observer_velocity(&self) -> Position {
        vector(self.astrom.v)
    }

    /// Bends a star's coordinate direction (unit vector, from the observer) by the Sun's gravity.
    pub(crate) fn deflected_star(&self, direction: &Position) -> Position {
        vector(ldsun(parts(direction), self.astrom.eh, self.astrom.em))
    }

    /// Bends the direction of a source at a finite distance; `from_sun` is the unit vector from the Sun to it.
    pub(crate) fn deflected_body(&self, direction: &Position, from_sun: &Position) -> Position {
        // The limit is the library's own for stars: it keeps the formula finite near the Sun's disc.
        const LIMIT: f64 = 1e-6;
        let astrom = &self.astrom;
        vector(ld(1.0, parts(direction), parts(from_sun), astrom.eh, astrom.em, LIMIT))
    }

    /// Shifts a natural direction by the observer's motion and turns it into the celestial intermediate frame.
    pub(crate) fn cirs(&self, natural: &Position) -> Position {
        let proper = ab(&parts(natural), &self.astrom.v, self.astrom.em, self.astrom.bm1);
        self.bpn * vector(proper)
    }

    /// Right ascension and declination (radians, ICRS, astrometric) of a direction in the celestial intermediate
    /// frame: the inverse of deflection, aberration and precession-nutation.
    pub(crate) fn astrometric(&self, cirs: &Position) -> (f64, f64) {
        let (right_ascension, declination) = spherical(cirs);
        // The library takes the context by mutable reference without changing it.
        aticq(right_ascension, declination, &mut self.astrom.clone())
    }

    /// From the celestial intermediate frame to the horizon by the library's own step, with its refraction; a
    /// topocentric context already holds the diurnal aberration, so that this step adds none.
    pub(crate) fn to_horizon(&self, cirs: &Position, refraction: (f64, f64)) -> HorizonPlace {
        let mut astrom = self.astrom;
        (astrom.refa, astrom.refb) = refraction;
        let (right_ascension, declination) = spherical(cirs);
        let (azimuth, zenith_distance, hour_angle, declination, _) =
            atioq(right_ascension, declination, &astrom);
        HorizonPlace { azimuth, zenith_distance, hour_angle, declination }
    }
}

/// A place at a horizon in radians, as the library gives it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HorizonPlace {
    pub(crate) azimuth: f64,
    pub(crate) zenith_distance: f64,
    pub(crate) hour_angle: f64,
    pub(crate) declination: f64,
}

/// Bias-precession-nutation by IAU 2006/2000A: the matrix, the pole's x and y, and the origin's locator s.
fn pole(tt: JulianDate) -> ([[f64; 3]; 3], f64, f64, f64) {
    let r = pnp::pnm06a(tt.0, tt.1);
    let (x, y) = pnp::bpn2xy(&r);
    let s = pnp::s06(tt.0, tt.1, x, y);
    (r, x, y, s)
}

/// The Earth, heliocentric and barycentric (au, au per day).
///
/// The library's series ends at J2100.0; for the rest of the year 2100 the Earth comes from the shorter planetary
/// series, good to a few arcseconds for the Sun and to some thousandths of an arcsecond for the aberration of stars.
fn earth(tt: JulianDate) -> ([[f64; 3]; 2], [[f64; 3]; 2]) {
    eph::epv00(tt.0, tt.1).unwrap_or_else(|| earth_after_2100(tt))
}

fn earth_after_2100(tt: JulianDate) -> ([[f64; 3]; 2], [[f64; 3]; 2]) {
    // Mass of the Moon as a part of Earth and Moon, and of the four great planets as parts of the Sun (IAU 1976).
    const MOON_SHARE: f64 = 1.0 / 82.300_57;
    const GREAT_PLANETS: [(Planet, f64); 4] = [
        (Planet::Jupiter, 1.0 / 1_047.355),
        (Planet::Saturn, 1.0 / 3_498.5),
        (Planet::Uranus, 1.0 / 22_869.0),
        (Planet::Neptune, 1.0 / 19_314.0),
    ];
    let (centre, moon) = (planet_state(tt, Planet::EarthAndMoon), moon_state(tt));
    let states = GREAT_PLANETS.map(|(planet, mass)| (planet_state(tt, planet), mass));
    let mut heliocentric = [[0.0; 3]; 2];
    let mut barycentric = [[0.0; 3]; 2];
    for row in 0..2 {
        for axis in 0..3 {
            let earth = centre[row][axis] - MOON_SHARE * moon[row][axis];
            let sun: f64 = states.iter().map(|(state, mass)| -mass / (1.0 + mass) * state[row][axis]).sum();
            heliocentric[row][axis] = earth;
            barycentric[row][axis] = earth + sun;
        }
    }
    (heliocentric, barycentric)
}

/// The planets of the library's series, with its numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Planet {
    Mercury = 1,
    Venus = 2,
    EarthAndMoon = 3,
    Mars = 4,
    Jupiter = 5,
    Saturn = 6,
    Uranus = 7,
    Neptune = 8,
}

fn planet_state(tt: JulianDate, planet: Planet) -> [[f64; 3]; 2] {
    let (state, _) =
        eph::plan94(tt.0, tt.1, planet as i32).expect("the planet's number is one of the library's");
    state
}

fn moon_state(tt: JulianDate) -> [[f64; 3]; 2] {
    eph::moon98(tt.0, tt.1)
}

/// A planet's heliocentric position, au.
pub(crate) fn planet(tt: JulianDate, planet: Planet) -> Position {
    vector(planet_state(tt, planet)[0])
}

/// The Moon's geocentric position, au.
pub(crate) fn moon(tt: JulianDate) -> Position {
    vector(moon_state(tt)[0])
}

/// Mean and apparent sidereal time at Greenwich (IAU 2006/2000A), radians.
pub(crate) fn sidereal_times(ut1: JulianDate, tt: JulianDate) -> (f64, f64) {
    (erst::gmst06(ut1.0, ut1.1, tt.0, tt.1), erst::gst06a(ut1.0, ut1.1, tt.0, tt.1))
}

/// Constants A and B of the refraction A tan z + B tan³ z, radians, from hectopascals, degrees Celsius, relative
/// humidity (0–1) and micrometres.
pub(crate) fn refraction_constants(
    pressure: f64,
    temperature: f64,
    humidity: f64,
    wavelength: f64,
) -> (f64, f64) {
    refco(pressure, temperature, humidity, wavelength)
}

/// Geocentric position in metres (x towards longitude zero, z north) of a point over the WGS84 ellipsoid.
pub(crate) fn geocentric_position(longitude: f64, latitude: f64, height: f64) -> Position {
    const WGS84: i32 = 1;
    vector(coords::gd2gc(WGS84, longitude, latitude, height).expect("the site was checked when it was made"))
}

/// Longitude-like (0 to one turn) and latitude-like angle of a vector, radians.
fn spherical(direction: &Position) -> (f64, f64) {
    let (along, up) = sofars::vm::c2s(&parts(direction));
    (sofars::vm::anp(along), up)
}

/// Parallactic angle of a place at a horizon, radians.
pub(crate) fn parallactic_angle(place: &HorizonPlace, latitude: f64) -> f64 {
    coords::hd2pa(place.hour_angle, place.declination, latitude)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ellipsoid_is_the_published_one() {
        // gd2gc of the collection's test program (ERFA edition, t_erfa_c.c): WGS84, metres.
        let position = geocentric_position(3.1, -0.5, 2500.0);
        let published =
            Vector3::new(-5_599_000.557_704_994_7, 233_011.672_234_792_03, -3_040_909.470_698_336);
        assert!((position - published).norm() < 1e-7, "{position}");
        // Meeus, Astronomical Algorithms, example 11.a: in equatorial radii, of IAU 1976; WGS84 is 3 m smaller.
        let position =
            geocentric_position(0.0, (33.0 + 21.0 / 60.0 + 22.0 / 3600.0_f64).to_radians(), 1706.0);
        assert!((position.z / 6_378_140.0 - 0.546_861).abs() < 1.5e-6);
        assert!((position.x / 6_378_140.0 - 0.836_339).abs() < 1.5e-6);
    }

    #[test]
    fn refraction_constants_are_the_published_ones() {
        // refco of the same test program.
        let (a, b) = refraction_constants(800.0, 10.0, 0.9, 0.4);
        assert!((a - 0.226_494_995_624_141_5e-3).abs() < 1e-15);
        assert!((b + 0.259_865_826_172_934_3e-6).abs() < 1e-18);
    }
}
