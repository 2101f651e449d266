//! The page does a step of a lesson by itself: the same lines, the same waiting, only faster.

use crate::lesson::{Deed, Show};
use crate::room::Room;
use std::sync::Arc;
use tokio::time::Duration;
use units::Span;

/// A wait takes so many seconds on the wall, at most.
const WALL_SECONDS: f64 = 4.0;
/// And time runs at most so fast meanwhile.
const FASTEST: f64 = 300.0;
/// Touches of a key by which a target is centred, at most.
const CENTRINGS_MOST: usize = 12;
const LOOK_AGAIN: Duration = Duration::from_millis(20);

/// Begins to show the present step of the lesson.
///
/// # Errors
/// A sentence, if there is nothing to show or something is being shown.
pub(crate) fn step(room: &Arc<Room>) -> Result<(), String> {
    let shows = {
        let desk = room.desk();
        let running = desk.running.as_ref().ok_or("no lesson is under way")?;
        let step = running.step().ok_or("all steps are done")?;
        running.lesson.steps[step].show.clone()
    };
    begin(room, shows)
}

/// Begins to bring the target to the middle.
///
/// # Errors
/// A sentence, if something is being shown.
pub(crate) fn centre(room: &Arc<Room>) -> Result<(), String> {
    begin(room, vec![Show { line: None, wait: None, set: None, to: None, knock: None, centre: Some(true) }])
}

fn begin(room: &Arc<Room>, shows: Vec<Show>) -> Result<(), String> {
    if std::mem::replace(&mut room.desk().showing, true) {
        return Err("the page is at something already".to_owned());
    }
    let room = Arc::clone(room);
    tokio::spawn(async move {
        for show in &shows {
            if !goes_on(&room) {
                break;
            }
            one(&room, show).await;
        }
        room.end_showing();
        room.tell_room();
    });
    Ok(())
}

fn goes_on(room: &Room) -> bool {
    !*room.ending.borrow() && room.desk().showing
}

async fn one(room: &Room, show: &Show) {
    match show.deed() {
        Ok(Deed::Line(line)) => {
            room.say(line);
        }
        Ok(Deed::Wait(seconds)) => pass(room, seconds).await,
        Ok(Deed::Centre) => {
            for _ in 0..CENTRINGS_MOST {
                let Some((line, lasts)) = room.handle.with(bench::live::Live::centring) else { break };
                room.say(&line);
                pass(room, lasts.seconds()).await;
            }
        }
        // What can't be done now shows in the step's not being done.
        Ok(Deed::Set(name, value)) => {
            let _ = room.set_error(name, value);
            room.tell_room();
        }
        Ok(Deed::Knock(arcmin)) => {
            let _ = room.knock(arcmin);
        }
        Err(problem) => unreachable!("a lesson's deeds are checked when it is read: {problem}"),
    }
}

/// Lets so many seconds of the mount's time pass.
async fn pass(room: &Room, seconds: f64) {
    let until = room.handle.with(|live| live.now() + Span::from_seconds(seconds));
    room.set_speed((seconds / WALL_SECONDS).clamp(1.0, FASTEST));
    while goes_on(room) && room.handle.with(|live| live.now() < until) {
        tokio::time::sleep(LOOK_AGAIN).await;
    }
    if goes_on(room) {
        room.set_speed(1.0);
    }
}
