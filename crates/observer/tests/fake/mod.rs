//! A mount on paper: a flat sky, two axes, a gap in each, and a table of stars. It answers the lines that a person types.

#![allow(dead_code, reason = "each test file uses its own part of it")]

use observer::seat::{Glass, Jolt, Moment, Object, Sight, Spot};
use observer::{Bolts, Crowd, EyepieceView, Line, NightOver};
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use units::{Angle, AngularRate, Quantity, Span, maths};

/// How one sighting was accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct Accepted {
    pub star: String,
    /// Boresight minus star, west and north, radians.
    pub off: [f64; 2],
    /// In which sense each axis moved last.
    pub senses: [f64; 2],
}

/// The mount, its sky and its diary.
pub struct Fake {
    pub now: Span,
    pub end: Span,
    /// Where things are on the flat sky: west and north, radians.
    pub stars: BTreeMap<String, [f64; 2]>,
    pub targets: Vec<[f64; 2]>,
    /// By how much every go-to misses.
    pub error: [f64; 2],
    /// Whole width of each axis's gap, radians.
    pub gap: [f64; 2],
    /// How fast all stars drift by themselves: west and north, radians a second.
    pub drift: [f64; 2],
    /// How far a star goes for what the first axis turns: the cosine of its declination.
    pub slowing: f64,
    /// How fast the axes gather speed, radians a second squared; they jump to it if that is endless.
    pub acceleration: f64,
    /// How fast the axes go at their fullest, radians a second.
    pub full_rate: f64,
    /// True field of the eyepiece.
    pub eyepiece: Angle,
    pub finder_offset: [f64; 2],
    pub mirrored: bool,
    pub hidden: BTreeSet<String>,
    pub bright_until: Span,
    pub proposals: Vec<String>,
    pub refused: Vec<&'static str>,
    /// What it says to the next line of a verb, in place of what it would say.
    pub says: VecDeque<(&'static str, String)>,
    gone_to: String,
    motor: [f64; 2],
    boresight: [f64; 2],
    last: [f64; 2],
    job: u64,
    due: Option<(Span, u64)>,
    proposed: usize,
    needed: usize,
    taken: usize,
    /// A key that is held: axis, radians per second.
    held: Option<(usize, f64)>,
    /// How far the tube goes on when a key is let go, as seconds of its way.
    pub coast: f64,
    /// The motors at the first centring.
    first_centring: Option<[f64; 2]>,
    /// A worm that lets the tube swing to and fro along the first axis during a recording: amplitude in radians, and period.
    pub worm: (f64, Span),
    /// The end of a recording, and its job.
    recording: Option<(Span, u64)>,
    guided: u64,
    pub lines: Vec<String>,
    /// At each press of a key: its axis, and where the gone-to star stood, radians.
    pub pressed: Vec<(usize, [f64; 2])>,
    pub accepted: Vec<Accepted>,
    /// All moments that were noted.
    pub moments: Vec<String>,
    pub looks: Vec<(usize, Span)>,
    pub watched: Vec<(usize, Span)>,
    pub jolts: Vec<Jolt>,
}

impl Fake {
    pub fn new() -> Self {
        Self {
            now: Span::ZERO,
            end: Span::from_whole_seconds(36_000),
            stars: BTreeMap::new(),
            targets: Vec::new(),
            error: [0.0; 2],
            gap: [0.0; 2],
            drift: [0.0; 2],
            slowing: 1.0,
            acceleration: f64::INFINITY,
            full_rate: AngularRate::from_degrees(3.0).radians(),
            eyepiece: Angle::from_arcmin(50.0),
            finder_offset: [0.0; 2],
            mirrored: true,
            hidden: BTreeSet::new(),
            bright_until: Span::ZERO,
            proposals: Vec::new(),
            refused: Vec::new(),
            says: VecDeque::new(),
            gone_to: String::new(),
            motor: [0.0; 2],
            boresight: [0.0; 2],
            last: [0.0; 2],
            job: 0,
            due: None,
            proposed: 0,
            needed: 0,
            taken: 0,
            held: None,
            coast: 0.0,
            first_centring: None,
            worm: (0.0, Span::from_whole_seconds(600)),
            recording: None,
            guided: 0,
            lines: Vec::new(),
            pressed: Vec::new(),
            accepted: Vec::new(),
            moments: Vec::new(),
            looks: Vec::new(),
            watched: Vec::new(),
            jolts: Vec::new(),
        }
    }

    pub fn with_star(mut self, name: &str, west: Angle, north: Angle) -> Self {
        self.stars.insert(name.to_owned(), [west.radians(), north.radians()]);
        self
    }

    pub fn with_target(mut self, west: Angle, north: Angle) -> Self {
        self.targets.push([west.radians(), north.radians()]);
        self
    }

    fn place(&self, object: Object<'_>) -> Option<[f64; 2]> {
        match object {
            Object::Target(index) => self.targets.get(index).copied(),
            Object::Star(name) => self.star(name),
        }
    }

    /// Where a star stands now.
    fn star(&self, name: &str) -> Option<[f64; 2]> {
        let place = self.stars.get(name)?;
        Some([0, 1].map(|axis| place[axis] + self.drift[axis] * self.now.seconds()))
    }

    /// How far an axis goes by a key, the stopping included: up evenly and down again if it is let go of before it is at its rate.
    fn way(&self, speed: f64, seconds: f64) -> f64 {
        if seconds * self.acceleration >= speed {
            speed * seconds
        } else {
            self.acceleration * seconds * seconds
        }
    }

    fn answer(&mut self, line: &str) -> String {
        let (verb, rest) = line.split_once(' ').unwrap_or((line, ""));
        if self.refused.contains(&verb) {
            return "no 21 busy \"not now\"".to_owned();
        }
        if let Some(at) = self.says.iter().position(|(of, _)| *of == verb) {
            return self.says.remove(at).expect("it was just found").1;
        }
        let value = |key: &str| {
            let at = rest.find(&format!("{key}="))? + key.len() + 1;
            let text = &rest[at..];
            Some(match text.strip_prefix('"') {
                Some(quoted) => quoted.split('"').next()?,
                None => text.split(' ').next()?,
            })
        };
        match verb {
            "goto" => {
                let to = match value("name").and_then(|name| Some((name, self.star(name)?))) {
                    Some((name, place)) => {
                        self.gone_to = name.to_owned();
                        place
                    }
                    // Targets of these tests are gone to by their number as azimuth.
                    None => match value("azimuth").map(|text| Angle::parse(text).unwrap().degrees()) {
                        Some(number) => self.targets[maths::round(number) as usize],
                        None => return "no 31 below-horizon \"it is below the horizon\"".to_owned(),
                    },
                };
                let to = [to[0] + self.error[0], to[1] + self.error[1]];
                for (axis, place) in to.into_iter().enumerate() {
                    self.move_motor(axis, place - self.boresight[axis]);
                    self.boresight[axis] = place;
                }
                self.job += 1;
                self.due = Some((self.now + Span::from_whole_seconds(20), self.job));
                format!("ok job={} seconds=20.000s solution=direct", self.job)
            }
            "nudge" => {
                let speed = match value("rate").unwrap() {
                    "full" => self.full_rate,
                    times => {
                        let times: f64 = times.trim_end_matches('x').parse().unwrap();
                        times * AngularRate::SIDEREAL.radians()
                    }
                };
                let (axis, sense) = match value("direction").unwrap() {
                    "west" => (0, 1.0),
                    "east" => (0, -1.0),
                    "north" => (1, 1.0),
                    "south" => (1, -1.0),
                    other => panic!("no key says {other}"),
                };
                if let Some(place) = self.star(&self.gone_to) {
                    self.pressed.push((axis, [0, 1].map(|axis| place[axis] - self.boresight[axis])));
                }
                match value("for") {
                    Some(span) => {
                        let slowing = [self.slowing, 1.0][axis];
                        let way = self.way(speed, Span::parse(span).unwrap().seconds());
                        self.move_motor(axis, sense * slowing * way);
                    }
                    None => self.held = Some((axis, sense * speed)),
                }
                "ok seconds=1.000s".to_owned()
            }
            "release" => {
                if let Some((axis, speed)) = self.held.take() {
                    self.move_motor(axis, speed * self.coast);
                }
                "ok seconds=0.050s".to_owned()
            }
            "measure-play" => {
                if value("centring") == Some("first") {
                    self.first_centring = Some(self.motor);
                    return format!("ok star=\"{}\"", value("name").unwrap());
                }
                let first = self.first_centring.take().expect("the first centring comes first");
                let play = [0, 1].map(|axis| Angle::from_radians(first[axis] - self.motor[axis]));
                let [hour, declination] = play.map(|play| play.degrees());
                format!("ok star=Regulus hour_axis={hour:.8}deg declination_axis={declination:.8}deg set=no")
            }
            "take-up" => format!("ok {}", line.split_once(' ').unwrap().1),
            "record" => {
                self.job += 1;
                let turns: i64 = value("turns").unwrap().parse().unwrap();
                let lasts = self.worm.1 * turns;
                self.recording = Some((self.now + lasts, self.job));
                format!("ok job={} seconds={:.3}s", self.job, lasts.seconds())
            }
            "guide" => {
                let span = Span::parse(value("for").unwrap()).unwrap();
                let by = 0.5 * AngularRate::SIDEREAL.radians() * span.seconds();
                match value("direction").unwrap() {
                    "west" => self.boresight[0] += by,
                    "east" => self.boresight[0] -= by,
                    other => panic!("nothing moves {other}"),
                }
                self.guided += 1;
                "ok seconds=1.000s".to_owned()
            }
            "guide-rate" => format!("ok rate={:.4}arcsec/s", 0.5 * AngularRate::SIDEREAL.arcsec()),
            "playback" => {
                let state = value("state").unwrap_or("on");
                format!("ok state={state} recorded=yes amplitude=10.00arcsec index=no")
            }
            "cancel" => "ok job=1 state=stopped seconds=0.000s".to_owned(),
            "align" => {
                self.needed = match value("method").unwrap() {
                    "one-star" => 1,
                    "two-star" => 2,
                    _ => 3,
                };
                (self.taken, self.proposed) = (0, 0);
                format!("ok method={} needed={} taken=0", value("method").unwrap(), self.needed)
            }
            "propose" => {
                if value("next") == Some("yes") {
                    self.proposed += 1;
                }
                match self.proposals.get(self.proposed) {
                    Some(star) => format!("ok star=\"{star}\" azimuth=100.0deg altitude=40.0deg hour=5.0deg"),
                    None => "no 40 no-star \"there is no further star\"".to_owned(),
                }
            }
            "sight" => {
                self.taken += 1;
                self.proposed += 1;
                let star = value("name").unwrap();
                let done = if self.taken >= self.needed { "yes" } else { "no" };
                format!("ok star=\"{star}\" taken={} needed={} done={done}", self.taken, self.needed)
            }
            "sync" => "ok".to_owned(),
            "questions" => "ok stars=1 west=none count=0".to_owned(),
            other => panic!("the person typed {other}"),
        }
    }

    /// The play operator: the tube follows once the gap is crossed.
    fn move_motor(&mut self, axis: usize, by: f64) {
        self.motor[axis] += by;
        if by != 0.0 {
            self.last[axis] = by.signum();
        }
        let half = self.gap[axis] / 2.0;
        self.boresight[axis] = self.boresight[axis].clamp(self.motor[axis] - half, self.motor[axis] + half);
    }
}

impl Line for Fake {
    fn request(&mut self, line: &str) -> Result<String, NightOver> {
        if self.now >= self.end {
            return Err(NightOver);
        }
        self.lines.push(line.to_owned());
        Ok(self.answer(line))
    }

    fn await_event(&mut self) -> Result<String, NightOver> {
        if let Some((at, job)) = self.recording.take() {
            self.now = at.max(self.now);
            let guided = self.guided;
            return Ok(format!(
                "* recorded job={job} result=kept corrections={guided} amplitude=10.00arcsec"
            ));
        }
        let Some((at, job)) = self.due.take().filter(|(at, _)| *at <= self.end) else {
            self.now = self.end;
            return Err(NightOver);
        };
        self.now = at.max(self.now);
        // After a go-to the motor is where the tube is, as if it had come from the east and the south.
        for axis in 0..2 {
            self.motor[axis] = self.boresight[axis] + self.gap[axis] / 2.0;
        }
        Ok(format!("* arrived job={job}"))
    }

    fn wait(&mut self, span: Span) -> Result<(), NightOver> {
        if let Some((axis, speed)) = self.held {
            self.move_motor(axis, speed * span.seconds());
        }
        if self.recording.is_some() {
            let turned =
                |at: Span| self.worm.0 * maths::sin(maths::TAU * (at.seconds() / self.worm.1.seconds()));
            self.boresight[0] += turned(self.now + span) - turned(self.now);
        }
        self.now = (self.now + span).min(self.end);
        if self.now >= self.end { Err(NightOver) } else { Ok(()) }
    }

    fn elapsed(&self) -> Span {
        self.now
    }
}

impl EyepieceView for Fake {
    fn look(&mut self, intent: usize) {
        self.looks.push((intent, self.now));
    }

    fn watch(&mut self, intent: usize, span: Span) -> Result<(), NightOver> {
        self.watched.push((intent, span));
        self.wait(span)
    }

    fn see(&mut self, glass: Glass, object: Object<'_>) -> Sight {
        if let Object::Star(name) = object {
            if self.hidden.contains(name) {
                return Sight::Hidden;
            }
            if self.now < self.bright_until {
                return Sight::TooBright;
            }
        }
        let Some(place) = self.place(object) else { return Sight::NotThere };
        let offset = if glass == Glass::Finder { self.finder_offset } else { [0.0; 2] };
        let field = self.field(glass, object).radians();
        let west = (place[0] - self.boresight[0] - offset[0]) / field;
        let up = (place[1] - self.boresight[1] - offset[1]) / field;
        if maths::hypot(west, up) >= 0.5 {
            return Sight::NotThere;
        }
        let right = if glass == Glass::Eyepiece && self.mirrored { -west } else { west };
        Sight::Seen(Spot { right, up })
    }

    fn field(&self, glass: Glass, _object: Object<'_>) -> Angle {
        match glass {
            Glass::Finder => Angle::from_degrees(6.0),
            Glass::Eyepiece => self.eyepiece,
        }
    }

    fn note(&mut self, moment: Moment<'_>) {
        self.moments.push(format!("{moment:?}"));
        if let Moment::Accepted { star } = moment {
            let place = self.star(star).expect("it was gone to");
            self.accepted.push(Accepted {
                star: star.to_owned(),
                off: [self.boresight[0] - place[0], self.boresight[1] - place[1]],
                senses: self.last,
            });
        }
    }
}

/// A mount on paper has no polar axis to set.
impl Bolts for Fake {
    fn turn_bolts(&mut self, _up: Angle, _east: Angle) {
        panic!("nobody was asked to set the polar axis");
    }

    fn lock_bolts(&mut self, _star: &str) {
        panic!("nobody was asked to set the polar axis");
    }
}

impl Crowd for Fake {
    fn jolt(&mut self, jolt: Jolt) {
        self.jolts.push(jolt);
        if let Jolt::Step([west, north]) = jolt {
            self.boresight = [self.boresight[0] + west.radians(), self.boresight[1] + north.radians()];
            self.motor = [self.motor[0] + west.radians(), self.motor[1] + north.radians()];
        }
    }
}
