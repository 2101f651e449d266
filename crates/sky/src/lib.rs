//! The sky as it is: time scales, observed places of stars, Sun, Moon and planets, refraction, and their inverses.
//!
//! Pure functions of the instant; no mount is known here. The chain for one place:
//!
//! ```text
//! Source ── Geocentre::track ──▶ Track ── cirs(t) ──▶ CirsPlace ── Station::observe(t) ──▶ Observed
//!           (hourly contexts,             (a cubic                 (exact rotation, parallax, diurnal
//!            no site in them)              per hour)                aberration, refraction)
//! ```
//!
//! [`place_exact`] goes the library's own long way for one instant and serves as the tests' oracle.
//!
//! The astrometry rests on routines derived from the SOFA collection (Standards of Fundamental Astronomy); it is
//! neither provided nor endorsed by it. The licence is in `LICENSE-SOFA.md`.
#![forbid(unsafe_code)]

pub mod catalogue;
pub mod events;
mod exact;
mod geocentre;
mod horizon;
mod library;
pub mod magnetic;
mod observed;
pub mod pole;
mod refraction;
mod site;
mod source;
mod station;
pub mod time;
mod track;
pub mod zones;

pub use exact::{ExactHorizon, ExactPlace, place_exact};
pub use geocentre::Geocentre;
pub use horizon::Horizon;
pub use observed::{
    Observed, altitude, azimuth, equatorial_direction, horizontal_direction, hour_angle_and_declination,
    parallactic_angle,
};
pub use site::{Air, Site, SiteError};
pub use source::{Body, Source, StarPlace, direction, equatorial, icrs_at};
pub use station::Station;
pub use track::{CirsPlace, Track};
