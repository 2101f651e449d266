//! Air, true and believed.

use super::{Verdict, hold, hour_and_declination, near};
use crate::night::{Case, EAST, Setting, WEST, look};
use nalgebra::Vector3;
use units::{Angle, maths};

const VACUUM: &[Setting] = &[("site.pressure", "\"0 hPa\"")];

/// How much the air lifts a target in the unchanged and in the changed night, arcseconds.
///
/// Looks with and without air are some hundredths of a second apart, since the slews are; 15″ a second of that are
/// well below a hundredth of a minute of refraction.
fn lifts(case: &Case, target: usize) -> (f64, f64) {
    let lift = |with, without| (look(with, target).target.1 - look(without, target).target.1).arcsec();
    let (base, changed) = (case.base_with(VACUUM), case.changed_with(VACUUM));
    (lift(&case.base, &base), lift(&case.changed, &changed))
}

/// Refraction goes with the density of dry air, that is with pressure over absolute temperature.
pub fn scaled(case: &Case, ratio: f64) -> Verdict {
    for target in [EAST, WEST] {
        let (before, after) = lifts(case, target);
        hold(before > 20.0, "the target stands too high to judge")?;
        // The second constant of refraction and the height of the air go otherwise with temperature: below 0.2 %.
        near("refraction, as a ratio", after / before, ratio, 0.003)?;
    }
    Ok(())
}

/// Where no pressure is given it falls with height as exp(−h/(29.3 m/K · T)).
pub fn standard_air_of_the_height(case: &Case) -> Verdict {
    scaled(case, maths::exp(-1000.0 / (29.3 * 283.15)))
}

/// A mount that believes in other air points as much higher as it believes the star to be lifted.
pub fn scaled_in_belief(case: &Case, ratio: f64) -> Verdict {
    for target in [EAST, WEST] {
        let (lift, _) = lifts(case, target);
        let (before, after) = case.looks(target);
        let error = |look: &bench::Look| (look.boresight.1 - look.target.1).arcsec();
        let expected = lift * (ratio - 1.0);
        // As above, 0.2 % of some 60″; and the difference of the errors before.
        near("boresight_altitude_deg in arcsec", error(after) - error(before), expected, 0.15)?;
        hold(expected.abs() > 1.0, "the change is too small to judge")?;
    }
    Ok(())
}

/// By how much saturated air at 10 °C refracts less than dry air at the same pressure, as a part.
///
/// Water vapour of pressure e takes the place of air in n − 1 ∝ (79.0 p − 11.3 e)/T at 0.55 µm (Hohenkerk & Sinclair,
/// NAO Technical Note 63, 1985; from memory); saturation by the Magnus formula (WMO Guide to Instruments, from memory).
fn thinner_by_vapour() -> f64 {
    let saturated = 6.112 * maths::exp(17.62 * 10.0 / (243.12 + 10.0));
    11.3 / 79.0 * saturated / 965.0
}

pub fn vapour_thins_the_air(case: &Case) -> Verdict {
    for target in [EAST, WEST] {
        let (before, after) = lifts(case, target);
        // A tenth of 0.18 %: the two formulas agree to some per cent, and the looks are not quite simultaneous.
        near("refraction, as a part", 1.0 - after / before, thinner_by_vapour(), 2e-4)?;
    }
    Ok(())
}

pub fn vapour_believed(case: &Case) -> Verdict {
    for target in [EAST, WEST] {
        let (lift, _) = lifts(case, target);
        let (before, after) = case.looks(target);
        let error = |look: &bench::Look| (look.boresight.1 - look.target.1).arcsec();
        let expected = -lift * thinner_by_vapour();
        near("boresight_altitude_deg in arcsec", error(after) - error(before), expected, -0.1 * expected)?;
    }
    Ok(())
}

/// A false latitude leaves hour angle and declination alone, but the mount lifts the star towards a false zenith.
///
/// With A tan z for refraction, a star s is lifted by A · (Z − (Z·s) s)/(Z·s) towards the zenith Z: the miss is the
/// difference of that for both zeniths, seen from the star.
pub fn refraction_along_a_false_vertical(case: &Case) -> Verdict {
    for target in [EAST, WEST] {
        let (hour, declination, _) = hour_and_declination(case, target);
        let (lift, _) = lifts(case, target);
        let constant = lift * look(&case.base, target).target.1.tan();
        let (sh, ch) = hour.sin_cos();
        let (sd, cd) = declination.sin_cos();
        // Axes: the meridian's crossing of the equator, east, the pole.
        let star = Vector3::new(cd * ch, -cd * sh, sd);
        let (east, north) = (Vector3::new(sh, ch, 0.0), Vector3::new(-sd * ch, sd * sh, cd));
        let lifted = |degrees| {
            let (sin, cos) = Angle::from_degrees(degrees).sin_cos();
            let zenith = Vector3::new(cos, 0.0, sin);
            zenith / zenith.dot(&star)
        };
        let miss = (lifted(41.5) - lifted(40.5)) * constant;
        let (before, after) = case.looks(target);
        let found_east = (after.miss_east - before.miss_east).arcsec();
        let found_north = (after.miss_north - before.miss_north).arcsec();
        // The dials are those of the refracted star, 60″ away; tan³ z is left out. Together below 2 % of 2″.
        near("miss_east_arcsec", found_east, miss.dot(&east), 0.04)?;
        near("miss_north_arcsec", found_north, miss.dot(&north), 0.04)?;
        hold(miss.norm() > 0.5, "the change is too small to judge")?;
    }
    Ok(())
}
