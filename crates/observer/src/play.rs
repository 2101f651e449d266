//! Measuring the play of the axes: a star is brought to the wires from one side and from the other.

use crate::hands::{Hands, Meant};
use crate::lines::{ask, quoted};
use crate::seat::{Glass, Moment, NightOver, Seat};
use protocol::ReadReply;
use units::{Angle, AngularRate, Quantity as _, Span};

/// So far the star is taken past the wires before it comes back, as a share of the field: ten arcminutes of a usual one, more than
/// the play of a worn mount.
const AWAY: f64 = 0.2;

/// From here on it comes back by the slow key, held until it stands at the wires.
const SLOW: Angle = Angle::from_arcsec(150.0);

/// Nearer than this it hasn't way enough for the slow key to take up the play again; it is taken out once more.
const TOO_NEAR: Angle = Angle::from_arcsec(45.0);

/// Rates of the two keys, in sidereal rates, by their words.
const QUICK: (f64, &str) = (20.0, "20x");
const HELD: (f64, &str) = (2.0, "2x");

/// The eye looks so often while a key is held.
const BLINK: Span = Span::from_nanoseconds(250_000_000);

/// How long a key is held at most: the star should have come by then.
const MOST_BLINKS: usize = 200;

/// How often it is tried to bring a star to the wires from one side.
const MOST_TRIES: usize = 12;

/// How many of the mount's proposals are tried.
const MOST_STARS: usize = 4;

/// What the person has in mind with the play.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayIntent {
    /// How often each axis is measured.
    pub rounds: u64,
    /// The star; the mount's proposal if left out.
    pub star: Option<String>,
    /// Whether the take-up is set to the mean.
    pub set_take_up: bool,
}

/// The play of one axis as the person measured it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayTold {
    /// 0 first axis, 1 second.
    pub axis: usize,
    /// The star; `None` if none was found.
    pub star: Option<String>,
    /// What each round came to.
    pub rounds: Vec<Angle>,
    /// What the take-up was set to.
    pub take_up: Option<Angle>,
    /// What the mount said where it refused.
    pub refusal: Option<String>,
}

impl PlayTold {
    /// The mean of the rounds; `None` without any.
    pub fn mean(&self) -> Option<Angle> {
        let sum = self.rounds.iter().fold(Angle::ZERO, |sum, round| sum + *round);
        (!self.rounds.is_empty()).then(|| sum * (1.0 / self.rounds.len() as f64))
    }

    /// The deviation of a single round; `None` with fewer than two.
    pub fn scatter(&self) -> Option<Angle> {
        let mean = self.mean()?;
        let more = self.rounds.len().checked_sub(1).filter(|more| *more > 0)?;
        let squares = self.rounds.iter().map(|round| (*round - mean).radians()).map(|off| off * off);
        Some(Angle::from_radians((squares.sum::<f64>() / more as f64).sqrt()))
    }
}

impl<S: Seat> Hands<'_, S> {
    /// Measures the play of both axes and sets the take-up, if that is wanted.
    pub(crate) fn measure_play(
        &mut self,
        intent: &PlayIntent,
        told: &mut Vec<PlayTold>,
    ) -> Result<(), NightOver> {
        let first = told.len();
        told.extend([0, 1].map(|axis| PlayTold {
            axis,
            star: None,
            rounds: Vec::new(),
            take_up: None,
            refusal: None,
        }));
        let Some(star) = self.star_for_the_play(intent.star.as_ref())? else { return Ok(()) };
        for row in &mut told[first..] {
            row.star = Some(star.clone());
        }
        // For practice: how far the tube goes on when the key is let go.
        for axis in 0..2 {
            self.come_from_one_side(&star, axis, 1.0)?;
        }
        for _ in 0..intent.rounds {
            for row in &mut told[first..] {
                self.measure_once(&star, row)?;
            }
        }
        if intent.set_take_up {
            self.set_take_up(&mut told[first..])?;
        }
        Ok(())
    }

    /// Goes to a star and centres it: the one that was named, or the first of the mount's proposals that can be had.
    fn star_for_the_play(&mut self, named: Option<&String>) -> Result<Option<String>, NightOver> {
        if let Some(star) = named {
            return Ok(self.goes_to(star)?.then(|| star.clone()));
        }
        for number in 0..MOST_STARS {
            let Some(star) = self.proposal(number > 0)? else { return Ok(None) };
            if self.goes_to(&star)? {
                return Ok(Some(star));
            }
        }
        Ok(None)
    }

    /// One round at one axis. A star that doesn't come to the wires gives none.
    fn measure_once(&mut self, star: &str, row: &mut PlayTold) -> Result<(), NightOver> {
        for (sense, centring) in [(1.0, "first"), (-1.0, "second")] {
            if !self.come_from_one_side(star, row.axis, sense)? {
                return Ok(());
            }
            self.presses += 1;
            // The keys are let go of; a moment later the mount has come to rest.
            self.seat.wait(Span::from_whole_seconds(1))?;
            let line = format!("measure-play name={} centring={centring}", quoted(star));
            match ask(self.seat, &line)? {
                Err(refused) => {
                    row.refusal = Some(refused.sentence);
                    return Ok(());
                }
                Ok(reply) if centring == "second" => row.rounds.extend(self.axis_of(&reply, row.axis)),
                Ok(_) => {}
            }
        }
        self.seat.note(Moment::PlayMeasured { axis: row.axis });
        Ok(())
    }

    fn axis_names(&self) -> [&'static str; 2] {
        if self.handset.alt_azimuth {
            ["azimuth_axis", "altitude_axis"]
        } else {
            ["hour_axis", "declination_axis"]
        }
    }

    fn axis_of(&self, reply: &ReadReply, axis: usize) -> Option<Angle> {
        Angle::parse(reply.get(self.axis_names()[axis])?).ok()
    }

    fn set_take_up(&mut self, rows: &mut [PlayTold]) -> Result<(), NightOver> {
        let names = self.axis_names();
        for row in rows {
            // Less than nothing is noise of the centring.
            let Some(mean) = row.mean().map(|mean| mean.max(Angle::ZERO)) else { continue };
            self.presses += 1;
            let line = format!("take-up {}={:.2}arcsec", names[row.axis], mean.arcsec());
            match ask(self.seat, &line)? {
                Ok(reply) => row.take_up = self.axis_of(&reply, row.axis),
                Err(refused) => row.refusal = Some(refused.sentence),
            }
        }
        Ok(())
    }

    /// Brings a star to the wires so that the tube last moves in a sense along an axis; `false` if it doesn't come.
    fn come_from_one_side(&mut self, star: &str, axis: usize, sense: f64) -> Result<bool, NightOver> {
        let sigma = self.at_the_wires().radians();
        let away = AWAY * self.seat.field(Glass::Eyepiece, crate::seat::Object::Star(star)).radians();
        let wires = sigma * self.centring_errors.normal();
        for _ in 0..MOST_TRIES {
            let Some(at) = self.stands_at(star) else { return Ok(false) };
            let left = (at[axis] - wires) * sense;
            let done = if left < TOO_NEAR.radians() {
                self.press(Meant::plainly(axis, -sense, away - left), Glass::Eyepiece)?.is_some()
            } else if left > SLOW.radians() {
                self.quickly(axis, sense, left)?
            } else {
                return self.held_until(star, axis, sense, wires);
            };
            if !done {
                return Ok(false);
            }
        }
        Ok(false)
    }

    /// Presses the quick key until the star should stand where the slow one begins; the eye is on it all the time.
    fn quickly(&mut self, axis: usize, sense: f64, left: f64) -> Result<bool, NightOver> {
        let way = left - 0.7 * SLOW.radians();
        let speed = QUICK.0 * AngularRate::SIDEREAL.radians();
        let scatter = self.press_scatter();
        let shortest = self.person.shortest_press.seconds().max(0.001);
        let span = Span::from_seconds((way / speed + scatter).clamp(shortest, 60.0));
        self.seat.wait(self.person.reaction)?;
        let line =
            format!("nudge direction={} rate={} for={:.3}s", self.key(axis, sense), QUICK.1, span.seconds());
        self.presses += 1;
        let taken = ask(self.seat, &line)?.is_ok();
        self.seat.wait(span)?;
        Ok(taken)
    }

    /// Holds the slow key and lets it go as the star comes to the wires.
    fn held_until(&mut self, star: &str, axis: usize, sense: f64, wires: f64) -> Result<bool, NightOver> {
        self.seat.wait(self.person.reaction)?;
        let line = format!("nudge direction={} rate={} hold=10s", self.key(axis, sense), HELD.1);
        self.presses += 1;
        let usual = HELD.0 * AngularRate::SIDEREAL.radians();
        let mut before: Option<f64> = None;
        for blink in 0..MOST_BLINKS {
            // The line is repeated before the dead-man time is over.
            if blink % 20 == 0 && ask(self.seat, &line)?.is_err() {
                return Ok(false);
            }
            self.seat.wait(BLINK)?;
            let Some(at) = self.stands_at(star) else { break };
            let left = (at[axis] - wires) * sense;
            let speed = before.map_or(usual, |before| (before - left) / BLINK.seconds());
            before = Some(left);
            // Whoever waits for it lets go in time, give or take.
            let early = left - self.coasts[axis];
            if speed > 0.3 * usual && early < 1.5 * speed * BLINK.seconds() {
                let scatter = self.press_scatter();
                self.seat.wait(Span::from_seconds((early / speed + scatter).max(0.0)))?;
                return self.let_go(star, axis, sense);
            }
        }
        ask(self.seat, "release")?.ok();
        Ok(false)
    }
    /// Lets the key go and remembers how far the tube went on.
    fn let_go(&mut self, star: &str, axis: usize, sense: f64) -> Result<bool, NightOver> {
        let before = self.stands_at(star);
        let Ok(reply) = ask(self.seat, "release")? else { return Ok(false) };
        let rest = reply.get("seconds").and_then(|text| Span::parse(text).ok()).unwrap_or(Span::ZERO);
        self.seat.wait(rest)?;
        if let (Some(before), Some(after)) = (before, self.stands_at(star)) {
            self.coasts[axis] = (before[axis] - after[axis]) * sense;
        }
        Ok(true)
    }
}
