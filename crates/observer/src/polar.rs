//! Setting the polar axis by its bolts: at a star beside its place, or by watching stars drift.

use crate::alignment::{AlignmentIntent, Purpose, Sighting, sight_line};
use crate::hands::Hands;
use crate::lines::{angle, ask, quoted};
use crate::seat::{Glass, NightOver, Object, Seat, Sight};
use crate::sighting::{Found, offset};
use protocol::{Aim, ReadReply};
use units::{Angle, AngularRate, Span};

/// How the person sets the polar axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PolarAdjust {
    /// The mount goes where a star would stand if the axis were right; the bolts bring the star to the middle.
    StarOffset,
    /// Two stars are watched drifting, and each bolt is turned by what its star tells.
    Drift,
}

/// More passes than this nobody makes.
const MOST_PASSES: u64 = 4;

/// An axis this near to the pole is good enough for anybody.
const GOOD_ENOUGH: Angle = Angle::from_arcmin(1.0);

/// How often the bolts are turned at one star before the person gives it up.
const MOST_TURNS: usize = 16;

/// Turning a bolt and looking again takes so long.
const TURNING: Span = Span::from_whole_seconds(5);

/// A bolt is first turned by so much to see which way the star goes.
const TRIAL: Angle = Angle::from_arcmin(4.0);

/// A bolt that does nothing by then does nothing.
const MOST_TRIED: Angle = Angle::from_degrees(1.0);

/// What a person sees of the bolts: where the star goes in a glass, to the right and up, per radian of each.
type Effect = [[f64; 2]; 2];

impl<S: Seat> Hands<'_, S> {
    /// Sets the polar axis; the mount knows of it afterwards.
    pub(crate) fn adjust_polar(
        &mut self,
        how: PolarAdjust,
        alignment: Option<&AlignmentIntent>,
        log: &mut Vec<Sighting>,
    ) -> Result<(), NightOver> {
        match how {
            PolarAdjust::StarOffset => self.by_star_offset(alignment, log),
            PolarAdjust::Drift => {
                let turned = self.by_drift()?;
                match alignment {
                    Some(intent) if turned => self.align(intent, log).map(|_| ()),
                    _ => Ok(()),
                }
            }
        }
    }

    /// By the mount's model: passes until the axis is as near to the pole as the model can tell. Whoever loses the star after a bolt was
    /// turned has a mount that believes in an axis which is no longer there, and begins the alignment again; the second time they
    /// leave the bolts alone after that.
    fn by_star_offset(
        &mut self,
        alignment: Option<&AlignmentIntent>,
        log: &mut Vec<Sighting>,
    ) -> Result<(), NightOver> {
        let mut lost_before = false;
        for pass in 0..MOST_PASSES {
            let Ok(axis) = ask(self.seat, "polar-axis")? else { return Ok(()) };
            let [Some(distance), Some(altitude), Some(azimuth)] =
                ["distance", "altitude_sigma", "azimuth_sigma"].map(|key| angle(&axis, key))
            else {
                return Ok(());
            };
            let told = length(altitude, azimuth * self.handset.latitude.cos());
            if distance < GOOD_ENOUGH || pass > 0 && distance < told / 2.0 {
                return Ok(());
            }
            let Some((star, _)) = self.proposed_for("bolts")? else { return Ok(()) };
            let line = format!("polar-offset name={}", quoted(&star));
            if self.go_by(&line)?.is_err() {
                return Ok(());
            }
            let turns = self.bolt_turns;
            if self.centre_by_bolts(&star, pass)? && self.told_of_the_bolts(&star, log)? {
                continue;
            }
            if self.bolt_turns == turns {
                return Ok(());
            }
            let taught = match alignment {
                Some(intent) => self.align(intent, log)?,
                None => false,
            };
            if lost_before || !taught {
                return Ok(());
            }
            lost_before = true;
        }
        Ok(())
    }

    /// Tells the mount that the star stands in the middle, locks the bolts, and sights what the mount wants sighted anew; `false` if
    /// the mount didn't learn where its axis is now.
    fn told_of_the_bolts(&mut self, star: &str, log: &mut Vec<Sighting>) -> Result<bool, NightOver> {
        let done = ask(self.seat, &format!("polar-done name={}", quoted(star)))?;
        self.seat.lock_bolts(star);
        let Ok(done) = done else { return Ok(false) };
        let anew = done.get("sightings").and_then(|text| text.parse().ok()).unwrap_or(1_usize);
        self.sight_anew(star, anew, log)
    }

    /// Sights the star of the bolts with the keys, and further ones as the mount proposes them; says whether there were enough.
    fn sight_anew(&mut self, star: &str, count: usize, log: &mut Vec<Sighting>) -> Result<bool, NightOver> {
        let mut star = Some(star.to_owned());
        let (mut taken, mut tries) = (0, 0);
        while let Some(name) = star.take() {
            let done = self.sight(&name, Purpose::Polar, sight_line, log)?;
            taken += usize::from(done);
            tries += 1;
            if taken >= count || tries > count + 3 {
                break;
            }
            star = self.proposal(!done)?;
        }
        Ok(taken >= count)
    }

    /// The star that the mount proposes for a purpose, and all that it says of it.
    fn proposed_for(&mut self, purpose: &str) -> Result<Option<(String, ReadReply)>, NightOver> {
        self.presses += 1;
        let reply = ask(self.seat, &format!("propose for={purpose}"))?.ok();
        Ok(reply.and_then(|reply| Some((reply.get("star")?.to_owned(), reply))))
    }

    /// Turns the bolts until a star stands where the person wants it: in the finder first, if it must be.
    fn centre_by_bolts(&mut self, star: &str, pass: u64) -> Result<bool, NightOver> {
        let object = Object::Star(star);
        if self.await_darkness(object)?.is_some() {
            return Ok(false);
        }
        let mut in_finder = matches!(self.glance(Glass::Eyepiece, object)?, Sight::NotThere);
        if in_finder && !self.turn_until(object, Glass::Finder, pass)? {
            return Ok(false);
        }
        in_finder &= matches!(self.glance(Glass::Eyepiece, object)?, Sight::NotThere);
        Ok(!in_finder && self.turn_until(object, Glass::Eyepiece, pass)?)
    }

    /// Where a star stands in a glass, radians to the right and up.
    fn stands(&mut self, glass: Glass, object: Object<'_>) -> Option<[f64; 2]> {
        let field = self.seat.field(glass, object).radians();
        match self.seat.see(glass, object) {
            Sight::Seen(spot) => Some([spot.right * field, spot.up * field]),
            Sight::NotThere | Sight::Hidden | Sight::TooBright => None,
        }
    }

    fn turn(&mut self, up: f64, east: f64) -> Result<(), NightOver> {
        self.presses += 1;
        self.bolt_turns += 1;
        self.seat.turn_bolts(Angle::from_radians(up), Angle::from_radians(east));
        self.seat.wait(TURNING)
    }

    /// Tries each bolt to see what it does, then turns both by what is needed until the star stands there.
    fn turn_until(&mut self, object: Object<'_>, glass: Glass, pass: u64) -> Result<bool, NightOver> {
        let sigma = match glass {
            Glass::Finder => self.person.finder_centring,
            Glass::Eyepiece => self.seat.field(glass, object) * self.person.eyepiece_centring.fraction(),
        };
        let aim = offset(
            &mut self.streams.stream("bolts centring", pass * 2 + u64::from(glass == Glass::Eyepiece)),
            sigma,
        );
        let near = self.tolerance(sigma).max(Angle::from_arcsec(15.0).radians());
        let Some(effect) = self.tried(object, glass)? else { return Ok(false) };
        for _ in 0..MOST_TURNS {
            let Some(at) = self.stands(glass, object) else { return Ok(false) };
            let left = [aim[0] - at[0], aim[1] - at[1]];
            if left[0].abs() <= near && left[1].abs() <= near {
                return Ok(true);
            }
            let Some([up, east]) = solved(&effect, left) else { return Ok(false) };
            self.turn(up, east)?;
        }
        // The bolts go in steps: what they can't do better is taken.
        Ok(self.stands(glass, object).is_some())
    }

    /// Turns each bolt a little and looks what the star does; more, if it does nothing.
    fn tried(&mut self, object: Object<'_>, glass: Glass) -> Result<Option<Effect>, NightOver> {
        let mut effect = [[0.0; 2]; 2];
        for (bolt, column) in effect.iter_mut().enumerate() {
            let along = |size: f64| if bolt == 0 { [size, 0.0] } else { [0.0, size] };
            let Some(before) = self.stands(glass, object) else { return Ok(None) };
            let mut turned = 0.0;
            let mut trial = TRIAL.radians();
            let after = loop {
                let [up, east] = along(trial);
                self.turn(up, east)?;
                turned += trial;
                let Some(after) = self.stands(glass, object) else {
                    // Out of the field: back, and as far to the other side.
                    let [up, east] = along(-2.0 * turned);
                    self.turn(up, east)?;
                    turned = -turned;
                    break self.stands(glass, object);
                };
                let moved = units::maths::hypot(after[0] - before[0], after[1] - before[1]);
                if moved > 0.2 * turned || turned > MOST_TRIED.radians() {
                    break Some(after);
                }
                trial *= 2.0;
            };
            let Some(after) = after else { return Ok(None) };
            *column = [(after[0] - before[0]) / turned, (after[1] - before[1]) / turned];
        }
        Ok(Some(effect))
    }

    /// Watches one star near the meridian for the azimuth bolt and one to the side for the altitude bolt, until neither drifts;
    /// says whether a bolt was turned at all.
    fn by_drift(&mut self) -> Result<bool, NightOver> {
        let mut turned = false;
        for _ in 0..MOST_PASSES {
            let mut still = true;
            let mut watched = None;
            for (purpose, azimuth) in [("meridian-drift", true), ("side-drift", false)] {
                let Some((star, error)) = self.drift_tells(purpose, azimuth)? else { continue };
                // Twice what two readings are usually wrong by looks like this much of the axis.
                let seen = self.person.reading() * 8.0_f64.sqrt();
                let share =
                    seen.radians() / (AngularRate::SIDEREAL.radians() * self.person.watching().seconds());
                if error.radians().abs() > share.max(GOOD_ENOUGH.radians()) {
                    let by = -error.radians();
                    if azimuth {
                        self.turn(0.0, by)?
                    } else {
                        self.turn(by, 0.0)?
                    }
                    (still, turned) = (false, true);
                }
                watched = Some(star);
            }
            match watched {
                Some(star) if !still => self.seat.lock_bolts(&star),
                _ => break,
            }
        }
        Ok(turned)
    }

    /// What the drift of a star says of the axis: its elevated end too far east, or too high.
    ///
    /// To first order a star drifts north by −ω ΔA cos φ on the meridian and by −ω Δa sin H at the side, with the errors of the
    /// axis's north end.
    fn drift_tells(&mut self, purpose: &str, azimuth: bool) -> Result<Option<(String, Angle)>, NightOver> {
        let Some((star, reply)) = self.proposed_for(purpose)? else { return Ok(None) };
        let Some(hour) = angle(&reply, "hour") else { return Ok(None) };
        if self.go(&Aim::Name(star.clone()))?.is_err() || self.bring_star(&star)? != Found::Centred {
            return Ok(None);
        }
        let Some(before) = self.read_north(&star) else { return Ok(None) };
        let watching = self.person.watching();
        self.seat.wait(watching)?;
        let Some(after) = self.read_north(&star) else { return Ok(None) };
        let share = (after - before) / watching.seconds() / AngularRate::SIDEREAL.radians();
        let latitude = self.handset.latitude;
        let elevated = if latitude < Angle::ZERO { -1.0 } else { 1.0 };
        let by = if azimuth { latitude.cos() } else { hour.sin() };
        Ok(Some((star, Angle::from_radians(-share / by * elevated))))
    }

    /// How far north of the middle a star stands, radians, as well as it can be read.
    fn read_north(&mut self, star: &str) -> Option<f64> {
        let object = Object::Star(star);
        let field = self.seat.field(Glass::Eyepiece, object);
        let Sight::Seen(spot) = self.seat.see(Glass::Eyepiece, object) else { return None };
        let [_, north] = self.needed(Glass::Eyepiece, &spot, field, false);
        Some(north + self.person.reading().radians() * self.reading.normal())
    }
}

fn length(one: Angle, other: Angle) -> Angle {
    Angle::from_radians(units::maths::hypot(one.radians(), other.radians()))
}

/// How far to turn each bolt so that a star moves by this; nothing where both move it along one line.
fn solved(effect: &Effect, by: [f64; 2]) -> Option<[f64; 2]> {
    let [[a, c], [b, d]] = *effect;
    let determinant = a * d - b * c;
    if determinant.abs() < 0.05 {
        return None;
    }
    Some([(d * by[0] - b * by[1]) / determinant, (a * by[1] - c * by[0]) / determinant])
}
