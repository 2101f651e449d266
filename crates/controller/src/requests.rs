//! What each request does.

use crate::Controller;
use crate::jobs::{Job, Work, job_field};
use crate::motors::Motors;
use kinematics::{Kind, frames};
use protocol::verbs::{self, VERBS};
use protocol::{CivilTime, Fields, Rate, Refusal, RefusalKind, Request, Session, SiteEntry, StatusGroup};
use sky::time::{Utc, instant_from_utc};
use sky::{Air, Site};
use units::{Angle, Span};

/// Version of the language.
const LANGUAGE: u64 = 1;

impl Controller {
    /// Obeys a request at `now`, or refuses it and has changed nothing.
    pub(crate) fn obey(
        &mut self,
        session: Session,
        request: &Request,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        match request {
            Request::Identify => Ok(self.identify()),
            Request::Version => Ok(Fields::new().text("version", self.settings.version)),
            Request::Help(topic) => Ok(help(topic.as_deref())),
            Request::Site(entry) => self.site(entry, now, motors),
            Request::Time(time) => self.time(*time, now, motors),
            Request::Track(entry) => self.track(entry, now, motors),
            Request::Goto { aim, side } => self.goto(aim, *side, now, motors),
            Request::Nudge { direction, rate, end } => self.nudge(*direction, *rate, *end, now, motors),
            Request::Release => Ok(self.release(now, motors)),
            Request::Guide { direction, span } => self.guide(*direction, *span, now, motors),
            Request::GuideRate(rate) => Ok(self.guide_rate(*rate)),
            Request::Stop => Ok(self.stop(now, motors)),
            Request::Sync(seen) => self.sync(seen, now, motors),
            Request::Park => self.go_home(Work::Park, now, motors),
            Request::Unpark => Ok(self.unpark()),
            Request::Home => self.go_home(Work::Home, now, motors),
            Request::Align(entry) => self.align(entry, now, motors),
            Request::Propose { next, purpose } => self.propose(*next, *purpose, now),
            Request::Questions(entry) => self.questions(*entry),
            Request::Verify(name) => self.verify(name, now, motors),
            Request::Moved(part) => self.moved(*part, now, motors),
            Request::PolarAxis => self.polar_axis(),
            Request::PolarOffset(name) => self.polar_offset(name, now, motors),
            Request::PolarDone(name) => self.polar_done(name, now, motors),
            Request::NextStar(entry) => self.next_star(*entry, now, motors),
            Request::Sight(entry) => self.sight(entry, now, motors),
            Request::Sightings(entry) => self.sightings(*entry),
            Request::Forget { entry } => self.forget(*entry, now, motors),
            Request::Keep(which) => self.keep(*which),
            Request::Model(term) => self.model(term.as_deref()),
            Request::Record { turns } => self.record(*turns, now, motors),
            Request::Playback(state) => self.playback(*state, motors),
            Request::MeasurePlay(entry) => self.measure_play(entry),
            Request::Approach(entry) => self.approach(entry),
            Request::TakeUp(entry) => self.take_up(entry),
            Request::Solution(choice) => self.solution(*choice),
            Request::Meridian(entry) => self.meridian(entry),
            Request::Limits(entry) => self.limits(entry),
            Request::Horizon(level) => Ok(self.horizon(*level)),
            Request::Sun(radius) => Ok(self.sun(*radius, now)),
            Request::Status(StatusGroup::Motion) => Ok(self.motion_status(now, motors)),
            Request::Status(StatusGroup::Pointing) => Ok(self.pointing_status(now, motors)),
            Request::Axes => Ok(self.dials(Fields::new(), now, motors)),
            Request::Jobs => Ok(self.list_jobs(now)),
            Request::Await { job, within } => self.await_job(*job, *within, now),
            Request::Cancel { job } => self.cancel(*job, now, motors),
            Request::Errors(entry) => self.errors(*entry),
            Request::Events(entry) => Ok(self.events(entry, session)),
            Request::Controls(action) => self.controls(*action, session),
            Request::Checks(demand) => Ok(self.checks(*demand, session)),
            // Time and faults are not this computer's to order: where they are allowed, the bench answers.
            Request::Clock(_) => Err(not_allowed("the clock runs by itself here")),
            Request::Fault(_) | Request::Faults(_) => Err(not_allowed("no faults can be ordered here")),
        }
    }

    fn identify(&self) -> Fields {
        Fields::new()
            .text("device", "nightbench")
            .text("kind", self.settings.kind.word())
            .count("language", LANGUAGE)
    }

    fn site(&mut self, entry: &SiteEntry, now: Span, motors: &mut impl Motors) -> Result<Fields, Refusal> {
        if *entry != SiteEntry::default() {
            self.idle()?;
            let (site, air) = (self.belief.station().site(), self.belief.station().air());
            let bad =
                |error: &dyn std::fmt::Display| Refusal::new(RefusalKind::OutOfRange, error.to_string());
            let new_site = Site::new(
                entry.latitude.unwrap_or(site.latitude()),
                entry.longitude.unwrap_or(site.longitude()),
                entry.height.unwrap_or(site.height()),
            )
            .map_err(|error| bad(&error))?;
            let new_air = Air::new(
                entry.pressure.unwrap_or(air.pressure()),
                entry.temperature.unwrap_or(air.temperature()),
                entry.humidity.unwrap_or(air.humidity()),
                air.wavelength_micrometres(),
            )
            .map_err(|error| bad(&error))?;
            self.belief.set_site(new_site, new_air);
            self.belief_changed(now, motors);
        }
        let (site, air) = (self.belief.station().site(), self.belief.station().air());
        Ok(Fields::new()
            .degrees("latitude", site.latitude())
            .degrees("longitude", site.longitude())
            .number("height", site.height().metres(), 3, "m")
            .number("pressure", air.pressure().hectopascals(), 3, "hPa")
            .number("temperature", air.temperature().celsius(), 3, "degC")
            .number("humidity", air.humidity().percent(), 3, "%"))
    }

    fn time(
        &mut self,
        time: Option<CivilTime>,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        if let Some(time) = time {
            self.idle()?;
            let CivilTime { year, month, day, hour, minute, second, nanosecond } = time;
            let utc = Utc { year, month, day, hour, minute, second, nanosecond };
            let bad = |error: sky::time::TimeError| Refusal::new(RefusalKind::BadValue, error.to_string());
            let instant = instant_from_utc(&utc).map_err(bad)?;
            self.belief.set_clock(instant, now).map_err(bad)?;
            self.belief_changed(now, motors);
        }
        Ok(Fields::new()
            .text("utc", &self.belief.utc_text(now))
            .text("sidereal", &self.belief.sidereal_time(now).as_hours_text(3)))
    }

    fn motion_status(&self, now: Span, motors: &mut impl Motors) -> Fields {
        let (state, number) = match &self.job {
            Some(Job { work: Work::Stopping { .. }, .. }) => ("stopping", None),
            Some(Job { number, .. }) => ("slewing", *number),
            None if self.motion.is_over() => ("nudging", None),
            None if self.motion.rate != Rate::Off => ("tracking", None),
            None if self.parked => ("parked", None),
            None => ("resting", None),
        };
        let fields =
            job_field(Fields::new().text("state", state), number).text("rate", self.motion.rate.word());
        self.dials(fields, now, motors).text("utc", &self.belief.utc_text(now))
    }

    fn pointing_status(&self, now: Span, motors: &mut impl Motors) -> Fields {
        let dials = self.counted(now, motors);
        let direction = self.belief.model().direction_for(dials);
        let (azimuth, altitude) = frames::horizontal(&direction);
        let (ra, dec) = self.belief.icrs(&direction, now);
        Fields::new()
            .degrees("azimuth", azimuth)
            .degrees("altitude", altitude)
            .degrees("ra", ra)
            .degrees("dec", dec)
            .text("utc", &self.belief.utc_text(now))
    }

    fn dials(&self, fields: Fields, now: Span, motors: &mut impl Motors) -> Fields {
        let names = match self.settings.kind {
            Kind::GermanEquatorial | Kind::ForkEquatorial => ["hour_dial", "declination_dial"],
            Kind::AltAzimuth => ["azimuth_dial", "altitude_dial"],
        };
        let dials = self.counted(now, motors);
        fields.degrees(names[0], dials.first).degrees(names[1], dials.second)
    }
}

fn not_allowed(sentence: &str) -> Refusal {
    Refusal::new(RefusalKind::NotAllowed, sentence)
}

fn help(topic: Option<&str>) -> Fields {
    match topic.and_then(verbs::find) {
        Some(verb) => {
            let keys: Vec<&str> = verb.keys.iter().map(|key| key.name).collect();
            Fields::new().text("purpose", verb.purpose).text("keys", &keys.join(","))
        }
        None => {
            let names: Vec<&str> = VERBS.iter().map(|verb| verb.name).collect();
            Fields::new().text("verbs", &names.join(","))
        }
    }
}

/// An angle as it stands in a sentence.
pub(crate) fn in_degrees(angle: Angle) -> String {
    format!("{:.1} deg", angle.degrees())
}
