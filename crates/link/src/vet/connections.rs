//! Several connections, and what is left of one that has ended.

use super::motion;
use super::probe::{Fault, Probe, ok, value};
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
