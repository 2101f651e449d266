//! The seat at the mount: the observer's line and eyepiece, implemented on a world; and the bench's notebook beside it.

use crate::outcome::{DwellRow, Look, Sample};
use crate::prepare::{Goal, Prepared, Target};
use crate::statistics::dwell_figures;
use kinematics::{AxisAngles, sides};
use observer::{EyepieceView, Line, NightOver};
use protocol::{Device, Session, read_reply};
use std::collections::VecDeque;
use std::sync::Arc;
use units::{Angle, Instant, Span};
use world::{Journal, World};

/// What the observer sits at. The observer sees the two traits; the notes are for the bench alone.
pub(crate) struct Seat {
    world: World,
    session: Session,
    end: Instant,
    sample_every: Span,
    sampled: bool,
    targets: Arc<[Target]>,
    replies: VecDeque<String>,
    events: VecDeque<String>,
    incoming: Vec<u8>,
    slew: Slew,
    looks: Vec<Option<Look>>,
    asked: Vec<Option<Instant>>,
    dwells: Vec<DwellRow>,
    samples: Vec<Sample>,
}

/// The latest slew, as the lines told of it.
#[derive(Clone, Copy, Debug)]
struct Slew {
    begun: Instant,
    ended: Instant,
    solution: &'static str,
}

impl Seat {
    pub(crate) fn new(mut world: World, prepared: &Prepared, sampled: bool) -> Self {
        let session = world.connect();
        let now = world.now();
        let count = prepared.targets.len();
        Self {
            world,
            session,
            end: prepared.end,
            sample_every: prepared.sample_every,
            sampled,
            targets: prepared.targets.clone().into(),
            replies: VecDeque::new(),
            events: VecDeque::new(),
            incoming: Vec::new(),
            slew: Slew { begun: now, ended: now, solution: "direct" },
            looks: vec![None; count],
            asked: Vec::with_capacity(count),
            dwells: Vec::new(),
            samples: Vec::new(),
        }
    }

    pub(crate) fn world(&self) -> &World {
        &self.world
    }

    pub(crate) fn journal(&self) -> Option<&Journal> {
        self.world.journal()
    }

    /// What was seen of a target, and when it was asked for (the night's end if it never was).
    pub(crate) fn take_look(&mut self, index: usize) -> (Option<Look>, Instant) {
        let asked = self.asked.get(index).copied().flatten().unwrap_or(self.end);
        (self.looks[index].take(), asked)
    }

    pub(crate) fn into_dwells(self) -> (Vec<DwellRow>, Vec<Sample>) {
        (self.dwells, self.samples)
    }

    /// Takes what the mount has said since.
    fn listen(&mut self) {
        self.world.transmit(self.session, &mut self.incoming);
        for line in self.incoming.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()) {
            let line = String::from_utf8_lossy(line).into_owned();
            if line.starts_with('*') {
                self.events.push_back(line);
            } else {
                self.replies.push_back(line);
            }
        }
        self.incoming.clear();
    }

    fn measure(&self, target: &Target) -> world::Sample {
        let truth = self.world.truth();
        match &target.goal {
            Goal::Sky(track) => truth.sample(track),
            Goal::Ground(direction) => truth.sample_of(*direction),
        }
    }

    fn sample(&mut self, target: &Target, zero: &mut Option<(Angle, Angle)>) -> Angle {
        let found = self.measure(target);
        let truth = self.world.truth();
        let zero = zero.get_or_insert(found.error);
        let miss = length(found.error);
        self.samples.push(Sample {
            dwell: self.dwells.len(),
            at: self.world.now(),
            target: found.target_horizontal,
            boresight: found.boresight_horizontal,
            error_east: found.error.0 - zero.0,
            error_north: found.error.1 - zero.1,
            dials: pair(truth.dials()),
            axes: pair(truth.axes()),
        });
        miss
    }
}

impl Line for Seat {
    fn request(&mut self, line: &str) -> Result<String, NightOver> {
        let now = self.world.now();
        if now >= self.end {
            return Err(NightOver);
        }
        self.world.receive(self.session, line.as_bytes());
        self.world.receive(self.session, b"\n");
        self.listen();
        let reply = self.replies.pop_front().unwrap_or_else(|| panic!("`{line}` got no reply"));
        if line.starts_with("goto ") {
            self.asked.push(Some(now));
            let through_pole =
                read_reply(&reply).is_some_and(|read| read.get("solution") == Some("through-pole"));
            self.slew = Slew {
                begun: now,
                ended: now,
                solution: if through_pole { "through-pole" } else { "direct" },
            };
        }
        Ok(reply)
    }

    fn await_event(&mut self) -> Result<String, NightOver> {
        loop {
            if let Some(event) = self.events.pop_front() {
                if event.starts_with("* arrived") {
                    self.slew.ended = self.world.now();
                }
                return Ok(event);
            }
            match self.world.next_wake().filter(|due| *due <= self.end) {
                Some(due) => self.world.advance_to(due),
                None => {
                    self.world.advance_to(self.end);
                    return Err(NightOver);
                }
            }
            self.listen();
        }
    }

    fn wait(&mut self, span: Span) -> Result<(), NightOver> {
        let until = self.world.now() + span;
        self.world.advance_to(until.min(self.end));
        if until > self.end { Err(NightOver) } else { Ok(()) }
    }
}

impl EyepieceView for Seat {
    fn look(&mut self, intent: usize) {
        let targets = Arc::clone(&self.targets);
        let target = &targets[intent];
        let found = self.measure(target);
        let truth = self.world.truth();
        let miss = length(found.error);
        self.looks[intent] = Some(Look {
            at: self.world.now(),
            target: found.target_horizontal,
            boresight: found.boresight_horizontal,
            dials: pair(truth.dials()),
            axes: pair(truth.axes()),
            solution: self.slew.solution,
            tube_side: match truth.tube_side() {
                sides::Side::East => "east",
                sides::Side::West => "west",
                sides::Side::None => "none",
            },
            miss,
            miss_east: found.error.0,
            miss_north: found.error.1,
            in_field: miss < target.true_field / 2.0,
            slew: self.slew.ended - self.slew.begun,
        });
    }

    fn watch(&mut self, intent: usize, span: Span) -> Result<(), NightOver> {
        if !self.sampled {
            return self.wait(span);
        }
        let targets = Arc::clone(&self.targets);
        let target = &targets[intent];
        let begin = self.world.now();
        let last = (begin + span).min(self.end);
        let first_sample = self.samples.len();
        let angle_at_begin = self.world.truth().field_angle();
        let (mut zero, mut in_field, mut at) = (None, Span::ZERO, begin);
        while at <= last {
            self.world.advance_to(at);
            let miss = self.sample(target, &mut zero);
            if miss < target.true_field / 2.0 {
                // Each sample stands for the time until the next, the last one for what is left.
                in_field += self.sample_every.min(last - at);
            }
            at += self.sample_every;
        }
        self.world.advance_to(last);
        let figures = dwell_figures(&self.samples[first_sample..]);
        self.dwells.push(DwellRow {
            target: target.name.clone(),
            begin,
            length: last - begin,
            drift: figures.drift,
            rms: figures.rms,
            peak_to_peak: figures.peak_to_peak,
            in_field,
            field_rotation: (self.world.truth().field_angle() - angle_at_begin).wrapped_signed(),
        });
        if begin + span > self.end { Err(NightOver) } else { Ok(()) }
    }
}

/// The two parts of an error are the sides of a right angle by their definition.
fn length((east, north): (Angle, Angle)) -> Angle {
    let (east, north) = (east.radians(), north.radians());
    Angle::from_radians((east * east + north * north).sqrt())
}

fn pair(angles: AxisAngles) -> (Angle, Angle) {
    (angles.first, angles.second)
}
