//! Requests, replies, refusals and checks.

use super::probe::{Fault, Probe, ok, refused, value};
use protocol::check::{self, Checked};
use units::{Angle, Length, Pressure, Quantity, Share, Temperature};

pub(super) async fn one_reply_each(probe: &mut Probe) -> Result<(), Fault> {
    probe.send(b"@a identify\n@b nonsense\n@c axes\n@d identify\n").await?;
    for begin in ["ok @a ", "no @b ", "ok @c ", "ok @d "] {
        let reply = probe.reply().await?;
        if !reply.starts_with(begin) {
            return Err(Fault::Broken(format!("a reply with `{begin}` was expected, not `{reply}`")));
        }
    }
    probe.silence().await
}

pub(super) async fn tags(probe: &mut Probe) -> Result<(), Fault> {
    for tag in ["7", "a", "Zz99", "12345678"] {
        let reply = probe.ask(&format!("@{tag} identify")).await?;
        if !reply.starts_with(&format!("ok @{tag} ")) {
            return Err(Fault::Broken(format!("the tag @{tag} was expected in `{reply}`")));
        }
        let reply = probe.ask(&format!("@{tag} nonsense")).await?;
        if !reply.starts_with(&format!("no @{tag} ")) {
            return Err(Fault::Broken(format!("the tag @{tag} was expected in `{reply}`")));
        }
    }
    let reply = probe.ask("identify").await?;
    if reply.contains('@') {
        return Err(Fault::Broken(format!("no tag was expected in `{reply}`")));
    }
    Ok(())
}

pub(super) async fn bad_tags(probe: &mut Probe) -> Result<(), Fault> {
    for tag in ["@123456789", "@", "@a-b"] {
        refused(&probe.ask(&format!("{tag} identify")).await?, 10)?;
    }
    Ok(())
}

pub(super) async fn case(probe: &mut Probe) -> Result<(), Fault> {
    ok(&probe.ask("IDENTIFY").await?)?;
    ok(&probe.ask("Status GROUP=Pointing").await?)
}

pub(super) async fn unreadable(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["=", "7", "status group", "status group=", "status group=\"motion", "site height==4m"] {
        refused(&probe.ask(line).await?, 10)?;
    }
    Ok(())
}

pub(super) async fn unknown_verb(probe: &mut Probe) -> Result<(), Fault> {
    refused(&probe.ask("nonsense").await?, 11)?;
    refused(&probe.ask("nonsense height=4m").await?, 11)
}

pub(super) async fn unknown_key(probe: &mut Probe) -> Result<(), Fault> {
    refused(&probe.ask("site nonsense=4m").await?, 12)?;
    refused(&probe.ask("identify nonsense=4m").await?, 12)
}

pub(super) async fn missing_key(probe: &mut Probe) -> Result<(), Fault> {
    refused(&probe.ask("goto").await?, 13)?;
    refused(&probe.ask("goto altitude=40deg").await?, 13)
}

pub(super) async fn bare_number(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["site height=440", "site latitude=40.5", "site pressure=965", "site humidity=0.6"] {
        refused(&probe.ask(line).await?, 14)?;
    }
    Ok(())
}

pub(super) async fn out_of_range(probe: &mut Probe) -> Result<(), Fault> {
    for line in
        ["site latitude=90.01deg", "site latitude=-90.01deg", "site humidity=101%", "site height=1e9m"]
    {
        refused(&probe.ask(line).await?, 15)?;
    }
    Ok(())
}

pub(super) async fn repeated_key(probe: &mut Probe) -> Result<(), Fault> {
    refused(&probe.ask("site height=1m height=1m").await?, 16)
}

pub(super) async fn conflicting_keys(probe: &mut Probe) -> Result<(), Fault> {
    refused(&probe.ask("goto name=Vega altitude=40deg azimuth=10deg").await?, 17)
}

pub(super) async fn refusal_form(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["@r nonsense", "@r goto", "@r site height=440", "@r goto name=\"a \\\"quoted\\\" name\""] {
        let reply = probe.ask(line).await?;
        let tagged = protocol::read_reply(&reply).filter(|read| {
            read.tag.as_ref().is_some_and(|tag| tag.as_str() == "r")
                && matches!(&read.outcome, Err((number, word, sentence))
                    if *number >= 10 && !word.is_empty() && !sentence.is_empty())
        });
        if tagged.is_none() {
            let form = "no @r NUMBER WORD \"SENTENCE\"";
            return Err(Fault::Broken(format!("`{form}` was expected, not `{reply}`")));
        }
    }
    Ok(())
}

pub(super) async fn quotes(probe: &mut Probe) -> Result<(), Fault> {
    ok(&probe.ask("status group=\"motion\"").await?)?;
    // Well formed, and no object's name.
    refused(&probe.ask("goto name=\"no \\\"such\\\" \\\\ thing\"").await?, 30)
}

pub(super) async fn nothing_half_done(probe: &mut Probe) -> Result<(), Fault> {
    let before = probe.ask("site").await?;
    ok(&before)?;
    // The first pair is good by itself in each of them.
    for line in [
        "site height=1234m latitude=91deg",
        "site height=1234m nonsense=1m",
        "site height=1234m pressure=965",
    ] {
        let reply = probe.ask(line).await?;
        if !reply.starts_with("no ") {
            return Err(Fault::Broken(format!("a refusal was expected, not `{reply}`")));
        }
        let after = probe.ask("site").await?;
        if after != before {
            return Err(Fault::Broken(format!("`{before}` was expected still, not `{after}`")));
        }
    }
    Ok(())
}

pub(super) async fn units_in_replies(probe: &mut Probe) -> Result<(), Fault> {
    fn carries<Q: Quantity>(reply: &str, key: &str) -> Result<(), Fault> {
        let value = value(reply, key)?;
        Q::parse(&value).map(drop).map_err(|_| Fault::Broken(format!("{key}={value} has no unit that fits")))
    }
    let site = probe.ask("site").await?;
    carries::<Angle>(&site, "latitude")?;
    carries::<Angle>(&site, "longitude")?;
    carries::<Length>(&site, "height")?;
    carries::<Pressure>(&site, "pressure")?;
    carries::<Temperature>(&site, "temperature")?;
    carries::<Share>(&site, "humidity")?;
    let pointing = probe.ask("status group=pointing").await?;
    carries::<Angle>(&pointing, "azimuth")?;
    carries::<Angle>(&pointing, "altitude")
}

fn with_check(line: &str) -> String {
    let mut line = line.to_owned();
    check::append(&mut line);
    line
}

pub(super) async fn checks(probe: &mut Probe) -> Result<(), Fault> {
    for line in ["@c identify", "identify", "@c nonsense"] {
        let reply = probe.ask(&with_check(line)).await?;
        if !matches!(check::take(&reply), Checked::Good(_)) {
            return Err(Fault::Broken(format!("a check that fits was expected at the end of `{reply}`")));
        }
        let reply = probe.ask(line).await?;
        if !matches!(check::take(&reply), Checked::Absent(_)) {
            return Err(Fault::Broken(format!("no check was expected at the end of `{reply}`")));
        }
    }
    Ok(())
}

pub(super) async fn damaged(probe: &mut Probe) -> Result<(), Fault> {
    let before = probe.ask("site").await?;
    let good = with_check("site height=1234m");
    for bad in
        [good.replace("1234", "1243"), good.replace("site", "sIte"), format!("{}0", &good[..good.len() - 1])]
    {
        if bad == good {
            continue;
        }
        refused(check_free(&probe.ask(&bad).await?), 20)?;
    }
    let after = probe.ask("site").await?;
    if after != before {
        return Err(Fault::Broken(format!("`{before}` was expected still, not `{after}`")));
    }
    Ok(())
}

pub(super) async fn lower_case_check(probe: &mut Probe) -> Result<(), Fault> {
    // Tags until the check has a letter in it: six hexadecimal digits of sixteen are letters.
    let lower = (0..100).find_map(|number| {
        let line = with_check(&format!("@{number} identify"));
        let (body, digits) = line.split_at(line.len() - 4);
        let lower = digits.to_ascii_lowercase();
        (lower != digits).then(|| format!("{body}{lower}"))
    });
    let Some(line) = lower else {
        return Err(Fault::NotApplicable("no check with a letter was found".to_owned()));
    };
    refused(check_free(&probe.ask(&line).await?), 20)
}

/// A reply without its check, if it has one: whether a damaged line is answered with one is left open.
fn check_free(reply: &str) -> &str {
    match check::take(reply) {
        Checked::Good(body) | Checked::Absent(body) => body,
        Checked::Bad => reply,
    }
}
