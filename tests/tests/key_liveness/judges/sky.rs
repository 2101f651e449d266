//! Targets.

use super::{Verdict, hold, near};
use crate::night::{Case, EAST, NAMED, prepared};
use units::Angle;

/// Right ascension 7h34m36s and declination 31°53′18″ are Castor's (J2000.0, Hipparcos catalogue, from memory).
pub fn another_star(case: &Case) -> Verdict {
    let row = &case.changed.gotos[NAMED];
    hold(row.target == "Castor", "the row has another name")?;
    // Rounded to the arcminute and moved by 27 years of proper motion.
    near("icrs_ra_deg", row.icrs.0.degrees(), 113.650, 0.01)?;
    near("icrs_dec_deg", row.icrs.1.degrees(), 31.888, 0.01)
}

/// A degree more of right ascension is a degree less of hour angle, but for precession since J2000.0.
pub fn a_degree_of_right_ascension(case: &Case) -> Verdict {
    let (before, after) = (&case.base.gotos[EAST].icrs, &case.changed.gotos[EAST].icrs);
    near("icrs_ra_deg", (after.0 - before.0).degrees(), 1.0, 1e-12)?;
    near("icrs_dec_deg", (after.1 - before.1).degrees(), 0.0, 1e-12)?;
    let (before, after) = case.looks(EAST);
    let turned = units::AngularRate::SIDEREAL.degrees() * (after.at - before.at).seconds();
    // Precession over 27.2 years turns the pole by 0.15°: a slope of 0.0026 · tan δ.
    near("hour_dial_deg", (after.dials.0 - before.dials.0).degrees() - turned, -1.0, 0.002)
}

/// A degree more of declination is a degree more on its dial, but for precession.
pub fn a_degree_of_declination(case: &Case) -> Verdict {
    let (before, after) = (&case.base.gotos[EAST].icrs, &case.changed.gotos[EAST].icrs);
    near("icrs_dec_deg", (after.1 - before.1).degrees(), 1.0, 1e-12)?;
    let (before, after) = case.looks(EAST);
    // The second order of a turn by 0.15° is 4e-6; aberration's 20″ change by a sixtieth.
    near("declination_dial_deg", (after.dials.1 - before.dials.1).degrees(), 1.0, 1e-4)
}

/// From a place that is higher by Δ the Moon, at the distance d, stands lower by Δ/d · cos h; the mount believes so.
pub fn parallax_of_the_moon(case: &Case) -> Verdict {
    const METRES_PER_AU: f64 = 149_597_870_700.0;
    const EARTH_RADIUS_METRES: f64 = 6.371e6;
    let (before, after) = case.looks(NAMED);
    let spec = prepared(crate::night::NO_SETTINGS).map_err(|_| "the base night is refused".to_owned())?;
    let moon = spec.world_spec().geocentre.track(&sky::Source::Body(sky::Body::Moon));
    let distance = moon.cirs(before.at).distance_au.unwrap_or(f64::NAN) * METRES_PER_AU
        - EARTH_RADIUS_METRES * before.target.1.sin();
    let expected = Angle::from_radians(-5000.0 / distance * before.target.1.cos());
    let found = (after.boresight.1 - before.boresight.1) - (after.target.1 - before.target.1);
    // A thousandth of 2.7″ for the Earth's flattening, and as much for the geodetic vertical.
    near("boresight_altitude_deg in arcsec", found.arcsec(), expected.arcsec(), 0.01)?;
    hold(expected.arcsec() < -1.0, "the Moon stands too high to judge")
}
