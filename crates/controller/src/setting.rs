//! Requests that show and change settings.

use crate::Controller;
use kinematics::Kind;
use protocol::{
    ApproachEntry, AxisEntry, Fields, LimitsEntry, MeridianEntry, Refusal, RefusalKind, SolutionChoice,
};
use sky::Horizon;
use units::{Angle, AngularRate};

impl Controller {
    pub(crate) fn guide_rate(&mut self, rate: Option<AngularRate>) -> Fields {
        self.settings.guide_rate = rate.unwrap_or(self.settings.guide_rate);
        Fields::new().number("rate", self.settings.guide_rate.arcsec(), 4, "arcsec/s")
    }

    pub(crate) fn approach(&mut self, entry: &ApproachEntry) -> Result<Fields, Refusal> {
        if *entry != ApproachEntry::default() {
            self.idle_but_for_nudges()?;
        }
        let settings = &mut self.settings;
        settings.final_approach = entry.last.unwrap_or(settings.final_approach);
        settings.overshoot = entry.overshoot.unwrap_or(settings.overshoot);
        Ok(Fields::new()
            .text("final", settings.final_approach.word())
            .degrees("overshoot", settings.overshoot))
    }

    pub(crate) fn take_up(&mut self, entry: &AxisEntry) -> Result<Fields, Refusal> {
        let alt_azimuth = self.settings.kind == Kind::AltAzimuth;
        let (mine, others, names) = if alt_azimuth {
            (
                [entry.azimuth, entry.altitude],
                [entry.hour, entry.declination],
                ["azimuth_axis", "altitude_axis"],
            )
        } else {
            (
                [entry.hour, entry.declination],
                [entry.azimuth, entry.altitude],
                ["hour_axis", "declination_axis"],
            )
        };
        if others.iter().any(Option::is_some) {
            let sentence =
                format!("this mount is {}; give {} and {}", self.settings.kind.word(), names[0], names[1]);
            return Err(Refusal::new(RefusalKind::WrongKind, sentence));
        }
        if mine.iter().any(Option::is_some) {
            self.idle()?;
        }
        for (amount, new) in self.settings.take_up.iter_mut().zip(mine) {
            *amount = new.unwrap_or(*amount);
        }
        let [first, second] = self.settings.take_up;
        Ok(Fields::new().degrees(names[0], first).degrees(names[1], second))
    }

    pub(crate) fn solution(&mut self, choice: Option<SolutionChoice>) -> Result<Fields, Refusal> {
        self.german("two positions to choose from")?;
        self.settings.solution = choice.unwrap_or(self.settings.solution);
        Ok(Fields::new().text("choice", self.settings.solution.word()))
    }

    pub(crate) fn meridian(&mut self, entry: &MeridianEntry) -> Result<Fields, Refusal> {
        self.german("a range of hours that ends at the meridian")?;
        if *entry != MeridianEntry::default() {
            self.idle_but_for_nudges()?;
        }
        self.settings.meridian = entry.policy.unwrap_or(self.settings.meridian);
        self.settings.over_run = entry.over_run.unwrap_or(self.settings.over_run);
        Ok(Fields::new()
            .text("policy", self.settings.meridian.word())
            .degrees("over_run", self.settings.over_run))
    }

    fn german(&self, what: &str) -> Result<(), Refusal> {
        if self.settings.kind == Kind::GermanEquatorial {
            return Ok(());
        }
        let kind = self.settings.kind.word();
        let sentence = format!("only a German equatorial mount has {what}; this one is {kind}");
        Err(Refusal::new(RefusalKind::WrongKind, sentence))
    }

    pub(crate) fn limits(&mut self, entry: &LimitsEntry) -> Result<Fields, Refusal> {
        let alt_azimuth = self.settings.kind == Kind::AltAzimuth;
        if !alt_azimuth && (entry.cable_wrap.is_some() || entry.zenith_zone.is_some()) {
            let sentence = "only an alt-azimuth mount has a cable_wrap and a zenith_zone";
            return Err(Refusal::new(RefusalKind::WrongKind, sentence));
        }
        if *entry != LimitsEntry::default() {
            self.idle_but_for_nudges()?;
        }
        let lowest = entry.lowest.unwrap_or(self.settings.lowest);
        let highest = entry.highest.unwrap_or(self.settings.highest);
        if lowest >= highest {
            return Err(Refusal::new(RefusalKind::OutOfRange, "lowest must be below highest"));
        }
        let settings = &mut self.settings;
        (settings.lowest, settings.highest) = (lowest, highest);
        settings.cable_wrap = entry.cable_wrap.unwrap_or(settings.cable_wrap);
        settings.zenith_zone = entry.zenith_zone.unwrap_or(settings.zenith_zone);
        let fields = Fields::new().degrees("lowest", lowest).degrees("highest", highest);
        Ok(if alt_azimuth {
            fields.degrees("cable_wrap", settings.cable_wrap).degrees("zenith_zone", settings.zenith_zone)
        } else {
            fields
        })
    }

    pub(crate) fn horizon(&mut self, level: Option<Angle>) -> Fields {
        if let Some(level) = level {
            self.settings.horizon = Horizon::level(level);
        }
        let corners = self.settings.horizon.corners();
        let altitudes = || corners.iter().map(|(_, altitude)| *altitude);
        let first = altitudes().next().unwrap_or(Angle::ZERO);
        Fields::new()
            .degrees("lowest", altitudes().fold(first, Angle::min))
            .degrees("highest", altitudes().fold(first, Angle::max))
            .count("corners", corners.len() as u64)
    }
}
