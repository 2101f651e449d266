//! What the computer believes: the time, the site, the sky over it, and its own geometry.

use crate::settings::Settings;
use alignment::{Method, Model};
use nalgebra::Vector3;
use sky::time::{self, TimeError};
use sky::{Air, Body, Geocentre, Site, Source, Station, Track};
use std::sync::Arc;
use units::{Angle, Instant, Span};

/// The computer's picture of the world. It uses the same sky as the truth does, on what it was told.
#[derive(Clone, Debug)]
pub struct Belief {
    station: Station,
    geocentre: Arc<Geocentre>,
    model: Model,
    /// Whether a star has told of the model, tonight or before.
    taught: bool,
    sun: Arc<Track>,
    moon: Arc<Track>,
    ut1_minus_utc: Span,
    clock_at_power_on: Instant,
}

impl Belief {
    /// From what was typed in. `geocentre` holds places as seen from the Earth's centre, pure functions of the instant
    /// that is asked about: there is nothing of this night in it.
    pub fn new(settings: &Settings, geocentre: Arc<Geocentre>) -> Self {
        let ut1_minus_tai = ut1_minus_tai(settings.clock, settings.ut1_minus_utc);
        Self {
            station: Station::new(settings.site, settings.air, ut1_minus_tai),
            sun: Arc::new(geocentre.track(&Source::Body(Body::Sun))),
            moon: Arc::new(geocentre.track(&Source::Body(Body::Moon))),
            geocentre,
            model: Model::unaligned(settings.kind, settings.site.latitude()),
            taught: false,
            ut1_minus_utc: settings.ut1_minus_utc,
            clock_at_power_on: settings.clock,
        }
    }

    /// What its clock shows after `now` of its own time.
    pub fn instant(&self, now: Span) -> Instant {
        self.clock_at_power_on + now
    }

    /// The same as text, UTC to the millisecond; years outside its calendar cannot come up in a night.
    pub fn utc_text(&self, now: Span) -> String {
        time::utc_text(self.instant(now), 3).unwrap_or_else(|error| error.to_string())
    }

    /// Site, air and sidereal time as it was told.
    pub fn station(&self) -> &Station {
        &self.station
    }

    /// Its own geometry.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Whether any star has told it where it points.
    pub fn aligned(&self) -> bool {
        self.taught
    }

    /// Takes another geometry in place of its own.
    pub fn set_model(&mut self, model: Model) {
        self.taught = model.method() != Method::None;
        self.model = model;
    }

    /// Takes a geometry that earlier stars have told of, though it rests on no sighting of its own.
    pub(crate) fn set_taught_model(&mut self, model: Model) {
        self.model = model;
        self.taught = true;
    }

    /// Forgets every alignment.
    pub fn forget_alignment(&mut self) {
        self.set_model(Model::unaligned(self.model.kind(), self.station.site().latitude()));
    }

    /// Where the Sun stands (east, north, up), refraction in.
    pub fn sun(&self, now: Span) -> Vector3<f64> {
        self.observed(&self.sun, now)
    }

    /// Where the Moon stands (east, north, up), refraction in.
    pub fn moon(&self, now: Span) -> Vector3<f64> {
        self.observed(&self.moon, now)
    }

    /// The direction in the celestial intermediate frame of what is observed in a direction.
    pub fn cirs(&self, direction: &Vector3<f64>, now: Span) -> Vector3<f64> {
        self.station.cirs_from_observed(direction, self.instant(now))
    }

    /// Places as seen from the Earth's centre.
    pub fn geocentre(&self) -> &Arc<Geocentre> {
        &self.geocentre
    }

    /// The places of one source by its sky.
    pub fn track(&self, source: &Source) -> Track {
        self.geocentre.track(source)
    }

    /// Where a source stands by its clock, site and air: direction as observed (east, north, up).
    pub fn observed(&self, track: &Track, now: Span) -> Vector3<f64> {
        let instant = self.instant(now);
        self.station.observe(&track.cirs(instant), instant).refracted
    }

    /// Right ascension and declination of an observed direction.
    pub fn icrs(&self, direction: &Vector3<f64>, now: Span) -> (Angle, Angle) {
        self.station.icrs_from_observed(&self.geocentre, direction, self.instant(now))
    }

    /// Local apparent sidereal time.
    pub fn sidereal_time(&self, now: Span) -> Angle {
        self.station.last(self.instant(now))
    }

    /// Sets the clock to show `instant` at `now`.
    ///
    /// # Errors
    /// An instant outside the calendar.
    pub fn set_clock(&mut self, instant: Instant, now: Span) -> Result<(), TimeError> {
        let ut1_minus_tai = time::ut1_minus_tai(instant, self.ut1_minus_utc)?;
        self.clock_at_power_on = instant - now;
        self.station = Station::new(*self.station.site(), *self.station.air(), ut1_minus_tai);
        Ok(())
    }

    /// Lets the clock jump forwards (or backwards) without being told so.
    pub fn shift_clock(&mut self, by: Span) {
        self.clock_at_power_on += by;
    }

    /// Moves it to another site, under other air. A new latitude is a new geometry: the model begins anew.
    pub fn set_site(&mut self, site: Site, air: Air) {
        if site.latitude() != self.station.site().latitude() {
            self.set_model(Model::unaligned(self.model.kind(), site.latitude()));
        }
        self.station = Station::new(site, air, self.station.ut1_minus_tai());
    }
}

/// UT1 − TAI; the settings were checked when they were made, so only a defect of ours leaves the calendar.
fn ut1_minus_tai(clock: Instant, ut1_minus_utc: Span) -> Span {
    time::ut1_minus_tai(clock, ut1_minus_utc)
        .unwrap_or_else(|error| unreachable!("the clock of the settings is outside the calendar: {error}"))
}
