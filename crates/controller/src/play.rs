//! The play in the gears, from one star that the person centres from two sides.

use crate::Controller;
use alignment::{Sense, Sighting};
use kinematics::{AxisAngles, Kind};
use protocol::{Centring, Fields, PlayEntry, Refusal, RefusalKind, Seen};
use units::{Angle, Span};

/// The most that a take-up can be set to.
const MOST: Angle = Angle::from_degrees(2.0);

/// How the tube last came to where it is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Come {
    /// In which sense a nudge last turned each axis.
    pub(crate) senses: [Sense; 2],
    /// When the last nudge ended, and the dials then; a go-to forgets it.
    pub(crate) let_go: Option<(Span, AxisAngles)>,
}

impl Come {
    /// Nobody knows.
    pub(crate) const UNKNOWN: Self = Self { senses: [Sense::Unknown; 2], let_go: None };
}

fn unfit(sentence: impl Into<String>) -> Refusal {
    Refusal::new(RefusalKind::UnfitSighting, sentence)
}

impl Controller {
    pub(crate) fn measure_play(&mut self, entry: &PlayEntry) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        let sighting = self.nudged_sighting(&entry.name)?;
        let fields = Fields::new().text("star", &sighting.name);
        if entry.centring == Centring::First {
            self.first_centring = Some(sighting);
            return Ok(fields);
        }
        let Some(first) = self.first_centring.clone() else {
            return Err(unfit("no first centring was taken; send measure-play with centring=first"));
        };
        if first.name != sighting.name || first.branch != sighting.branch {
            let sentence =
                format!("the first centring was of {} in its own position of the axes", first.name);
            return Err(unfit(sentence));
        }
        if first.at == sighting.at {
            return Err(unfit("nothing was nudged since the first centring; come from the other side"));
        }
        let differences = self
            .belief
            .model()
            .play_between(&first, &sighting)
            .map_err(|short| Refusal::new(RefusalKind::Unreachable, short.to_string()))?;
        // The dials leave out what was taken up.
        let plays = [0, 1].map(|axis| differences[axis].map(|rest| self.settings.take_up[axis] + rest));
        if entry.set {
            self.set_measured(plays)?;
        }
        self.first_centring = None;
        let names = match self.settings.kind {
            Kind::AltAzimuth => ["azimuth_axis", "altitude_axis"],
            _ => ["hour_axis", "declination_axis"],
        };
        let told = |fields: Fields, axis: usize| match plays[axis] {
            Some(play) => fields.degrees(names[axis], play),
            None => fields.text(names[axis], "none"),
        };
        Ok(told(told(fields, 0), 1).text("set", if entry.set { "yes" } else { "no" }))
    }

    /// A star that the last nudge brought into the middle, as the dials were when the key was let go.
    fn nudged_sighting(&self, name: &str) -> Result<Sighting, Refusal> {
        let (name, target) = self.seen(&Seen::Name(name.to_owned()))?;
        let Come { senses, let_go } = self.motion.come;
        let Some((at, dials)) = let_go else {
            return Err(unfit("no nudge has brought the star into the middle; nudge it there first"));
        };
        let direction = self.pointable(&name, &target, at)?;
        Ok(self.sighting_of(&name, direction, at, dials, senses))
    }

    /// Sets the take-up of each axis whose play was measured.
    fn set_measured(&mut self, plays: [Option<Angle>; 2]) -> Result<(), Refusal> {
        if plays == [None, None] {
            return Err(unfit("neither axis was come to from both sides: there is nothing to set"));
        }
        if let Some(play) = plays.into_iter().flatten().find(|play| *play > MOST) {
            let play = crate::requests::in_degrees(play);
            return Err(unfit(format!("a play of {play} is no play: was it the same star?")));
        }
        for (amount, play) in self.settings.take_up.iter_mut().zip(plays) {
            // Less than nothing is noise of the centring.
            *amount = play.map_or(*amount, |play| play.max(Angle::ZERO));
        }
        Ok(())
    }
}
