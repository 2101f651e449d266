//! Verbs that move the axes, by a few degrees.

use super::probe::{Fault, Probe, refused, value};
use tokio::time::Duration;
use units::{Angle, Quantity, Span};

/// How far a go-to of a trial goes.
const STEP_DEGREES: f64 = 2.0;
/// Room for a mount's own clock, its settling and a slow line.
const GRACE: Duration = Duration::from_secs(10);

/// Both axes of a mount: the key of each in `goto`, and its dial.
pub(super) struct Dials {
    keys: [String; 2],
    angles: [Angle; 2],
}

pub(super) async fn dials(probe: &mut Probe) -> Result<Dials, Fault> {
    let reply = probe.ask("axes").await?;
    let pairs = protocol::read_reply(&reply).and_then(|read| read.outcome.ok()).unwrap_or_default();
    let mut found = pairs.iter().filter_map(|(key, value)| {
        Some((format!("{}_axis", key.strip_suffix("_dial")?), Angle::parse(value).ok()?))
    });
    match (found.next(), found.next()) {
        (Some((first, a)), Some((second, b))) => Ok(Dials { keys: [first, second], angles: [a, b] }),
        _ => Err(Fault::Broken(format!("two dials with their units were expected, not `{reply}`"))),
    }
}

/// The line of a small go-to from where the axes rest.
async fn small_goto(probe: &mut Probe, degrees: f64) -> Result<String, Fault> {
    probe.may_move()?;
    // What it answers is for another trial.
    probe.ask("stop").await?;
    let Dials { keys: [first, second], angles: [a, b] } = dials(probe).await?;
    // Towards zero, away from whatever end of the range is near.
    let step = if a.degrees() > 0.0 { -degrees } else { degrees };
    Ok(format!("goto {first}={:.6}deg {second}={:.6}deg", a.degrees() + step, b.degrees()))
}

/// A mount may have its reasons to stay where it is, such as the Sun.
fn went(reply: &str) -> Result<(), Fault> {
    if reply.starts_with("no ") {
        return Err(Fault::NotApplicable(format!("the mount doesn't go there: {reply}")));
    }
    Ok(())
}

/// Begins a small go-to; the job's number and how long it will take.
pub(super) async fn begin(probe: &mut Probe, degrees: f64) -> Result<(String, Duration), Fault> {
    let line = small_goto(probe, degrees).await?;
    let reply = probe.ask(&line).await?;
    went(&reply)?;
    let (job, seconds) = (value(&reply, "job")?, value(&reply, "seconds")?);
    let span = Span::parse(&seconds).map_err(|_| Fault::Broken(format!("seconds={seconds} is no time")))?;
    Ok((job, Duration::from_secs_f64(span.seconds().clamp(0.0, 600.0))))
}

pub(super) async fn arrives(probe: &mut Probe) -> Result<(), Fault> {
    let (job, seconds) = begin(probe, STEP_DEGREES).await?;
    probe.event(&format!("* arrived job={job}"), seconds + GRACE).await.map(drop)
}

pub(super) async fn stops(probe: &mut Probe) -> Result<(), Fault> {
    let (job, _) = begin(probe, 10.0 * STEP_DEGREES).await?;
    let ended = value(&probe.ask("stop").await?, "job")?;
    if ended != job {
        return Err(Fault::Broken(format!("stop was expected to name job={job}, not job={ended}")));
    }
    probe.event(&format!("* stopped job={job}"), GRACE).await.map(drop)
}

pub(super) async fn refused_moves_nothing(probe: &mut Probe) -> Result<(), Fault> {
    probe.may_move()?;
    probe.ask("stop").await?;
    // At rest, whatever tracked before.
    tokio::time::sleep(Duration::from_secs(1)).await;
    let before = probe.ask("axes").await?;
    refused(&probe.ask("goto azimuth=10deg altitude=-45deg").await?, 31)?;
    let after = probe.ask("axes").await?;
    if after != before {
        return Err(Fault::Broken(format!("`{before}` was expected still, not `{after}`")));
    }
    Ok(())
}

pub(super) async fn numbered(probe: &mut Probe) -> Result<(), Fault> {
    probe.may_move()?;
    probe.has("goto", Some("seq")).await?;
    let number = crate::client::first_number();
    // So far that it is still under way after two more lines, on a slow line, too.
    let line = format!("{} seq={number}", small_goto(probe, 10.0 * STEP_DEGREES).await?);
    let first = probe.ask(&line).await?;
    went(&first)?;
    let second = probe.ask(&line).await?;
    if second != first {
        return Err(Fault::Broken(format!("`{first}` was expected again, not `{second}`")));
    }
    let other = probe.ask(&format!("track rate=off seq={number}")).await?;
    let job = value(&first, "job")?;
    probe.ask("stop").await?;
    probe.event(&format!("* stopped job={job}"), GRACE).await?;
    refused(&other, 23)
}

pub(super) async fn dead_man(probe: &mut Probe) -> Result<(), Fault> {
    probe.may_move()?;
    probe.has("nudge", Some("hold")).await?;
    probe.ask("stop").await?;
    tokio::time::sleep(Duration::from_secs(1)).await;
    for direction in ["west", "left"] {
        let reply = probe.ask(&format!("nudge direction={direction} rate=2x hold=0.3s")).await?;
        if reply.starts_with("no 34 ") {
            continue;
        }
        went(&reply)?;
        return probe.event("* dead-man", GRACE).await.map(drop);
    }
    Err(Fault::Broken("west or left was expected to be a direction".to_owned()))
}

pub(super) async fn awaited(probe: &mut Probe) -> Result<(), Fault> {
    probe.may_move()?;
    probe.has("await", None).await?;
    let (job, seconds) = begin(probe, STEP_DEGREES).await?;
    let reply = probe.ask(&format!("await job={job} within=600s")).await?;
    value(&reply, "state")?;
    let begin = format!("* awaited job={job}");
    probe.event(&begin, seconds + GRACE).await?;
    probe.no_event(&begin).await
}
