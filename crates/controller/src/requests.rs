//! What each request does.

use crate::Controller;
use crate::jobs::{Job, Work};
use crate::motors::{Axis, Motors};
use kinematics::{AxisAngles, Kind, frames};
use protocol::verbs::{self, VERBS};
use protocol::{CivilTime, Fields, Rate, Refusal, RefusalKind, Request, SiteEntry, StatusGroup};
use sky::time::{Utc, instant_from_utc};
use sky::{Air, Site};
use units::{Angle, Span};

/// Version of the language.
const LANGUAGE: u64 = 1;

impl Controller {
    /// Obeys a request at `now`, or refuses it and has changed nothing.
    pub(crate) fn obey(
        &mut self,
        request: &Request,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        match request {
            Request::Identify => Ok(self.identify()),
            Request::Version => Ok(Fields::new().text("version", self.settings.version)),
            Request::Help(topic) => Ok(help(topic.as_deref())),
            Request::Site(entry) => self.site(entry),
            Request::Time(time) => self.time(*time, now),
            Request::Track(rate) => self.track(*rate, now, motors),
            Request::Goto { aim, side } => self.goto(aim, *side, now, motors),
            Request::Stop => Ok(self.stop(now, motors)),
            Request::Status(StatusGroup::Motion) => Ok(self.motion_status(now, motors)),
            Request::Status(StatusGroup::Pointing) => Ok(self.pointing_status(now, motors)),
            Request::Axes => Ok(self.dials(Fields::new(), motors)),
        }
    }

    fn identify(&self) -> Fields {
        Fields::new()
            .text("device", "nightbench")
            .text("kind", self.settings.kind.word())
            .count("language", LANGUAGE)
    }

    /// Refuses while a job is under way.
    pub(crate) fn idle(&self) -> Result<(), Refusal> {
        match &self.job {
            None => Ok(()),
            Some(Job { number: Some(number), work: Work::Goto { .. }, .. }) => {
                let sentence = format!("job {number} is under way; await its end or send stop");
                Err(Refusal::new(RefusalKind::Busy, sentence))
            }
            Some(_) => {
                Err(Refusal::new(RefusalKind::Busy, "the axes are coming to rest; await the event stopped"))
            }
        }
    }

    fn site(&mut self, entry: &SiteEntry) -> Result<Fields, Refusal> {
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

    fn time(&mut self, time: Option<CivilTime>, now: Span) -> Result<Fields, Refusal> {
        if let Some(time) = time {
            self.idle()?;
            let CivilTime { year, month, day, hour, minute, second, nanosecond } = time;
            let utc = Utc { year, month, day, hour, minute, second, nanosecond };
            let bad = |error: sky::time::TimeError| Refusal::new(RefusalKind::BadValue, error.to_string());
            let instant = instant_from_utc(&utc).map_err(bad)?;
            self.belief.set_clock(instant, now).map_err(bad)?;
        }
        Ok(Fields::new()
            .text("utc", &self.belief.utc_text(now))
            .text("sidereal", &self.belief.sidereal_time(now).as_hours_text(3)))
    }

    fn track(&mut self, rate: Option<Rate>, now: Span, motors: &mut impl Motors) -> Result<Fields, Refusal> {
        if let Some(rate) = rate {
            self.idle()?;
            if self.settings.kind == Kind::AltAzimuth {
                let sentence = "an alt-azimuth mount has no hour axis to turn at a steady rate";
                return Err(Refusal::new(RefusalKind::WrongKind, sentence));
            }
            self.order_rate(rate, now, motors);
        }
        Ok(Fields::new().text("rate", self.motion.rate().word()))
    }

    fn stop(&mut self, now: Span, motors: &mut impl Motors) -> Fields {
        let rest = self.order_rest(now, motors);
        let ended = match self.job.take() {
            Some(Job { number, work: Work::Goto { .. }, .. }) => number,
            // A second stop while the first still brakes ends the same job.
            Some(Job { work: Work::Stopping { ended }, .. }) => ended,
            None => None,
        };
        self.job = Some(Job { number: None, work: Work::Stopping { ended }, ends: rest });
        job_field(Fields::new(), ended).seconds("seconds", rest - now)
    }

    fn motion_status(&self, now: Span, motors: &mut impl Motors) -> Fields {
        let (state, number) = match &self.job {
            Some(Job { number, work: Work::Goto { .. }, .. }) => ("slewing", *number),
            Some(Job { work: Work::Stopping { .. }, .. }) => ("stopping", None),
            None if self.motion.rate() == Rate::Off => ("resting", None),
            None => ("tracking", None),
        };
        let fields =
            job_field(Fields::new().text("state", state), number).text("rate", self.motion.rate().word());
        self.dials(fields, motors).text("utc", &self.belief.utc_text(now))
    }

    fn pointing_status(&self, now: Span, motors: &mut impl Motors) -> Fields {
        let dials = AxisAngles { first: motors.dial(Axis::First), second: motors.dial(Axis::Second) };
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

    fn dials(&self, fields: Fields, motors: &mut impl Motors) -> Fields {
        let names = match self.settings.kind {
            Kind::GermanEquatorial | Kind::ForkEquatorial => ["hour_dial", "declination_dial"],
            Kind::AltAzimuth => ["azimuth_dial", "altitude_dial"],
        };
        fields.degrees(names[0], motors.dial(Axis::First)).degrees(names[1], motors.dial(Axis::Second))
    }
}

fn job_field(fields: Fields, number: Option<u64>) -> Fields {
    match number {
        Some(number) => fields.count("job", number),
        None => fields.text("job", "none"),
    }
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
