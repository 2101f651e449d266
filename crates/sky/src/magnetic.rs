//! Magnetic declination: how far a compass points from north.
//!
//! The World Magnetic Model 2025 (2020 before its begin), a product of the United States' National Centers for Environmental
//! Information and the British Geological Survey, by the crate `world_magnetic_model`. It describes the core's field: iron
//! in rocks, cars, piers and counterweights turns a compass by degrees more.

use crate::time::{self, TimeError, Utc};
use units::{Angle, Instant, Length};
use world_magnetic_model::time::Date;
use world_magnetic_model::uom::si::angle::{degree, radian};
use world_magnetic_model::uom::si::f32 as model_units;
use world_magnetic_model::uom::si::length::meter;
use world_magnetic_model::uom::si::magnetic_flux_density::nanotesla;
use world_magnetic_model::{GeomagneticField, WarningZone};

/// First and last year for which the model is made.
pub const VALID_YEARS: std::ops::RangeInclusive<i32> = 2020..=2029;

/// The Earth's magnetic field at a place and time.
#[derive(Clone, Debug, PartialEq)]
pub struct MagneticField {
    /// Where the compass's north lies from true north, east positive.
    pub declination: Angle,
    /// One sigma of the declination by the model's own account of its errors.
    pub declination_sigma: Angle,
    /// How far the field dips below the level, down positive.
    pub inclination: Angle,
    /// Its horizontal part, which turns the needle, in nanotesla.
    pub horizontal_nanotesla: f64,
    /// What is doubtful about it.
    pub cautions: Vec<MagneticCaution>,
}

/// Why a magnetic declination is to be taken with care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MagneticCaution {
    /// The model isn't made for this year; the field is that of the nearest day for which it is.
    OutsideYears {
        /// The year that was asked for.
        year: i32,
    },
    /// So near to a magnetic pole that a compass is weak (horizontal field from 2000 to 6000 nT).
    WeakHorizontalField,
    /// So near to a magnetic pole that a compass is of no use (horizontal field below 2000 nT).
    CompassUseless,
}

impl std::fmt::Display for MagneticCaution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OutsideYears { year } => write!(
                f,
                "the magnetic model holds from {} to {}; for {year} the nearest day of it was taken, and the needle may \
                 have moved by some degrees since",
                VALID_YEARS.start(),
                VALID_YEARS.end()
            ),
            Self::WeakHorizontalField => f.write_str(
                "this is near a magnetic pole: a compass points weakly here and may be degrees off",
            ),
            Self::CompassUseless => f.write_str("this is too near a magnetic pole for a compass"),
        }
    }
}

/// Why no field can be given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MagneticError {
    /// The latitude isn't between −90° and 90°, or the longitude not between −180° and 360°.
    #[error(
        "latitude {latitude_deg} deg, longitude {longitude_deg} deg is no place on Earth; latitudes go from -90 deg to \
             90 deg, longitudes from -180 deg to 360 deg"
    )]
    NoSuchPlace {
        /// Latitude in degrees.
        latitude_deg: f64,
        /// Longitude in degrees.
        longitude_deg: f64,
    },
    /// The height is outside the model's range.
    #[error("{height_m} m is outside the magnetic model; it holds from 1 km below to 850 km above the sea")]
    Height {
        /// Height in metres.
        height_m: f64,
    },
    /// The instant lies outside the years of civil time.
    #[error(transparent)]
    Time(#[from] TimeError),
}

/// The magnetic field at a geodetic latitude and longitude (WGS84), a height above the ellipsoid and an instant; the model
/// changes from day to day, not within one.
///
/// # Errors
/// [`MagneticError`] for what is no place or no instant in range. Years for which the model isn't made are no error but a
/// caution.
pub fn magnetic_field(
    latitude: Angle,
    longitude: Angle,
    height: Length,
    instant: Instant,
) -> Result<MagneticField, MagneticError> {
    let utc = time::utc_from_instant(instant)?;
    let (latitude_deg, longitude_deg) = (latitude.degrees(), longitude.degrees());
    // A hair of slack: 90 degrees in radians and back may not be 90.
    let slack = 1e-9;
    if !(latitude_deg.abs() <= 90.0 + slack && (-180.0 - slack..=360.0 + slack).contains(&longitude_deg)) {
        return Err(MagneticError::NoSuchPlace { latitude_deg, longitude_deg });
    }
    let east = if longitude_deg > 180.0 { longitude_deg - 360.0 } else { longitude_deg };
    let field = GeomagneticField::new(
        model_units::Length::new::<meter>(height.metres() as f32),
        model_units::Angle::new::<degree>(latitude_deg.clamp(-90.0, 90.0) as f32),
        model_units::Angle::new::<degree>(east.clamp(-180.0, 180.0) as f32),
        day_of_model(&utc),
    )
    .map_err(|_| MagneticError::Height { height_m: height.metres() })?;
    let mut cautions = Vec::new();
    if !VALID_YEARS.contains(&utc.year) {
        cautions.push(MagneticCaution::OutsideYears { year: utc.year });
    }
    cautions.extend(field.declination_warning().map(|zone| match zone {
        WarningZone::CautionZone => MagneticCaution::WeakHorizontalField,
        WarningZone::BlackoutZone => MagneticCaution::CompassUseless,
    }));
    let angle = |value: model_units::Angle| Angle::from_radians(f64::from(value.get::<radian>()));
    Ok(MagneticField {
        declination: angle(field.declination()),
        declination_sigma: angle(field.declination_uncertainty()),
        inclination: angle(field.inclination()),
        horizontal_nanotesla: f64::from(field.h().get::<nanotesla>()),
        cautions,
    })
}

/// The day as the model counts it, or the nearest for which it is made.
fn day_of_model(utc: &Utc) -> Date {
    let (first, last) = (*VALID_YEARS.start(), *VALID_YEARS.end());
    let day = if utc.year < first {
        Date::from_ordinal_date(first, 1)
    } else if utc.year > last {
        Date::from_ordinal_date(last, 365)
    } else {
        let month =
            world_magnetic_model::time::Month::try_from(utc.month).expect("months of civil time are 1 to 12");
        Date::from_calendar_date(utc.year, month, utc.day)
    };
    day.expect("a day of civil time is a day of the calendar")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(latitude: f64, longitude: f64, year: &str) -> MagneticField {
        let utc = Utc::parse(&format!("{year}-07-01T00:00:00Z")).expect("a date");
        let instant = time::instant_from_utc(&utc).expect("in range");
        let degrees = Angle::from_degrees;
        magnetic_field(degrees(latitude), degrees(longitude), Length::from_metres(440.0), instant)
            .expect("on Earth")
    }

    #[test]
    fn years_outside_the_model_are_said_and_take_its_nearest_day() {
        assert!(field(40.5, -4.5, "2029").cautions.is_empty());
        let late = field(40.5, -4.5, "2040");
        assert_eq!(late.cautions, [MagneticCaution::OutsideYears { year: 2040 }]);
        // Half a year of change lies between the last day and the middle of the last year.
        let drift = (late.declination - field(40.5, -4.5, "2029").declination).abs();
        assert!(drift.degrees() < 0.2 && drift.degrees() > 0.0);
        assert!(late.cautions[0].to_string().contains("2020 to 2029"));
    }

    #[test]
    fn near_a_magnetic_pole_the_compass_is_doubted() {
        assert_eq!(field(86.0, 140.0, "2026").cautions, [MagneticCaution::CompassUseless]);
        assert!(field(-90.0, 0.0, "2026").cautions.is_empty());
    }

    #[test]
    fn longitudes_count_both_ways() {
        assert_eq!(field(10.0, 350.0, "2026"), field(10.0, -10.0, "2026"));
        let nowhere = magnetic_field(
            Angle::from_degrees(95.0),
            Angle::ZERO,
            Length::ZERO,
            Instant::from_nanoseconds(0),
        );
        assert!(matches!(nowhere, Err(MagneticError::NoSuchPlace { .. })));
        let space =
            magnetic_field(Angle::ZERO, Angle::ZERO, Length::from_metres(9e6), Instant::from_nanoseconds(0));
        assert!(matches!(space, Err(MagneticError::Height { .. })));
    }
}
