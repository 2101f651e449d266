//! Verbs that move nothing.

use super::probe::{Fault, Probe, ok, value};
use units::{Length, Quantity};

pub(super) async fn identify(probe: &mut Probe) -> Result<(), Fault> {
    let reply = probe.ask("identify").await?;
    value(&reply, "device")?;
    value(&reply, "language")?;
    let kind = value(&reply, "kind")?;
    if ["german-equatorial", "fork-equatorial", "alt-azimuth"].contains(&kind.as_str()) {
        return Ok(());
    }
    Err(Fault::Broken(format!("kind={kind} is no kind of mount")))
}

pub(super) async fn help(probe: &mut Probe) -> Result<(), Fault> {
    let verbs = value(&probe.ask("help").await?, "verbs")?;
    for needed in ["identify", "help", "site", "goto", "stop", "status", "axes"] {
        if !verbs.split(',').any(|verb| verb == needed) {
            return Err(Fault::Broken(format!("the verb {needed} was expected among `{verbs}`")));
        }
    }
    for verb in verbs.split(',') {
        value(&probe.ask(&format!("help {verb}")).await?, "purpose")?;
    }
    Ok(())
}

pub(super) async fn stop(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["stop", "stop", "STOP"] {
        let reply = probe.ask(line).await?;
        ok(&reply)?;
        value(&reply, "job")?;
        value(&reply, "seconds")?;
    }
    Ok(())
}

pub(super) async fn status_and_axes(probe: &mut Probe) -> Result<(), Fault> {
    let axes = probe.ask("axes").await?;
    let status = probe.ask("status").await?;
    value(&status, "state")?;
    let Some(dials) = protocol::read_reply(&axes).and_then(|read| read.outcome.ok()) else {
        return Err(Fault::Broken(format!("dials were expected, not `{axes}`")));
    };
    let dials: Vec<&str> =
        dials.iter().map(|(key, _)| key.as_str()).filter(|key| key.ends_with("_dial")).collect();
    if dials.len() != 2 {
        return Err(Fault::Broken(format!("two dials were expected, not `{axes}`")));
    }
    dials.iter().try_for_each(|dial| value(&status, dial).map(drop))
}

pub(super) async fn site(probe: &mut Probe) -> Result<(), Fault> {
    let before = value(&probe.ask("site").await?, "height")?;
    let reply = probe.ask("site height=1234m").await?;
    if reply.starts_with("no 21 ") {
        return Err(Fault::NotApplicable("the mount is busy".to_owned()));
    }
    ok(&reply)?;
    let told = value(&probe.ask("site").await?, "height")?;
    // Put back before it is judged.
    ok(&probe.ask(&format!("site height={before}")).await?)?;
    let height = Length::parse(&told).map_err(|_| Fault::Broken(format!("height={told} is no length")))?;
    // Replies may be printed to the centimetre or coarser, not to more than half a metre.
    if (height.metres() - 1234.0).abs() > 0.5 {
        return Err(Fault::Broken(format!("height=1234m was expected, not {told}")));
    }
    Ok(())
}
