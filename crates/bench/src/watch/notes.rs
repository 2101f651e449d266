//! What the bench notes down while it looks on.

use crate::measured::{self, DIRECT, length, pair};
use crate::near_sun::{Sought, SunWatch};
use crate::outcome::{DwellRow, GotoOutcome, GotoRow, Look, Sample};
use crate::prepare::{Goal, Prepared, Target};
use crate::statistics::dwell_figures;
use controller::Controller;
use kinematics::{AxisAngles, frames};
use protocol::{Aim, Event, EventKind, Frame, RawRequest, Request, Session, check, read_reply};
use sky::catalogue::Catalogue;
use sky::{Geocentre, Source, StarPlace};
use std::sync::Arc;
use units::{Angle, Instant, Span};
use world::{Contact, Truth, Watcher, World};

/// The look comes so long after an arrival, as it does for a person.
const LOOK_AFTER: Span = Span::from_whole_seconds(3);
/// Places that are closer than this are the same target.
const SAME_PLACE: Angle = Angle::from_arcmin(1.0);
/// A line that was refused and comes again within this time took no notice of it.
const NOTICE: Span = Span::from_whole_seconds(2);

/// One go-to of the program.
#[derive(Clone, Debug)]
struct Going {
    target: Target,
    /// Its place in the night's list, if it is on it.
    index: Option<usize>,
    asked: Instant,
    solution: &'static str,
}

#[derive(Clone, Debug)]
struct Dwelling {
    target: Target,
    begin: Instant,
    until: Instant,
    next: Instant,
    first_sample: usize,
    zero: Option<(Angle, Angle)>,
    in_field: Span,
    field_angle: Angle,
}

/// A row for each target of the night, in its order, and for each other place that the program went to.
#[derive(Clone, Debug)]
struct Row {
    target: Target,
    outcome: GotoOutcome,
    refusal: Option<String>,
    look: Option<Look>,
    at: Option<Instant>,
}

/// Everything that is noted.
#[derive(Clone, Debug)]
pub(super) struct Notes {
    end: Instant,
    sample_every: Span,
    geocentre: Arc<Geocentre>,
    pub(super) sun: SunWatch,
    dwells_due: Vec<Span>,
    planned: usize,
    dwelt: Vec<bool>,
    rows: Vec<Row>,
    going: Option<Going>,
    look_due: Option<(Instant, Going, Span)>,
    dwelling: Option<Dwelling>,
    pub(super) dwells: Vec<DwellRow>,
    pub(super) samples: Vec<Sample>,
    pub(super) refusals: Vec<(Instant, String, String)>,
    pub(super) refusals_ignored: u64,
    last_refused: Option<(Instant, String)>,
    pub(super) taken_up: (usize, usize),
    pub(super) limits_met: u64,
    /// Dials after a stop, while nobody has ordered anything since.
    stopped: Option<AxisAngles>,
    pub(super) moved_after_stop: Angle,
    under_way: bool,
}

impl Notes {
    pub(super) fn new(prepared: &Prepared) -> Self {
        let row = |target: &Target| Row {
            target: target.clone(),
            outcome: GotoOutcome::NightOver,
            refusal: None,
            look: None,
            at: None,
        };
        let geocentre = Arc::clone(&prepared.world.geocentre);
        Self {
            end: prepared.end,
            sample_every: prepared.sample_every,
            sun: SunWatch::new(&geocentre, Sought::Everywhere, prepared.world.begin, prepared.end),
            geocentre,
            dwells_due: prepared.evening.intents.iter().map(|intent| intent.dwell).collect(),
            planned: prepared.targets.len(),
            dwelt: prepared.evening.intents.iter().map(|intent| intent.dwell == Span::ZERO).collect(),
            rows: prepared.targets.iter().map(row).collect(),
            going: None,
            look_due: None,
            dwelling: None,
            dwells: Vec::new(),
            samples: Vec::new(),
            refusals: Vec::new(),
            refusals_ignored: 0,
            last_refused: None,
            taken_up: (0, 0),
            limits_met: 0,
            stopped: None,
            moved_after_stop: Angle::ZERO,
            under_way: false,
        }
    }

    /// Whether no job is under way.
    pub(super) fn idle(&self) -> bool {
        !self.under_way
    }

    pub(super) fn all_done(&self) -> bool {
        let looked = self.rows[..self.planned].iter().all(|row| row.look.is_some());
        looked && self.dwelt.iter().all(|dwelt| *dwelt) && self.look_due.is_none()
    }

    /// Targets of the night, and how many of them were reached.
    pub(super) fn reached(&self) -> (usize, usize) {
        (self.planned, self.rows[..self.planned].iter().filter(|row| row.look.is_some()).count())
    }

    /// Nothing more comes.
    pub(super) fn finish(&mut self, truth: &Truth<'_>) {
        self.end_dwell(truth);
        self.check_rest(truth);
    }

    pub(super) fn rows(&self, prepared: &Prepared, world: &World) -> Vec<GotoRow> {
        let row = |row: &Row| {
            let at = row.look.as_ref().map(|look| look.at).or(row.at).unwrap_or(self.end);
            GotoRow {
                target: row.target.name.clone(),
                outcome: row.outcome,
                refusal: row.refusal.clone(),
                icrs: prepared.icrs_at(&row.target.goal, at, world),
                true_field: row.target.true_field,
                look: row.look.clone(),
            }
        };
        self.rows.iter().map(row).collect()
    }

    /// The target that an aim means: one of the night's, or one of the program's own.
    fn target(&self, aim: &Aim, at: Instant) -> Option<(Target, Option<usize>)> {
        let track = |source: &Source| Goal::Sky(Arc::new(self.geocentre.track(source)));
        let (name, goal) = match aim {
            Aim::Name(name) => (name.clone(), track(&Catalogue::embedded().find(name).ok()?.source)),
            Aim::Equatorial { ra, dec } => {
                let name = format!("{:.4} deg {:+.4} deg", ra.degrees(), dec.degrees());
                (name, track(&Source::Star(StarPlace::fixed(*ra, *dec))))
            }
            Aim::Horizontal { azimuth, altitude } => {
                let name =
                    format!("azimuth {:.3} deg altitude {:.3} deg", azimuth.degrees(), altitude.degrees());
                (name, Goal::Ground(frames::direction(*azimuth, *altitude)))
            }
            Aim::EquatorialAxes { .. } | Aim::HorizontalAxes { .. } => return None,
        };
        let place = |goal: &Goal| match goal {
            Goal::Sky(track) => (true, track.cirs(at).direction),
            Goal::Ground(direction) => (false, *direction),
        };
        let wanted = place(&goal);
        let same = |row: &Row| {
            let found = place(&row.target.goal);
            found.0 == wanted.0 && frames::separation(&found.1, &wanted.1) < SAME_PLACE
        };
        // Of targets that stand at one place, the first that was not looked at.
        let open = self.rows.iter().position(|row| same(row) && row.look.is_none());
        match open.or_else(|| self.rows.iter().position(same)) {
            Some(index) => Some((self.rows[index].target.clone(), Some(index))),
            None => {
                let true_field =
                    self.rows.first().map_or(Angle::from_arcmin(50.0), |row| row.target.true_field);
                Some((Target { name, goal, true_field }, None))
            }
        }
    }

    fn row_of(&mut self, going: &Going) -> &mut Row {
        let index = going.index.unwrap_or_else(|| {
            self.rows.push(Row {
                target: going.target.clone(),
                outcome: GotoOutcome::NightOver,
                refusal: None,
                look: None,
                at: None,
            });
            self.rows.len() - 1
        });
        &mut self.rows[index]
    }

    /// A request that moves or sets something has been obeyed.
    fn obeyed(&mut self, request: &Request, reply: &str, truth: &Truth<'_>) {
        if request.acts() {
            self.check_rest(truth);
            self.stopped = None;
        }
        match request {
            Request::Goto { aim, .. } => {
                self.end_dwell(truth);
                self.look_due = None;
                self.under_way = true;
                let (asked, solution) = (truth.at(), measured::solution(reply));
                self.going =
                    self.target(aim, asked).map(|(target, index)| Going { target, index, asked, solution });
            }
            Request::Home | Request::Park => {
                self.end_dwell(truth);
                self.under_way = true;
                (self.going, self.look_due) = (None, None);
            }
            Request::Nudge { .. } | Request::Track(_) | Request::Sync(_) => self.end_dwell(truth),
            Request::Stop => {
                self.end_dwell(truth);
                (self.going, self.look_due) = (None, None);
                let stands = read_reply(reply).is_some_and(|read| read.get("seconds") == Some("0.000s"));
                if stands {
                    self.stopped = Some(truth.dials());
                }
            }
            _ => {}
        }
    }

    fn refused(&mut self, request: Option<&Request>, line: &str, reply: &str, at: Instant) {
        let body: Vec<&str> =
            line.split(' ').filter(|word| !word.starts_with('@') && !word.starts_with("seq=")).collect();
        let body = body.join(" ");
        let damaged = read_reply(reply).is_some_and(|read| matches!(&read.outcome, Err((20, ..))));
        if !damaged {
            let again = self
                .last_refused
                .as_ref()
                .is_some_and(|(last, other)| *other == body && at - *last <= NOTICE);
            self.refusals_ignored += u64::from(again);
            self.last_refused = Some((at, body));
        }
        self.refusals.push((at, line.to_owned(), reply.to_owned()));
        let Some(Request::Goto { aim, .. }) = request else { return };
        let Some((target, index)) = self.target(aim, at) else { return };
        let going = Going { target, index, asked: at, solution: DIRECT };
        let sentence = read_reply(reply).and_then(|read| read.outcome.err());
        let row = self.row_of(&going);
        if row.look.is_none() {
            row.outcome = GotoOutcome::Refused;
            row.refusal = sentence.map(|(_, word, sentence)| format!("{word}: {sentence}"));
            row.at = Some(at);
        }
    }

    /// How far the dials have gone while nobody had ordered anything.
    fn check_rest(&mut self, truth: &Truth<'_>) {
        if let Some(stood) = self.stopped {
            let dials = truth.dials();
            let moved = (dials.first - stood.first).abs().max((dials.second - stood.second).abs());
            self.moved_after_stop = self.moved_after_stop.max(moved);
        }
    }

    fn take_look(&mut self, going: &Going, slew: Span, truth: &Truth<'_>) {
        let (found, pose) = truth.sample_with_pose(going.target.goal.direction(truth));
        let (east, north) = found.error;
        let miss = length(found.error);
        self.taken_up.1 += 1;
        self.taken_up.0 += usize::from(taken_up(&going.target.goal, truth));
        let look = Look {
            at: truth.at(),
            target: found.target_horizontal,
            boresight: found.boresight_horizontal,
            dials: pair(pose.dials),
            axes: pair(pose.axes),
            solution: going.solution,
            tube_side: measured::tube_side(truth),
            // What the mount expected is told of a person's night.
            predicted: None,
            miss,
            miss_east: east,
            miss_north: north,
            in_field: miss < going.target.true_field / 2.0,
            slew,
        };
        let row = self.row_of(going);
        // The first look of a night counts.
        if row.look.is_none() {
            row.outcome = GotoOutcome::Arrived;
            row.refusal = None;
            row.look = Some(look);
        }
        let dwell = going.index.and_then(|index| self.dwells_due.get(index)).copied().unwrap_or(Span::ZERO);
        if dwell > Span::ZERO {
            let begin = truth.at();
            self.dwelling = Some(Dwelling {
                target: going.target.clone(),
                begin,
                until: (begin + dwell).min(self.end),
                next: begin,
                first_sample: self.samples.len(),
                zero: None,
                in_field: Span::ZERO,
                field_angle: truth.field_angle(),
            });
        }
    }

    fn sample(&mut self, truth: &Truth<'_>) {
        let Some(dwelling) = &mut self.dwelling else { return };
        let (sample, miss) =
            measured::sample(&dwelling.target.goal, truth, self.dwells.len(), &mut dwelling.zero);
        self.samples.push(sample);
        if miss < dwelling.target.true_field / 2.0 {
            dwelling.in_field += self.sample_every.min(dwelling.until - truth.at());
        }
        dwelling.next += self.sample_every;
        if dwelling.next > dwelling.until {
            self.end_dwell(truth);
        }
    }

    /// A dwell is over, at its end or because the program moved on.
    fn end_dwell(&mut self, truth: &Truth<'_>) {
        let Some(dwelling) = self.dwelling.take() else { return };
        if dwelling.first_sample == self.samples.len() {
            return;
        }
        let figures = dwell_figures(&self.samples[dwelling.first_sample..]);
        self.dwells.push(DwellRow {
            target: dwelling.target.name.clone(),
            begin: dwelling.begin,
            length: truth.at().min(dwelling.until) - dwelling.begin,
            drift: figures.drift,
            rms: figures.rms,
            peak_to_peak: figures.peak_to_peak,
            in_field: dwelling.in_field,
            field_rotation: (truth.field_angle() - dwelling.field_angle).wrapped_signed(),
        });
        if dwelling.next > dwelling.until {
            let place =
                self.rows[..self.planned].iter().position(|row| row.target.name == dwelling.target.name);
            if let Some(dwelt) = place.and_then(|index| self.dwelt.get_mut(index)) {
                *dwelt = true;
            }
        }
    }
}

impl Watcher for Notes {
    fn next_look(&self) -> Option<Instant> {
        let look = self.look_due.as_ref().map(|(at, ..)| *at);
        let sample = self.dwelling.as_ref().map(|dwelling| dwelling.next);
        [look, sample].into_iter().flatten().min().filter(|at| *at <= self.end)
    }

    fn look(&mut self, truth: &Truth<'_>) {
        let now = truth.at();
        if let Some((_, going, slew)) = self.look_due.take_if(|(at, ..)| *at <= now) {
            self.take_look(&going, slew, truth);
        }
        if self.dwelling.as_ref().is_some_and(|dwelling| dwelling.next <= now) {
            self.sample(truth);
        }
    }

    fn looks_along_from(&self) -> Option<Instant> {
        self.sun.looks_along_from()
    }

    fn passes(&mut self, truth: &Truth<'_>, to: Instant, computer: &Controller) {
        self.sun.passes(truth, to, computer);
    }

    fn jolted(&mut self) {
        self.sun.jolted();
    }

    fn answered(&mut self, _session: Session, frame: &Frame, reply: &str, truth: &Truth<'_>) {
        let Frame::Line(line) = frame else {
            if !reply.is_empty() {
                self.refused(None, "", reply, truth.at());
            }
            return;
        };
        let line = match check::take(line) {
            check::Checked::Absent(line) | check::Checked::Good(line) => line,
            check::Checked::Bad => line,
        };
        let request = RawRequest::read(line).ok().and_then(|raw| Request::from_raw(&raw).ok());
        if reply.starts_with("no ") {
            self.refused(request.as_ref(), line, reply, truth.at());
        } else if let (Some(request), true) = (request, reply.starts_with("ok")) {
            self.obeyed(&request, reply, truth);
        }
    }

    fn told(&mut self, event: &Event, truth: &Truth<'_>) {
        match event.kind {
            EventKind::Arrived => {
                self.under_way = false;
                if let Some(going) = self.going.take() {
                    let slew = truth.at() - going.asked;
                    self.look_due = Some((truth.at() + LOOK_AFTER, going, slew));
                }
            }
            EventKind::Stopped => {
                self.under_way = false;
                self.stopped = Some(truth.dials());
            }
            EventKind::Restarted => {
                self.under_way = false;
                self.end_dwell(truth);
                (self.going, self.look_due, self.stopped) = (None, None, None);
            }
            // A bouncing switch is a fault of the night's, no deed of the program's.
            EventKind::Limit if !event.fields.as_str().contains("at=switch") => {
                self.limits_met += 1;
                self.end_dwell(truth);
            }
            EventKind::Limit | EventKind::Sun => self.end_dwell(truth),
            _ => {}
        }
    }
}

/// Whether both axes go on at once when their motors do: each touches the flank that pushes it on, or its load holds it to
/// the other one, or it has no play to take up.
fn taken_up(goal: &Goal, truth: &Truth<'_>) -> bool {
    let Goal::Sky(_) = goal else { return true };
    // Tracking turns an hour axis westward, in its positive sense. The other axes may go either way, so that either flank is
    // as good.
    let equatorial = truth.geometry().kind != kinematics::Kind::AltAzimuth;
    let good = |axis: usize, pushed: bool| {
        let play = truth.play(axis);
        match play.contact {
            _ if play.gap <= Angle::from_arcsec(0.1) => true,
            Contact::Driving => true,
            Contact::Leading => play.loaded || !pushed,
            Contact::None => false,
        }
    };
    good(0, equatorial) && good(1, false)
}
