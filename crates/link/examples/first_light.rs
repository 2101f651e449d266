//! A whole control program: take the controls, point, look where the mount believes to be, centre, watch it track, stop.
//!
//! ```text
//! nightbench serve --speed 20
//! cargo run -p link --example first_light 127.0.0.1:20530
//! ```

use link::{Address, Client, ClientError, ClientOptions};
use std::error::Error;
use std::io::Write;
use tokio::time::Duration;

/// A slew from one end of the sky to the other, on a slow mount.
const LONGEST_SLEW: Duration = Duration::from_secs(180);

/// The evening, told line by line into `out`.
pub async fn evening(address: &Address, out: &mut impl Write) -> Result<(), Box<dyn Error>> {
    // Motions get a sequence number, so that one whose reply was lost can be sent again without moving twice.
    let options = ClientOptions {
        number_motions: true,
        repeat_after: Some(Duration::from_secs(2)),
        ..ClientOptions::default()
    };
    let mount = Client::connect(address, options).await?;
    let about = mount.request("identify").await?;
    writeln!(out, "connected to a {}", about.get("kind").unwrap_or("mount"))?;

    // Others may look on and stop, but not steer.
    mount.request("controls action=take").await?;

    // A refusal is an answer like any other: it has a number for programs and a sentence for people.
    match mount.request("goto name=Regulsu").await {
        Err(ClientError::Refused { number, sentence, .. }) => {
            writeln!(out, "refused ({number}): {sentence}")?
        }
        other => writeln!(out, "unexpected: {other:?}")?,
    }

    let ended = mount.finish("goto name=Regulus", LONGEST_SLEW).await?;
    if ended.word != "arrived" {
        return Err(format!("the mount did not arrive: {ended}").into());
    }
    let pointing = mount.request("status group=pointing").await?;
    let value = |key| pointing.get(key).unwrap_or("unknown");
    writeln!(out, "arrived; it believes to point at ra={} dec={}", value("ra"), value("dec"))?;

    // The star stands a little east of the middle: centre it as a hand would.
    mount.request("nudge direction=east rate=20x for=2s").await?;
    loop {
        let status = mount.request("status").await?;
        if status.get("state") == Some("tracking") {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let before = mount.request("axes").await?;
    tokio::time::sleep(Duration::from_secs(1)).await;
    let after = mount.request("axes").await?;
    let turned = degrees(after.get("hour_dial"))? - degrees(before.get("hour_dial"))?;
    writeln!(
        out,
        "it tracks: the hour axis turned {}",
        if turned > 0.0 { "westward" } else { "not at all" }
    )?;

    mount.request("stop").await?;
    mount.request("controls action=release").await?;
    writeln!(out, "stopped")?;
    Ok(())
}

/// The number before `deg`.
fn degrees(value: Option<&str>) -> Result<f64, Box<dyn Error>> {
    let text = value.and_then(|value| value.strip_suffix("deg")).ok_or("no dial in degrees")?;
    Ok(text.parse()?)
}

#[allow(dead_code, reason = "the test of this program calls what main calls")]
#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn Error>> {
    let address = std::env::args().nth(1).ok_or("which mount? Give host:port or a path")?;
    evening(&address.parse()?, &mut std::io::stdout()).await
}
