//! The line language against a small model of it, written from its page and sharing no code with it: after any sequence of
//! requests from two connections both agree on every answer, every state and every job.
//!
//! 256 sequences of up to 60 steps; `PROPTEST_CASES=10000` for more.

use proptest::prelude::*;
use protocol::{Device as _, Session, read_reply};
use std::sync::OnceLock;
use tests::mount::{NIGHT, night};
use units::Span;
use world::World;

#[derive(Clone, Debug)]
enum Step {
    /// By which of two connections.
    Say(usize, Ask),
    /// Long enough for whatever is under way to end.
    Wait,
}

#[derive(Clone, Debug)]
enum Ask {
    Goto(i32, i32),
    Track(bool),
    Home,
    Park,
    Unpark,
    Stop,
    Cancel(u64),
    Await(u64),
    Height(u32),
    GuideRate(u32),
    Over(u32),
    Take,
    Release,
    Mute(bool),
    Nonsense,
}

impl Ask {
    fn line(&self) -> String {
        match self {
            Self::Goto(hour, declination) => {
                format!("goto hour_axis={hour}deg declination_axis={declination}deg")
            }
            Self::Track(true) => "track rate=sidereal".to_owned(),
            Self::Track(false) => "track rate=off".to_owned(),
            Self::Home => "home".to_owned(),
            Self::Park => "park".to_owned(),
            Self::Unpark => "unpark".to_owned(),
            Self::Stop => "stop".to_owned(),
            Self::Cancel(job) => format!("cancel job={job}"),
            Self::Await(job) => format!("await job={job} within=1s"),
            Self::Height(metres) => format!("site height={metres}m"),
            Self::GuideRate(rate) => format!("guide-rate rate={rate}arcsec/s"),
            Self::Over(degrees) => format!("meridian over_run={degrees}deg"),
            Self::Take => "controls action=take".to_owned(),
            Self::Release => "controls action=release".to_owned(),
            Self::Mute(true) => "events kind=arrived show=off".to_owned(),
            Self::Mute(false) => "events kind=arrived show=on".to_owned(),
            Self::Nonsense => "goto hour_axis=12 declination_axis=1deg".to_owned(),
        }
    }

    /// Whether only the holder of the controls may say it.
    fn acts(&self) -> bool {
        !matches!(
            self,
            Self::Stop | Self::Await(_) | Self::Take | Self::Release | Self::Mute(_) | Self::Nonsense
        )
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Work {
    Goto,
    Home,
    Park,
    Braking,
}

#[derive(Debug, Default)]
struct Model {
    work: Option<Work>,
    tracking: bool,
    parked: bool,
    /// Kind and state of each job, the first one first.
    jobs: Vec<(&'static str, &'static str)>,
    holder: Option<usize>,
    muted: [bool; 2],
    height: u32,
    guide: u32,
}

const BUSY: Result<(), u16> = Err(21);

impl Model {
    /// What must come of a line: nothing, or a refusal's number.
    fn say(&mut self, who: usize, ask: &Ask) -> Result<(), u16> {
        if matches!(ask, Ask::Nonsense) {
            return Err(14);
        }
        if ask.acts() && self.holder.is_some_and(|holder| holder != who) {
            return Err(22);
        }
        match *ask {
            Ask::Goto(..) => self.begin(Work::Goto, "goto"),
            Ask::Home => self.begin(Work::Home, "home"),
            Ask::Park => self.begin(Work::Park, "park"),
            Ask::Track(on) => {
                if self.work.is_some() {
                    return BUSY;
                }
                if on && self.parked {
                    return Err(36);
                }
                self.tracking = on;
                Ok(())
            }
            Ask::Unpark => {
                self.parked = false;
                Ok(())
            }
            Ask::Stop => {
                self.stop();
                Ok(())
            }
            Ask::Cancel(job) => {
                if self.state_of(job)? == "under-way" {
                    self.stop();
                }
                Ok(())
            }
            Ask::Await(job) => self.state_of(job).map(drop),
            Ask::Height(metres) => {
                if self.work.is_some() {
                    return BUSY;
                }
                self.height = metres;
                Ok(())
            }
            Ask::GuideRate(rate) => {
                self.guide = rate;
                Ok(())
            }
            Ask::Over(_) => {
                if self.work.is_some() {
                    BUSY
                } else {
                    Ok(())
                }
            }
            Ask::Take => match self.holder {
                Some(holder) if holder != who => Err(22),
                _ => {
                    self.holder = Some(who);
                    Ok(())
                }
            },
            Ask::Release => {
                self.holder.take_if(|holder| *holder == who);
                Ok(())
            }
            Ask::Mute(muted) => {
                self.muted[who] = muted;
                Ok(())
            }
            Ask::Nonsense => unreachable!("it was refused"),
        }
    }

    fn begin(&mut self, work: Work, word: &'static str) -> Result<(), u16> {
        if self.work.is_some() {
            return BUSY;
        }
        if self.parked {
            return Err(36);
        }
        self.work = Some(work);
        self.tracking = false;
        self.jobs.push((word, "under-way"));
        Ok(())
    }

    /// Whether there is anything to brake the mount's own answer says: a motion that began at this very instant has none.
    fn stop(&mut self) {
        if let Some(Work::Goto | Work::Home | Work::Park) = self.work {
            self.jobs.last_mut().expect("one is under way").1 = "stopped";
            self.work = Some(Work::Braking);
        }
        self.tracking = false;
    }

    /// Eight are remembered.
    fn state_of(&self, job: u64) -> Result<&'static str, u16> {
        let known = job >= 1 && job as usize <= self.jobs.len() && job as usize + 8 > self.jobs.len();
        if known { Ok(self.jobs[job as usize - 1].1) } else { Err(37) }
    }

    fn wait(&mut self) {
        if let Some(work) = self.work.take().filter(|work| *work != Work::Braking) {
            self.jobs.last_mut().expect("one is under way").1 = "arrived";
            self.parked = work == Work::Park;
        }
    }

    fn state(&self) -> &'static str {
        match self.work {
            Some(Work::Braking) => "stopping",
            Some(_) => "slewing",
            None if self.tracking => "tracking",
            None if self.parked => "parked",
            None => "resting",
        }
    }

    fn listed(&self) -> String {
        let latest =
            (1..).zip(&self.jobs).map(|(number, (word, state)): (u32, _)| format!("{number}:{word}:{state}"));
        let latest: Vec<String> = latest.collect::<Vec<_>>().into_iter().rev().take(8).collect();
        if latest.is_empty() { "none".to_owned() } else { latest.join(",") }
    }
}

fn ask() -> impl Strategy<Value = Ask> {
    prop_oneof![
        4 => (-100..-20i32, 10..80i32).prop_map(|(hour, declination)| Ask::Goto(hour, declination)),
        2 => any::<bool>().prop_map(Ask::Track),
        2 => Just(Ask::Stop),
        2 => (0..12u64).prop_map(|job| Ask::Cancel(job + 1)),
        1 => (0..12u64).prop_map(|job| Ask::Await(job + 1)),
        1 => Just(Ask::Home),
        1 => Just(Ask::Park),
        1 => Just(Ask::Unpark),
        1 => (0..3000u32).prop_map(Ask::Height),
        1 => (1..15u32).prop_map(Ask::GuideRate),
        1 => (0..20u32).prop_map(Ask::Over),
        1 => Just(Ask::Take),
        1 => Just(Ask::Release),
        1 => any::<bool>().prop_map(Ask::Mute),
        1 => Just(Ask::Nonsense),
    ]
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        4 => (0..2usize, ask()).prop_map(|(who, ask)| Step::Say(who, ask)),
        1 => Just(Step::Wait),
    ]
}

/// A fresh mount of the shared night.
fn world() -> World {
    static PREPARED: OnceLock<bench::Prepared> = OnceLock::new();
    PREPARED.get_or_init(|| night(NIGHT)).world()
}

fn lines(world: &mut World, session: Session, line: &str) -> Vec<String> {
    let mut bytes = Vec::new();
    world.transmit(session, &mut bytes);
    bytes.clear();
    world.receive(session, format!("{line}\n").as_bytes());
    world.transmit(session, &mut bytes);
    String::from_utf8(bytes).expect("ASCII").lines().map(str::to_owned).collect()
}

fn field(world: &mut World, session: Session, line: &str, key: &str) -> String {
    let said = lines(world, session, line);
    read_reply(&said[0])
        .and_then(|read| read.get(key).map(str::to_owned))
        .unwrap_or_else(|| panic!("{said:?}"))
}

fn holds(steps: &[Step]) {
    let mut world = world();
    let sessions = [world.connect(), world.connect()];
    let mut model = Model { height: 440, guide: 7, ..Model::default() };
    lines(&mut world, sessions[0], "guide-rate rate=7arcsec/s");
    for step in steps {
        let Step::Say(who, ask) = step else {
            // Twice round at the slowest of both axes, and braking.
            let until = world.now() + Span::from_whole_seconds(200);
            world.advance_to(until);
            model.wait();
            continue;
        };
        let before = world.controller().state_digest();
        let said = lines(&mut world, sessions[*who], &ask.line());
        assert_eq!(said.len(), 1, "{said:?}");
        let reply = read_reply(&said[0]).unwrap_or_else(|| panic!("{said:?}"));
        let braked = model.tracking && model.work.is_none();
        let expected = model.say(*who, ask);
        // From tracking there is something to brake unless it began at this instant: the reply says how long.
        if braked && matches!(ask, Ask::Stop) && reply.get("seconds") != Some("0.000s") {
            model.work = Some(Work::Braking);
        }
        let found = reply.outcome.map(drop).map_err(|(number, ..)| number);
        assert_eq!(found, expected, "{ask:?} in {model:?}");
        if found.is_err() {
            assert_eq!(
                world.controller().state_digest(),
                before,
                "{ask:?} was refused and changed something"
            );
        }
        assert_eq!(field(&mut world, sessions[0], "status", "state"), model.state(), "after {ask:?}");
        assert_eq!(field(&mut world, sessions[1], "jobs", "jobs"), model.listed(), "after {ask:?}");
        assert_eq!(field(&mut world, sessions[0], "site", "height"), format!("{}.000m", model.height));
        assert_eq!(
            field(&mut world, sessions[0], "guide-rate", "rate"),
            format!("{}.0000arcsec/s", model.guide)
        );
        for (who, session) in sessions.iter().enumerate() {
            let holder = match model.holder {
                None => "nobody",
                Some(holder) if holder == who => "this",
                Some(_) => "another",
            };
            assert_eq!(field(&mut world, *session, "controls", "holder"), holder);
            let silent = if model.muted[who] { "arrived" } else { "none" };
            assert_eq!(field(&mut world, *session, "events", "silent"), silent);
        }
    }
}

#[test]
fn a_line_that_is_no_request_is_refused_and_changes_nothing() {
    holds(&[Step::Say(0, Ask::Nonsense)]);
}

proptest! {
    // Nothing is written beside the sources; what fails is shown, shrunk, and belongs into a test of its own.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_mount_does_what_the_model_does(steps in prop::collection::vec(step(), 1..60)) {
        holds(&steps);
    }
}
