//! Where the observer stands, and the air above.

use thiserror::Error;
use units::{Angle, Length, Pressure, Share, Temperature, maths};

/// Why a site or its air was refused.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("{what} is {given}; it must lie from {least} to {most}")]
pub struct SiteError {
    /// Which quantity.
    pub what: &'static str,
    /// What was given, with its unit.
    pub given: String,
    /// The least that is taken, with its unit.
    pub least: &'static str,
    /// The most that is taken, with its unit.
    pub most: &'static str,
}

/// A place on the Earth: geodetic on the WGS84 ellipsoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    latitude: Angle,
    longitude: Angle,
    height: Length,
}

impl Site {
    /// A site from its latitude (north positive, −90° to 90°), longitude (east positive, −180° to 360°) and height
    /// over the ellipsoid (−500 m to 9000 m). On a pole itself, azimuths count as if one had come along the longitude.
    pub fn new(latitude: Angle, longitude: Angle, height: Length) -> Result<Self, SiteError> {
        within("the latitude", latitude.degrees(), " deg", (-90.0, "-90 deg"), (90.0, "90 deg"))?;
        within("the longitude", longitude.degrees(), " deg", (-180.0, "-180 deg"), (360.0, "360 deg"))?;
        within("the height", height.metres(), " m", (-500.0, "-500 m"), (9000.0, "9000 m"))?;
        Ok(Self { latitude, longitude, height })
    }

    /// Geodetic latitude, north positive.
    pub fn latitude(&self) -> Angle {
        self.latitude
    }

    /// Longitude, east positive, as it was given.
    pub fn longitude(&self) -> Angle {
        self.longitude
    }

    /// Height over the ellipsoid.
    pub fn height(&self) -> Length {
        self.height
    }
}

/// The air at the site, for refraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    pressure: Pressure,
    temperature: Temperature,
    humidity: Share,
    wavelength_micrometres: f64,
}

impl Air {
    /// The wavelength at which an eye sees best, as refraction is reckoned for visual use.
    pub const VISUAL_MICROMETRES: f64 = 0.55;

    /// Air of a pressure at the site (not reduced to sea level; 0 to 1200 hPa), temperature (−100 °C to 60 °C),
    /// relative humidity (0 to 1) and for light of a wavelength (0.3 µm to 2.5 µm).
    pub fn new(
        pressure: Pressure,
        temperature: Temperature,
        humidity: Share,
        wavelength_micrometres: f64,
    ) -> Result<Self, SiteError> {
        within("the pressure", pressure.hectopascals(), " hPa", (0.0, "0 hPa"), (1200.0, "1200 hPa"))?;
        within("the temperature", temperature.celsius(), " degC", (-100.0, "-100 degC"), (60.0, "60 degC"))?;
        within("the humidity", humidity.fraction(), "", (0.0, "0"), (1.0, "1"))?;
        within("the wavelength", wavelength_micrometres, " um", (0.3, "0.3 um"), (2.5, "2.5 um"))?;
        Ok(Self { pressure, temperature, humidity, wavelength_micrometres })
    }

    /// The air that is assumed where nothing is said: [`Air::standard_pressure`] at 10 °C, half saturated, 0.55 µm.
    pub fn standard(height: Length) -> Self {
        let temperature = Temperature::from_celsius(10.0);
        Self {
            pressure: Self::standard_pressure(height, temperature),
            temperature,
            humidity: Share::from_fraction(0.5),
            wavelength_micrometres: Self::VISUAL_MICROMETRES,
        }
    }

    /// 1013.25 hPa · exp(−h/(29.3 m/K · T)): an atmosphere of one temperature (the barometric formula; 29.3 m/K is the
    /// gas constant of dry air over gravity).
    pub fn standard_pressure(height: Length, temperature: Temperature) -> Pressure {
        let scale_height = 29.3 * temperature.kelvins();
        Pressure::from_hectopascals(1013.25 * maths::exp(-height.metres() / scale_height))
    }

    /// No air: refraction is switched off.
    pub fn vacuum() -> Self {
        Self {
            pressure: Pressure::from_hectopascals(0.0),
            temperature: Temperature::from_celsius(10.0),
            humidity: Share::from_fraction(0.0),
            wavelength_micrometres: Self::VISUAL_MICROMETRES,
        }
    }

    /// Pressure at the site.
    pub fn pressure(&self) -> Pressure {
        self.pressure
    }

    /// Temperature at the site.
    pub fn temperature(&self) -> Temperature {
        self.temperature
    }

    /// Relative humidity.
    pub fn humidity(&self) -> Share {
        self.humidity
    }

    /// Wavelength of the light, micrometres.
    pub fn wavelength_micrometres(&self) -> f64 {
        self.wavelength_micrometres
    }
}

/// Refuses a value outside the bounds, not-a-number included. Each bound comes with its text.
fn within(
    what: &'static str,
    value: f64,
    unit: &str,
    (least, least_text): (f64, &'static str),
    (most, most_text): (f64, &'static str),
) -> Result<(), SiteError> {
    // A hair of slack: 90 degrees in radians and back may not be 90.
    let slack = 1e-9;
    if value >= least - slack && value <= most + slack {
        return Ok(());
    }
    Err(SiteError { what, given: format!("{value}{unit}"), least: least_text, most: most_text })
}
