//! Work that takes time: begun by a request, ended by an event.

use crate::Controller;
use crate::motors::Motors;
use crate::play::Come;
use protocol::{Event, EventKind, Fields, Refusal, RefusalKind};
use std::collections::VecDeque;
use units::Span;

/// How many jobs are remembered.
const REMEMBERED: usize = 8;

/// What kind of work.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Work {
    /// Going to a target.
    Goto {
        /// What it is called.
        target: String,
    },
    /// Going home.
    Home,
    /// Going home to stay.
    Park,
    /// Going to the other position.
    Flip,
    /// Coming to rest; names the job that this ended.
    Stopping {
        /// The job that was ended, if there was one.
        ended: Option<u64>,
    },
}

impl Work {
    fn word(&self) -> &'static str {
        match self {
            Self::Goto { .. } => "goto",
            Self::Home => "home",
            Self::Park => "park",
            Self::Flip => "flip",
            Self::Stopping { .. } => "stop",
        }
    }
}

/// The one job under way.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Job {
    /// Its number; a stop has none.
    pub(crate) number: Option<u64>,
    pub(crate) work: Work,
    /// When it will have ended, of the computer's time.
    pub(crate) ends: Span,
}

/// What became of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    UnderWay,
    Arrived,
    Stopped,
}

impl State {
    fn word(self) -> &'static str {
        match self {
            Self::UnderWay => "under-way",
            Self::Arrived => "arrived",
            Self::Stopped => "stopped",
        }
    }
}

#[derive(Clone, Debug)]
struct Remembered {
    number: u64,
    word: &'static str,
    state: State,
}

/// All jobs: how many were begun, what became of the latest, and who waits.
#[derive(Clone, Debug, Default)]
pub(crate) struct Jobs {
    begun: u64,
    latest: VecDeque<Remembered>,
    awaited: Option<(u64, Span)>,
}

impl Jobs {
    /// When somebody's wait is over.
    pub(crate) fn wait_ends(&self) -> Option<Span> {
        self.awaited.map(|(_, until)| until)
    }

    fn state(&self, number: u64) -> Option<State> {
        self.latest.iter().find(|job| job.number == number).map(|job| job.state)
    }

    fn end(&mut self, number: u64, state: State) {
        if let Some(job) = self.latest.iter_mut().find(|job| job.number == number) {
            job.state = state;
        }
    }
}

impl Controller {
    /// Begins a job and gives its number.
    pub(crate) fn begin_job(&mut self, work: Work, ends: Span) -> u64 {
        self.correction.interrupt();
        self.motion.come = Come::UNKNOWN;
        let number = self.begin_beside(work.word());
        self.job = Some(Job { number: Some(number), work, ends });
        number
    }

    /// Begins a job that goes on beside tracking and guiding, and gives its number.
    pub(crate) fn begin_beside(&mut self, word: &'static str) -> u64 {
        self.jobs.begun += 1;
        let number = self.jobs.begun;
        self.jobs.latest.push_front(Remembered { number, word, state: State::UnderWay });
        self.jobs.latest.truncate(REMEMBERED);
        number
    }

    /// Such a job has ended.
    pub(crate) fn end_beside(&mut self, number: u64, reached: bool) {
        self.jobs.end(number, if reached { State::Arrived } else { State::Stopped });
    }

    /// Ends the job under way if it is due, and tells of it.
    pub(crate) fn end_job(&mut self, now: Span, events: &mut Vec<Event>) {
        let Some(job) = self.job.take_if(|job| job.ends <= now) else { return };
        let named = |number: Option<u64>| match number {
            Some(number) => Fields::new().count("job", number),
            None => Fields::new().text("job", "none"),
        };
        let (kind, fields) = match &job.work {
            Work::Stopping { ended } => (EventKind::Stopped, named(*ended)),
            Work::Goto { target } => (EventKind::Arrived, named(job.number).text("target", target)),
            Work::Home | Work::Park | Work::Flip => {
                (EventKind::Arrived, named(job.number).text("target", job.work.word()))
            }
        };
        if job.work == Work::Park {
            self.parked = true;
        }
        if let Some(number) = job.number {
            self.jobs.end(number, State::Arrived);
        }
        events.push(Event { kind, fields });
    }

    /// Tells whoever waits for a job, if it has ended or the time is up.
    pub(crate) fn tell_waiting(&mut self, now: Span, events: &mut Vec<Event>) {
        let Some((number, until)) = self.jobs.awaited else { return };
        let state = self.jobs.state(number).unwrap_or(State::Stopped);
        let resting = self.job.as_ref().is_some_and(|job| job.work == Work::Stopping { ended: Some(number) });
        let over = state != State::UnderWay && !resting;
        if over || until <= now {
            self.jobs.awaited = None;
            let fields = Fields::new().count("job", number).text("state", state.word());
            events.push(Event { kind: EventKind::Awaited, fields });
        }
    }

    /// Whether the event `awaited` is due at once, since the job has ended already.
    pub(crate) fn waits_for_nothing(&self) -> bool {
        self.jobs.awaited.is_some_and(|(number, _)| {
            self.jobs.state(number) != Some(State::UnderWay)
                && !self.job.as_ref().is_some_and(|job| job.work == Work::Stopping { ended: Some(number) })
        })
    }

    pub(crate) fn stop(&mut self, now: Span, motors: &mut impl Motors) -> Fields {
        self.correction.interrupt();
        let rest = self.order_rest(now, motors);
        let ended = match self.job.take() {
            // A second stop while the first still brakes ends the same job.
            Some(Job { work: Work::Stopping { ended }, .. }) => ended,
            Some(Job { number, .. }) => number,
            None => None,
        };
        if let Some(number) = ended {
            self.jobs.end(number, State::Stopped);
        }
        // Where nothing moved and nothing was under way there is no end to tell of.
        self.job = (ended.is_some() || rest > now).then_some(Job {
            number: None,
            work: Work::Stopping { ended },
            ends: rest,
        });
        job_field(Fields::new(), ended).seconds("seconds", rest - now)
    }

    pub(crate) fn list_jobs(&self, now: Span) -> Fields {
        let all: Vec<String> = self
            .jobs
            .latest
            .iter()
            .map(|job| format!("{}:{}:{}", job.number, job.word, job.state.word()))
            .collect();
        let text = if all.is_empty() { "none".to_owned() } else { all.join(",") };
        Fields::new().text("jobs", &text).seconds("seconds", self.seconds_left(now))
    }

    pub(crate) fn await_job(&mut self, number: u64, within: Span, now: Span) -> Result<Fields, Refusal> {
        let state = self.known_job(number)?;
        self.jobs.awaited = Some((number, now + within));
        Ok(self.job_fields(number, state, now))
    }

    pub(crate) fn cancel(
        &mut self,
        number: u64,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        let state = self.known_job(number)?;
        if self.correction.ends(number).is_some() {
            self.correction.interrupt();
        } else if state == State::UnderWay {
            self.stop(now, motors);
        }
        Ok(self.job_fields(number, state, now))
    }

    fn known_job(&self, number: u64) -> Result<State, Refusal> {
        self.jobs.state(number).ok_or_else(|| {
            let sentence = match self.jobs.latest.front() {
                Some(latest) => format!("job {number} is not known; the latest is {}", latest.number),
                None => "no job was begun so far".to_owned(),
            };
            Refusal::new(RefusalKind::UnknownJob, sentence)
        })
    }

    fn job_fields(&self, number: u64, state: State, now: Span) -> Fields {
        Fields::new().count("job", number).text("state", state.word()).seconds(
            "seconds",
            self.correction.ends(number).map_or(self.seconds_left(now), |ends| ends - now),
        )
    }

    fn seconds_left(&self, now: Span) -> Span {
        let ends = self.job.as_ref().map(|job| job.ends).or(self.recording_ends());
        ends.map_or(Span::ZERO, |ends| (ends - now).max(Span::ZERO))
    }

    /// Refuses while a job, a nudge or a correction is under way.
    pub(crate) fn idle(&self) -> Result<(), Refusal> {
        self.idle_but_for_nudges()?;
        if self.motion.is_over() {
            return Err(Refusal::new(RefusalKind::Busy, "a nudge is under way; await its end or release it"));
        }
        Ok(())
    }

    /// Refuses while a job is under way.
    pub(crate) fn idle_but_for_nudges(&self) -> Result<(), Refusal> {
        match &self.job {
            None => Ok(()),
            Some(Job { number: Some(number), .. }) => {
                let sentence = format!("job {number} is under way; await its end or send stop");
                Err(Refusal::new(RefusalKind::Busy, sentence))
            }
            Some(_) => {
                Err(Refusal::new(RefusalKind::Busy, "the axes are coming to rest; await the event stopped"))
            }
        }
    }

    /// Refuses while the mount is parked.
    pub(crate) fn not_parked(&self) -> Result<(), Refusal> {
        if self.parked {
            return Err(Refusal::new(RefusalKind::Parked, "the mount is parked; send unpark first"));
        }
        Ok(())
    }
}

/// A job's number, or none.
pub(crate) fn job_field(fields: Fields, number: Option<u64>) -> Fields {
    match number {
        Some(number) => fields.count("job", number),
        None => fields.text("job", "none"),
    }
}
