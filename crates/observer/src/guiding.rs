//! Recording a correction of the periodic error: a star is kept on the wires by guide corrections for some turns of the worm.

use crate::chart;
use crate::hands::Hands;
use crate::lines::{Refused, ask};
use crate::seat::{Glass, Moment, NightOver, Object, Seat, Sight};
use crate::sighting::Found;
use protocol::{Aim, read_event};
use units::{Angle, AngularRate, Quantity as _, Span, maths};

/// So far past the meridian a star for guiding should stand: the tube goes away from its limits there.
const PAST_THE_MERIDIAN: Angle = Angle::from_degrees(20.0);

/// It is at least so bright, and no further off the equator or that hour than this.
const GUIDED: (f64, Angle) = (3.0, Angle::from_degrees(35.0));

/// So many stars are tried: some stand behind a roof.
const MOST_STARS: usize = 5;

/// The longest guide correction that a line can ask for.
const LONGEST: f64 = 10.0;

/// What the person has in mind with the periodic error.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordingIntent {
    /// Over how many turns of the worm.
    pub turns: u64,
    /// The star; one that has passed the meridian near the equator if left out.
    pub star: Option<String>,
    /// From one reading of its place to the next.
    pub interval: Span,
    /// Whether the correction is played back then.
    pub playback: bool,
}

/// How the recording ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordingEnding {
    /// The mount told a result, in its own word: `kept`, `too-few`, `too-steep`, `interrupted`.
    Told(String),
    /// No star could be brought to the wires.
    NoStar,
    /// The star was lost on the way.
    StarLost,
    /// The mount lost its power on the way.
    PowerLost,
    /// The mount refused, with this sentence.
    Refused(String),
    /// The night ended first.
    NightOver,
}

/// The recording as the person lived it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// The star that was guided; `None` if none was found.
    pub star: Option<String>,
    /// How it ended.
    pub ending: RecordingEnding,
    /// How many guide corrections in hour angle the mount counted.
    pub corrections: u64,
    /// Half of the range of the correction, as the mount told it.
    pub amplitude: Angle,
    /// Whether the mount says that it plays a correction now.
    pub played: bool,
    /// Whether the mount says that its worm has an index mark.
    pub index_mark: bool,
    /// How long it took, from the first line typed.
    pub took: Span,
}

impl<S: Seat> Hands<'_, S> {
    /// Records a correction and has it played back, if that is wanted.
    pub(crate) fn record(
        &mut self,
        intent: &RecordingIntent,
        told: &mut Option<Recording>,
    ) -> Result<(), NightOver> {
        let begun = self.now();
        let recording = told.insert(Recording {
            star: None,
            ending: RecordingEnding::NightOver,
            corrections: 0,
            amplitude: Angle::ZERO,
            played: false,
            index_mark: false,
            took: Span::ZERO,
        });
        let ended = self.recorded(intent, recording);
        recording.took = self.now() - begun;
        ended
    }

    fn recorded(&mut self, intent: &RecordingIntent, recording: &mut Recording) -> Result<(), NightOver> {
        let Some(star) = self.star_on_the_wires(intent.star.as_ref())? else {
            recording.ending = RecordingEnding::NoStar;
            return Ok(());
        };
        recording.star = Some(star.clone());
        self.seat.note(Moment::Records);
        self.presses += 1;
        recording.ending = match ask(self.seat, &format!("record turns={}", intent.turns))? {
            Err(Refused { sentence, .. }) => RecordingEnding::Refused(sentence),
            Ok(reply) => {
                let job = reply.get("job").unwrap_or_default().to_owned();
                let lasts =
                    reply.get("seconds").and_then(|text| Span::parse(text).ok()).unwrap_or(Span::ZERO);
                if self.guide(&star, intent.interval, lasts)? {
                    self.heard(&job, recording)?
                } else {
                    ask(self.seat, &format!("cancel job={job}"))?.ok();
                    RecordingEnding::StarLost
                }
            }
        };
        if intent.playback {
            self.presses += 1;
            // Where nothing was recorded, now or earlier, the mount refuses, and nothing is played.
            ask(self.seat, "playback state=on")?.ok();
        }
        if let Ok(state) = ask(self.seat, "playback")? {
            recording.played = state.get("state") == Some("on");
            recording.index_mark = state.get("index") == Some("yes");
        }
        self.seat.note(Moment::Recorded);
        Ok(())
    }

    /// Brings a star to the wires: the one that was named, or the first that can be had.
    fn star_on_the_wires(&mut self, named: Option<&String>) -> Result<Option<String>, NightOver> {
        let stars = match named {
            Some(star) => vec![star.clone()],
            None => self.past_the_meridian()?,
        };
        for star in stars {
            if self.goes_to(&star)? {
                return Ok(Some(star));
            }
        }
        Ok(None)
    }

    /// Goes to a star and centres it with the keys.
    pub(crate) fn goes_to(&mut self, star: &str) -> Result<bool, NightOver> {
        let object = Object::Star(star);
        if self.await_darkness(object)?.is_some() || self.go(&Aim::Name(star.to_owned()))?.is_err() {
            return Ok(false);
        }
        self.seat.wait(self.person.time_to_identify())?;
        Ok(self.bring(object)? == Found::Centred)
    }

    /// Bright stars that have passed the meridian near the equator, by what the mount tells of the hour angle of one star.
    fn past_the_meridian(&mut self) -> Result<Vec<String>, NightOver> {
        self.presses += 1;
        let Ok(reply) = ask(self.seat, "propose for=meridian-drift")? else { return Ok(Vec::new()) };
        let hour = reply.get("hour").and_then(|text| Angle::parse(text).ok());
        let (Some(proposed), Some(hour)) = (reply.get("star"), hour) else { return Ok(Vec::new()) };
        let Some((ra, _)) = chart::place_of(proposed) else { return Ok(Vec::new()) };
        let middle = ((ra + hour - PAST_THE_MERIDIAN).wrapped_positive(), Angle::ZERO);
        let near = chart::bright_stars_near(middle, GUIDED.0, GUIDED.1);
        Ok(near.into_iter().take(MOST_STARS).map(str::to_owned).collect())
    }

    /// Keeps a star where it stands for a while; `false` if it is lost.
    fn guide(&mut self, star: &str, interval: Span, lasts: Span) -> Result<bool, NightOver> {
        let begun = self.now();
        let Some(wires) = self.stands_at(star) else { return Ok(false) };
        let foreshortened = chart::place_of(star).map_or(1.0, |(_, dec)| dec.cos().max(0.05));
        let rate = match ask(self.seat, "guide-rate")? {
            Ok(reply) => reply.get("rate").and_then(|text| AngularRate::parse(text).ok()),
            Err(_) => None,
        };
        let Some(rate) = rate else { return Ok(false) };
        let mut errors = self.streams.stream("guiding", 0);
        let mut next = begun + interval;
        while next < begun + lasts {
            self.seat.wait((next - self.now()).max(Span::ZERO))?;
            next += interval;
            let sigma = self.at_the_wires().radians();
            let errors = [sigma * errors.normal(), sigma * errors.normal()];
            let Some(at) = self.stands_at(star) else {
                if matches!(self.seat.see(Glass::Eyepiece, Object::Star(star)), Sight::NotThere) {
                    return Ok(false);
                }
                // A cloud passes; nobody guides what isn't seen.
                continue;
            };
            self.seat.wait(self.person.reaction)?;
            for axis in 0..2 {
                let along = if axis == 0 { foreshortened } else { 1.0 };
                let off = (at[axis] - wires[axis] + errors[axis]) / along;
                // Back and forth in declination there is the play: only what shows beyond the errors is corrected there.
                let least = if axis == 0 { 0.0 } else { 3.0 * sigma + Angle::from_arcsec(2.0).radians() };
                if off.abs() > least {
                    self.guide_by(axis, off, rate)?;
                }
            }
        }
        let left = begun + lasts - self.now();
        if left > Span::ZERO {
            self.seat.wait(left)?;
        }
        Ok(true)
    }

    /// Presses a guide key so long that the tube should go `off` radians of the axis.
    fn guide_by(&mut self, axis: usize, off: f64, rate: AngularRate) -> Result<(), NightOver> {
        let shortest = self.person.shortest_press.seconds().max(0.001);
        let scatter = self.press_scatter();
        let wanted = off.abs() / rate.radians();
        // A correction that would overshoot by more than it mends is left out.
        if wanted < 0.5 * shortest {
            return Ok(());
        }
        let span = (wanted + scatter).clamp(shortest, LONGEST);
        let direction = [["east", "west"], ["south", "north"]][axis][usize::from(off > 0.0)];
        self.presses += 1;
        ask(self.seat, &format!("guide direction={direction} for={span:.3}s"))?.ok();
        Ok(())
    }

    /// Where a star stands in the eyepiece, as the way that the tube would have to go to it: west and north, radians.
    pub(crate) fn stands_at(&mut self, star: &str) -> Option<[f64; 2]> {
        let object = Object::Star(star);
        let Sight::Seen(spot) = self.seat.see(Glass::Eyepiece, object) else { return None };
        let field = self.seat.field(Glass::Eyepiece, object);
        Some(self.needed(Glass::Eyepiece, &spot, field, false))
    }

    /// How well the person reads a star's place at the wires through the air, one sigma.
    pub(crate) fn at_the_wires(&self) -> Angle {
        let (reading, seeing) = (self.person.reading(), self.person.seeing);
        Angle::from_radians(maths::hypot(reading.radians(), seeing.radians()))
    }

    /// Waits for the end of the recording, and remembers what the mount tells of it.
    fn heard(&mut self, job: &str, recording: &mut Recording) -> Result<RecordingEnding, NightOver> {
        loop {
            let event = self.seat.await_event()?;
            let Some((word, fields)) = read_event(&event) else { continue };
            let value =
                |key: &str| fields.iter().find(|(name, _)| name == key).map(|(_, value)| value.as_str());
            match word.as_str() {
                "recorded" if value("job") == Some(job) => {
                    recording.corrections =
                        value("corrections").and_then(|text| text.parse().ok()).unwrap_or(0);
                    let amplitude = value("amplitude").and_then(|text| Angle::parse(text).ok());
                    recording.amplitude = amplitude.unwrap_or(Angle::ZERO);
                    return Ok(RecordingEnding::Told(value("result").unwrap_or_default().to_owned()));
                }
                "restarted" => return Ok(RecordingEnding::PowerLost),
                _ => {}
            }
        }
    }
}
