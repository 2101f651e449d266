//! Several connections, and what is left of one that has ended.

use super::motion;
use super::probe::{Fault, Probe, ok, refused, value};
use tokio::time::Duration;

pub(super) async fn own_replies(probe: &mut Probe) -> Result<(), Fault> {
    let mut other = probe.another().await?;
    ok(&other.ask("@other identify").await?)?;
    probe.silence().await?;
    ok(&probe.ask("@one identify").await?)?;
    let result = other.silence().await;
    probe.take_notes(other);
    result
}

pub(super) async fn stop_from_anywhere(probe: &mut Probe) -> Result<(), Fault> {
    let (job, _) = motion::begin(probe, 20.0).await?;
    let mut other = probe.another().await?;
    let reply = other.ask("stop").await?;
    probe.take_notes(other);
    let ended = value(&reply, "job")?;
    if ended != job {
        return Err(Fault::Broken(format!("stop was expected to name job={job}, not job={ended}")));
    }
    probe.event(&format!("* stopped job={job}"), Duration::from_secs(10)).await.map(drop)
}

pub(super) async fn unended_line(probe: &mut Probe) -> Result<(), Fault> {
    if probe.is_real_device() {
        return Err(Fault::NotApplicable("a serial device can't know that its line was closed".to_owned()));
    }
    probe.send(b"goto name=").await?;
    // Time for it to arrive, so that it is there to be forgotten.
    tokio::time::sleep(Duration::from_millis(300)).await;
    probe.reopen().await?;
    ok(&probe.ask("identify").await?)
}

pub(super) async fn controls(probe: &mut Probe) -> Result<(), Fault> {
    probe.has("controls", None).await?;
    let mut other = probe.another().await?;
    ok(&probe.ask("controls action=take").await?)?;
    let replies = [
        other.ask("site height=1234m").await?,
        other.ask("status").await?,
        other.ask("stop").await?,
        other.ask("controls action=take").await?,
    ];
    probe.take_notes(other);
    ok(&probe.ask("controls action=release").await?)?;
    refused(&replies[0], 22)?;
    ok(&replies[1])?;
    ok(&replies[2])?;
    refused(&replies[3], 22)
}

pub(super) async fn controls_let_go(probe: &mut Probe) -> Result<(), Fault> {
    probe.has("controls", None).await?;
    let mut other = probe.another().await?;
    ok(&other.ask("controls action=take").await?)?;
    probe.take_notes(other);
    // Its end has to be noticed first.
    tokio::time::sleep(Duration::from_millis(500)).await;
    let holder = value(&probe.ask("controls").await?, "holder")?;
    if holder != "nobody" {
        return Err(Fault::Broken(format!("holder=nobody was expected, not holder={holder}")));
    }
    Ok(())
}

pub(super) async fn silenced_event(probe: &mut Probe) -> Result<(), Fault> {
    probe.has("events", None).await?;
    probe.may_move()?;
    let mut other = probe.another().await?;
    ok(&other.ask("events kind=stopped show=off").await?)?;
    let (job, _) = motion::begin(probe, 20.0).await?;
    probe.ask("stop").await?;
    let begin = format!("* stopped job={job}");
    probe.event(&begin, Duration::from_secs(10)).await?;
    let result = other.no_event(&begin).await;
    probe.take_notes(other);
    result
}
