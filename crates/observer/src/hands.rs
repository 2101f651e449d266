//! Pressing keys: a person's hands at the mount.

use crate::doubt::Doubt;
use crate::keys::{Errand, Press, choose};
use crate::lines::{ask, go, travel};
use crate::person::{Handset, Person, View};
use crate::seat::{Glass, NightOver, Object, Seat, Sight, Spot};
use protocol::{Aim, RefusalKind};
use units::{Angle, Span, Stream, Streams};

/// More play than this nobody believes.
const MOST_PLAY: Angle = Angle::from_arcmin(10.0);

/// Nobody holds a key for longer, in seconds: then one looks again.
const LONGEST: f64 = 60.0;

/// Time in which a star is found in a glass and its place is judged.
pub(crate) const GLANCE: Span = Span::from_whole_seconds(2);

/// A person at a mount, through one night.
pub(crate) struct Hands<'a, S> {
    pub(crate) seat: &'a mut S,
    pub(crate) person: Person,
    pub(crate) handset: Handset,
    pub(crate) streams: Streams,
    /// How often a key was pressed, those of a go-to or a sighting included.
    pub(crate) presses: u64,
    /// The star that really stands in the middle, after the last one was brought there.
    pub(crate) centred: String,
    /// From where the mount expected the star that it took last.
    pub(crate) disagreement: Angle,
    /// The mount doubted a star, and the person has seen that it is that one.
    pub(crate) stood_by: bool,
    /// A star was another one: each is held against the chart now before it is taken for itself.
    pub(crate) wary: bool,
    /// What the mount has doubted and asked.
    pub(crate) doubts: Vec<Doubt>,
    /// Somebody has kicked the tripod since the mount was last held against the sky.
    pub(crate) felt_a_kick: bool,
    /// How often a bolt of the polar axis was turned.
    pub(crate) bolt_turns: u64,
    /// How often something was centred; tells the draws of one from those of the next.
    pub(crate) centrings: u64,
    /// Which way round the tube hangs, as everybody sees who stands beside it.
    through_pole: bool,
    /// How far the star goes in the field for what the key should do: learned by pressing, for each axis.
    gains: [f64; 2],
    plays: [FeltPlay; 2],
    scatter: Stream,
    /// Errors of reading a star's place.
    pub(crate) reading: Stream,
    /// How far the tube goes on along each axis after the slow key was let go, radians: learned by pressing.
    pub(crate) coasts: [f64; 2],
    /// Errors of bringing a star to the wires where the play is measured.
    pub(crate) centring_errors: Stream,
}

/// What the hand knows of the play of an axis.
#[derive(Clone, Copy, Debug, Default)]
struct FeltPlay {
    /// In which sense its key was pressed last; zero after a go-to.
    sense: f64,
    /// What was pressed in vain since the turn, radians.
    dead: f64,
    /// Whether the star has moved since the turn.
    moving: bool,
    /// What was pressed in vain at an earlier turn, radians.
    known: f64,
}

/// What a press is for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meant {
    /// 0 first axis, 1 second.
    pub(crate) axis: usize,
    /// West and north are `1.0`.
    pub(crate) sense: f64,
    /// How far the star is to come in the field by the time that the tube is at rest, radians, were it to stand still while the
    /// key is held.
    pub(crate) distance: f64,
    /// How fast the star itself runs ahead of the tube in that sense, radians a second; negative if it comes to meet it.
    pub(crate) running: f64,
    /// By how much the press is made longer for the play, radians.
    pub(crate) slack: f64,
}

impl Meant {
    /// A press for a distance in a sense along an axis, nothing else being reckoned with.
    pub(crate) fn plainly(axis: usize, sense: f64, distance: f64) -> Self {
        Self { axis, sense, distance, running: 0.0, slack: 0.0 }
    }
}

/// What was pressed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pressed {
    pub(crate) axis: usize,
    /// How far the key was to bring the star, radians, the slack included.
    pub(crate) wanted: f64,
    pub(crate) slack: f64,
}

/// What a centring leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Held {
    /// It stands where the person wants it.
    There,
    /// It has left the field.
    Lost,
    /// A cloud or a roof has come before it, or the sky is too bright.
    Hidden,
    /// The keys don't move it there: the mount refuses, or it never stops.
    Stuck,
}

impl<'a, S: Seat> Hands<'a, S> {
    pub(crate) fn new(person: Person, handset: Handset, streams: Streams, seat: &'a mut S) -> Self {
        Self {
            seat,
            person,
            handset,
            scatter: streams.stream("press scatter", 0),
            reading: streams.stream("reading of wires", 0),
            coasts: [0.0; 2],
            centring_errors: streams.stream("centring for the play", 0),
            streams,
            presses: 0,
            centred: String::new(),
            disagreement: Angle::ZERO,
            stood_by: false,
            wary: false,
            doubts: Vec::new(),
            felt_a_kick: false,
            bolt_turns: 0,
            centrings: 0,
            through_pole: false,
            gains: [1.0; 2],
            plays: [FeltPlay::default(); 2],
        }
    }

    /// Sends the mount and waits for it; a sentence if it won't go.
    pub(crate) fn go(&mut self, aim: &Aim) -> Result<Result<(), crate::lines::Refused>, NightOver> {
        let travelled = go(self.seat, aim)?;
        Ok(self.arrived(travelled))
    }

    /// The same by a line of another verb.
    pub(crate) fn go_by(&mut self, line: &str) -> Result<Result<(), crate::lines::Refused>, NightOver> {
        let travelled = travel(self.seat, line)?;
        Ok(self.arrived(travelled))
    }

    fn arrived(
        &mut self,
        travelled: Result<crate::lines::Arrived, crate::lines::Refused>,
    ) -> Result<(), crate::lines::Refused> {
        self.presses += 1;
        match travelled {
            Ok(arrived) => {
                self.through_pole = arrived.through_pole;
                self.gains = [1.0; 2];
                for play in &mut self.plays {
                    (play.sense, play.dead, play.moving) = (0.0, 0.0, false);
                }
                Ok(())
            }
            Err(refused) => Err(refused),
        }
    }

    /// Looks for something, with the time that it takes.
    pub(crate) fn glance(&mut self, glass: Glass, object: Object<'_>) -> Result<Sight, NightOver> {
        self.seat.wait(GLANCE)?;
        Ok(self.seat.see(glass, object))
    }

    /// How far the tube must move on the sky to bring a spot to the middle: west (or right), north (or up). A person
    /// who takes the view for an upright one goes the wrong way.
    pub(crate) fn needed(&self, glass: Glass, spot: &Spot, field: Angle, mistaken: bool) -> [f64; 2] {
        let (mut right, mut up) = (spot.right, spot.up);
        if glass == Glass::Eyepiece && !mistaken {
            match self.handset.view {
                View::Upright => {}
                View::Inverted => (right, up) = (-right, -up),
                View::Mirrored => right = -right,
            }
        }
        let turned = if self.through_pole { -1.0 } else { 1.0 };
        [right, up].map(|part| part * turned * field.radians())
    }

    /// Presses a key for as long as it should take; `None` if the mount refuses.
    pub(crate) fn press(&mut self, meant: Meant, glass: Glass) -> Result<Option<Pressed>, NightOver> {
        let Meant { axis, sense, slack, .. } = meant;
        let press = self.chosen(meant, glass);
        let direction = self.key(axis, sense);
        let shortest = self.person.shortest_press.seconds().max(0.001);
        let can_be = |seconds: f64| seconds.clamp(shortest, LONGEST);
        let span = Span::from_seconds(can_be(press.seconds + self.press_scatter()));
        self.seat.wait(self.person.reaction)?;
        let request = format!("nudge direction={direction} rate={} for={:.3}s", press.rate, span.seconds());
        let mut answer = ask(self.seat, &request)?;
        if matches!(&answer, Err(refused) if refused.is(RefusalKind::Busy)) {
            self.seat.wait(Span::from_whole_seconds(1))?;
            answer = ask(self.seat, &request)?;
        }
        self.presses += 1;
        // Until the tube has come to rest, and the eye has seen it.
        self.seat.wait(span + press.rest)?;
        let wanted = self.gains[axis] * press.speed * can_be(press.seconds);
        Ok(answer.is_ok().then_some(Pressed { axis, wanted, slack }))
    }

    /// What is written on the key that moves the tube in a sense along an axis.
    pub(crate) fn key(&self, axis: usize, sense: f64) -> &'static str {
        let words = if self.handset.alt_azimuth {
            [["left", "right"], ["down", "up"]]
        } else {
            [["east", "west"], ["south", "north"]]
        };
        words[axis][usize::from(sense > 0.0)]
    }

    /// How much longer than meant a key is pressed, seconds.
    pub(crate) fn press_scatter(&mut self) -> f64 {
        0.15 * self.person.reaction.seconds() * self.scatter.normal()
    }

    fn chosen(&self, meant: Meant, glass: Glass) -> Press {
        let gain = self.gains[meant.axis];
        let errand =
            Errand { distance: (meant.distance + meant.slack) / gain, running: meant.running / gain };
        choose(&self.person, &self.handset, glass, errand)
    }

    /// How long a press will take, from the eye to the tube at rest.
    pub(crate) fn takes(&self, meant: Meant, glass: Glass) -> f64 {
        let press = self.chosen(meant, glass);
        self.person.reaction.seconds() + press.seconds + press.rest.seconds()
    }

    /// What a press is made longer by, knowing the play: on a turn most of what it took the last time; while nothing moves, a
    /// little.
    pub(crate) fn slack(&mut self, axis: usize, sense: f64, distance: f64) -> f64 {
        let play = &mut self.plays[axis];
        if play.sense != sense {
            let turns = play.sense != 0.0;
            (play.sense, play.dead, play.moving) = (sense, 0.0, false);
            return if turns { 0.8 * play.known } else { 0.0 };
        }
        if play.dead > 0.0 { (3.0 * distance).min(Angle::from_arcsec(20.0).radians()) } else { 0.0 }
    }

    /// Remembers how far a press moved the star; `telling` if its way was well over everything else that moves a star.
    pub(crate) fn learn(&mut self, pressed: Pressed, moved: f64, telling: bool) {
        let Pressed { axis, wanted, slack } = pressed;
        let play = &mut self.plays[axis];
        // In one sense all the way: what is missing is the star's slower way near the pole. On a turn it may be play; but no play
        // takes a star further than the key went.
        if telling && (play.moving || moved > wanted) {
            self.gains[axis] = (self.gains[axis] * (moved / wanted).clamp(0.3, 3.0)).clamp(0.05, 3.0);
        }
        if play.moving {
            return;
        }
        if moved < 0.3 * wanted {
            play.dead += wanted - moved.max(0.0);
            if play.dead > MOST_PLAY.radians() && moved > 0.05 * wanted {
                // It moves, and no play takes so much: a slow star, near the pole.
                (play.moving, play.dead) = (true, 0.0);
            }
            return;
        }
        if play.dead > 0.0 {
            play.known = play.dead.min(MOST_PLAY.radians());
        } else if slack > 0.0 {
            // Gone too far on a turn: there is less play than was believed.
            play.known = (play.known - (moved - (wanted - slack))).clamp(0.0, MOST_PLAY.radians());
        }
        (play.moving, play.dead) = (true, 0.0);
    }

    /// Whether the star has stood still under the key since the axis was turned.
    pub(crate) fn in_vain(&self, pressed: Pressed, moved: f64) -> bool {
        !self.plays[pressed.axis].moving && moved < 0.3 * pressed.wanted
    }

    /// The time on the person's watch.
    pub(crate) fn now(&self) -> Span {
        self.seat.elapsed()
    }
}
