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

/// Begins a small go-to; the job's number and how long it will take.
pub(super) async fn begin(probe: &mut Probe, degrees: f64) -> Result<(String, Duration), Fault> {
    probe.may_move()?;
    // What it answers is for another trial.
    probe.ask("stop").await?;
    let Dials { keys: [first, second], angles: [a, b] } = dials(probe).await?;
    // Towards zero, away from whatever end of the range is near.
    let step = if a.degrees() > 0.0 { -degrees } else { degrees };
    let line = format!("goto {first}={:.6}deg {second}={:.6}deg", a.degrees() + step, b.degrees());
    let reply = probe.ask(&line).await?;
    if reply.starts_with("no ") {
        return Err(Fault::NotApplicable(format!("the mount doesn't go there: {reply}")));
    }
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
