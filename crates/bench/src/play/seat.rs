//! The seat at the mount: the observer's line and eyepiece, implemented on a world; and the bench's notebook beside it.

use super::belief;
use super::eyes::Star;
use super::gears::GearNotes;
use super::polar::Pass;
use crate::measured::{self, DIRECT, Measured, length, pair};
use crate::near_sun::{Sought, SunWatch};
use crate::outcome::{DwellRow, Look, ModelBelief, PolarRow, Sample, SightingRow};
use crate::prepare::{Bolts, Glasses, Prepared, Target};
use crate::statistics::dwell_figures;
use kinematics::Geometry;
use observer::seat::{Glass, Jolt, Moment, Object, Sight};
use observer::{Crowd, EyepieceView, Line, NightOver};
use protocol::{Device, Session};
use sky::{Geocentre, Track};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};
use units::{Angle, Instant, Span, Streams};
use world::{BaseMove, Disturbance, Journal, SharedWatcher, World};

/// What the observer sits at. The observer sees the two traits; the notes are for the bench alone.
pub(crate) struct Seat {
    world: World,
    session: Session,
    begin: Instant,
    end: Instant,
    sample_every: Span,
    measured: Measured,
    targets: Arc<[Target]>,
    glasses: Glasses,
    geocentre: Arc<Geocentre>,
    sun: Track,
    stars: BTreeMap<String, Option<Star>>,
    /// Latitude's sign: where a kick sends the elevated end.
    northern: bool,
    replies: VecDeque<String>,
    events: VecDeque<String>,
    incoming: Vec<u8>,
    slew: Slew,
    looks: Vec<Option<Look>>,
    asked: Vec<Option<Instant>>,
    dwells: Vec<DwellRow>,
    samples: Vec<Sample>,
    sightings: Vec<SightingRow>,
    first_miss: Angle,
    /// The bolts, what was done with them, and the pass that has begun.
    bolts: Bolts,
    streams: Streams,
    pub(super) polar: Vec<PolarRow>,
    pub(super) pass: Option<Pass>,
    /// What there is to know beside what the person learns of the gears.
    pub(super) gears: GearNotes,
    /// What the last sighting should have told the computer.
    to_find: Option<Geometry>,
    jolts: usize,
    /// Who looks along for the Sun.
    sun_watch: Option<Arc<Mutex<SunWatch>>>,
}

/// Everything that the bench has noted down.
pub(crate) struct Notes {
    pub(crate) dwells: Vec<DwellRow>,
    pub(crate) samples: Vec<Sample>,
    pub(crate) sightings: Vec<SightingRow>,
    pub(crate) polar: Vec<PolarRow>,
    pub(crate) jolts: usize,
}

/// The latest slew, as the lines told of it.
#[derive(Clone, Copy, Debug)]
struct Slew {
    begun: Instant,
    ended: Instant,
    solution: &'static str,
}

impl Seat {
    pub(crate) fn new(mut world: World, prepared: &Prepared, measured: Measured) -> Self {
        let session = world.connect_handset();
        let now = world.now();
        let count = prepared.targets.len();
        let geocentre = Arc::clone(&prepared.world.geocentre);
        let sun_watch = (measured == Measured::Everything).then(|| {
            let watch = SunWatch::new(&geocentre, Sought::Near, now, prepared.end);
            let watch = Arc::new(Mutex::new(watch));
            let watcher: SharedWatcher = watch.clone();
            world.watched_by(watcher);
            watch
        });
        Self {
            world,
            session,
            begin: now,
            end: prepared.end,
            sample_every: prepared.sample_every,
            measured,
            targets: prepared.targets.clone().into(),
            glasses: prepared.glasses.clone(),
            sun: measured::sun(&geocentre),
            geocentre,
            stars: BTreeMap::new(),
            northern: prepared.world.site.latitude() >= Angle::ZERO,
            replies: VecDeque::new(),
            events: VecDeque::new(),
            incoming: Vec::new(),
            slew: Slew { begun: now, ended: now, solution: DIRECT },
            looks: vec![None; count],
            asked: vec![None; count],
            dwells: Vec::new(),
            samples: Vec::new(),
            sightings: Vec::new(),
            first_miss: Angle::ZERO,
            to_find: None,
            bolts: prepared.bolts,
            streams: prepared.world.streams.clone(),
            polar: Vec::new(),
            pass: None,
            gears: GearNotes::default(),
            jolts: 0,
            sun_watch,
        }
    }

    pub(crate) fn world(&self) -> &World {
        &self.world
    }

    /// What a reader must be told before taking this night outside.
    pub(crate) fn cautions(&self) -> Vec<String> {
        let watch = self.sun_watch.as_ref().map(|watch| watch.lock().unwrap_or_else(PoisonError::into_inner));
        watch.map(|watch| watch.cautions()).unwrap_or_default()
    }

    pub(super) fn bolts(&self) -> &Bolts {
        &self.bolts
    }

    pub(super) fn streams(&self) -> &Streams {
        &self.streams
    }

    pub(super) fn northern(&self) -> bool {
        self.northern
    }

    /// Something befalls the mount now.
    pub(super) fn befall(&mut self, disturbance: Disturbance) {
        self.world.befall(disturbance);
    }

    pub(super) fn model(&self) -> Option<ModelBelief> {
        belief::model(&self.world, self.to_find.as_ref())
    }

    pub(super) fn targets(&self) -> &Arc<[Target]> {
        &self.targets
    }

    pub(super) fn glasses(&self) -> &Glasses {
        &self.glasses
    }

    pub(super) fn geocentre(&self) -> &Arc<Geocentre> {
        &self.geocentre
    }

    pub(super) fn sun(&self) -> &Track {
        &self.sun
    }

    /// A star by its name, found once.
    pub(super) fn star(&mut self, name: &str) -> Option<Star> {
        if let Some(known) = self.stars.get(name) {
            return known.clone();
        }
        let found = Star::named(name, self);
        self.stars.insert(name.to_owned(), found.clone());
        found
    }

    /// The lines of the night's journal, with its last one.
    pub(crate) fn take_transcript(&mut self) -> String {
        self.world.end_transcript();
        self.world.take_transcript()
    }

    pub(crate) fn journal(&self) -> Option<&Journal> {
        self.world.journal()
    }

    /// What was seen of a target, and when it was asked for (the night's end if it never was).
    pub(crate) fn take_look(&mut self, index: usize) -> (Option<Look>, Instant) {
        let asked = self.asked[index].unwrap_or(self.end);
        (self.looks[index].take(), asked)
    }

    pub(crate) fn into_notes(mut self) -> Notes {
        if self.measured == Measured::Everything {
            belief::add_residuals(&mut self.sightings, &self.world);
        }
        Notes {
            dwells: self.dwells,
            samples: self.samples,
            sightings: self.sightings,
            polar: self.polar,
            jolts: self.jolts,
        }
    }

    /// How far the tube points from a star now.
    fn miss_of_star(&mut self, name: &str) -> Angle {
        let Some(star) = self.star(name) else { return Angle::ZERO };
        length(self.world.truth().sample(&star.track).error)
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

    fn sample(&mut self, target: &Target, zero: &mut Option<(Angle, Angle)>) -> Angle {
        let (sample, miss) = measured::sample(&target.goal, &self.world.truth(), self.dwells.len(), zero);
        self.samples.push(sample);
        miss
    }
}

impl Line for Seat {
    fn request(&mut self, line: &str) -> Result<String, NightOver> {
        let reply = loop {
            if self.world.now() >= self.end {
                return Err(NightOver);
            }
            self.world.receive(self.session, line.as_bytes());
            self.world.receive(self.session, b"\n");
            self.listen();
            match self.replies.pop_front() {
                Some(reply) => break reply,
                // A mount without power says nothing; the person tries again a second later.
                None => self.wait(Span::from_whole_seconds(1))?,
            }
        };
        let now = self.world.now();
        if line.starts_with("goto ") || line.starts_with("polar-offset ") {
            self.slew = Slew { begun: now, ended: now, solution: measured::solution(&reply) };
        }
        Ok(reply)
    }

    fn await_event(&mut self) -> Result<String, NightOver> {
        // What was said while the person waited.
        self.listen();
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

    fn elapsed(&self) -> Span {
        self.world.now() - self.begin
    }
}

impl Crowd for Seat {
    fn jolt(&mut self, jolt: Jolt) {
        self.jolts += 1;
        self.befall(match jolt {
            Jolt::Bump(axes) => Disturbance::Bump(axes),
            Jolt::Step(axes) => Disturbance::Knock { axes, base: BaseMove::default() },
            Jolt::Kick([up, east]) => self.base_turned(up, east),
            Jolt::Slip { axis, angle } => {
                let mut axes = [Angle::ZERO; 2];
                axes[axis] = angle;
                Disturbance::ClutchSlip(axes)
            }
        });
    }
}

impl EyepieceView for Seat {
    fn see(&mut self, glass: Glass, object: Object<'_>) -> Sight {
        self.sight(glass, object)
    }

    fn field(&self, glass: Glass, object: Object<'_>) -> Angle {
        self.field_of(glass, object)
    }

    fn note(&mut self, moment: Moment<'_>) {
        match moment {
            Moment::SetsOut { target } => self.asked[target] = Some(self.world.now()),
            _ if self.measured != Measured::Everything => {}
            Moment::Arrived { star } => self.first_miss = self.miss_of_star(star),
            Moment::Accepted { star } => {
                let centring_miss = self.miss_of_star(star);
                self.to_find = Some(belief::geometry_to_find(&self.world));
                self.sightings.push(SightingRow {
                    star: star.to_owned(),
                    at: self.world.now(),
                    first_miss: self.first_miss,
                    centring_miss,
                    residual: None,
                });
            }
            Moment::Records => self.gears.records(&self.world.truth()),
            Moment::Recorded => self.gears.recorded(&self.world.truth()),
            Moment::PlayMeasured { axis } => self.gears.play_measured(axis, &self.world.truth()),
        }
    }

    fn look(&mut self, intent: usize) {
        let targets = Arc::clone(&self.targets);
        let target = &targets[intent];
        let truth = self.world.truth();
        let found = truth.sample_of(target.goal.direction(&truth));
        let miss = length(found.error);
        let everything = self.measured == Measured::Everything;
        self.looks[intent] = Some(Look {
            at: self.world.now(),
            target: found.target_horizontal,
            boresight: found.boresight_horizontal,
            dials: pair(truth.dials()),
            axes: pair(truth.axes()),
            solution: self.slew.solution,
            tube_side: measured::tube_side(&truth),
            miss,
            miss_east: found.error.0,
            miss_north: found.error.1,
            in_field: miss < target.true_field / 2.0,
            slew: self.slew.ended - self.slew.begun,
            predicted: if everything { belief::predicted(&self.world) } else { None },
        });
    }

    fn watch(&mut self, intent: usize, span: Span) -> Result<(), NightOver> {
        if self.measured == Measured::Looks {
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
