//! Bytes and lines.

use super::probe::{Fault, Probe, ok, refused};
use protocol::MAX_LINE_BYTES;

pub(super) async fn both_line_ends(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["identify\n", "identify\r\n"] {
        probe.send(line.as_bytes()).await?;
        ok(&probe.reply().await?)?;
    }
    Ok(())
}

pub(super) async fn empty_lines(probe: &mut Probe) -> Result<(), Fault> {
    probe.send(b"\n\r\n\n").await?;
    probe.silence().await?;
    ok(&probe.ask("identify").await?)
}

pub(super) async fn cut_bytes(probe: &mut Probe) -> Result<(), Fault> {
    let whole = probe.ask("@cut identify").await?;
    for byte in b"@cut identify\n" {
        probe.send(&[*byte]).await?;
    }
    let cut = probe.reply().await?;
    if cut != whole {
        return Err(Fault::Broken(format!("`{whole}` was expected again, not `{cut}`")));
    }
    Ok(())
}

pub(super) async fn length(probe: &mut Probe) -> Result<(), Fault> {
    let blanks = MAX_LINE_BYTES - "identify".len();
    let longest = format!("{}identify", " ".repeat(blanks));
    ok(&probe.ask(&longest).await?)?;
    refused(&probe.ask(&format!(" {longest}")).await?, 18)?;
    refused(&probe.ask(&"x".repeat(400)).await?, 18)?;
    ok(&probe.ask("identify").await?)
}

pub(super) async fn not_text(probe: &mut Probe) -> Result<(), Fault> {
    for line in [&b"iden\x07tify\n"[..], b"identify \xc3\xa9\n", b"\x00\n"] {
        probe.send(line).await?;
        refused(&probe.reply().await?, 19)?;
    }
    ok(&probe.ask("identify").await?)
}

pub(super) async fn reply_form(probe: &mut Probe) -> Result<(), Fault> {
    for request in
        ["identify\n", "help\n", "site\n", "status\n", "nonsense\n", "goto name=\"nowhere at all\"\n"]
    {
        probe.send(request.as_bytes()).await?;
        let reply = probe.raw_reply().await?;
        if let Some(byte) = reply.iter().find(|byte| !(b' '..=b'~').contains(*byte)) {
            return Err(Fault::Broken(format!("the byte {byte:02X} (hexadecimal) in a reply")));
        }
    }
    Ok(())
}
