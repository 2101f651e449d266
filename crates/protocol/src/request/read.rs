//! From the keys of a line to its request, verb by verb.

use super::Request;
use super::faults::*;
use super::keys::Keys;
use super::types::*;
use crate::refusal::{Refusal, RefusalKind};
use crate::reply::EventKind;
use crate::words::Words;
use units::Angle;

type Read<T> = Result<T, Refusal>;

/// The request of a verb other than `help`.
pub(super) fn request(verb: &str, keys: &Keys<'_>) -> Read<Request> {
    if keys.has("seq") {
        // The number is no part of what is asked; whoever answers looks at it.
        keys.count("seq")?;
    }
    Ok(match verb {
        "identify" => Request::Identify,
        "version" => Request::Version,
        "site" => Request::Site(site(keys)?),
        "time" => Request::Time(keys.civil_time("utc")?),
        "track" => Request::Track(TrackEntry { rate: rate(keys)?, axes: keys.choice("axes")? }),
        "goto" => Request::Goto { aim: aim(keys)?, side: keys.choice("solution")?.unwrap_or(Side::Auto) },
        "nudge" => nudge(keys)?,
        "release" => Request::Release,
        "guide" => Request::Guide {
            direction: keys.needed("direction", keys.choice("direction")?)?,
            span: keys.needed("for", keys.span("for")?)?,
        },
        "guide-rate" => Request::GuideRate(keys.rate("rate")?),
        "stop" => Request::Stop,
        "sync" => Request::Sync(seen(keys)?),
        "park" => Request::Park,
        "unpark" => Request::Unpark,
        "home" => Request::Home,
        "align" => Request::Align(align(keys)?),
        "propose" => Request::Propose {
            next: keys.choice::<Yes>("next")?.is_some(),
            purpose: keys.choice("for")?.unwrap_or(Purpose::Sighting),
        },
        "questions" => Request::Questions(keys.count("entry")?),
        "verify" => Request::Verify(keys.needed("name", keys.text("name").map(str::to_owned))?),
        "moved" => Request::Moved(keys.needed("part", keys.choice("part")?)?),
        "polar-axis" => Request::PolarAxis,
        "polar-offset" => Request::PolarOffset(keys.needed("name", keys.text("name").map(str::to_owned))?),
        "polar-done" => Request::PolarDone(keys.needed("name", keys.text("name").map(str::to_owned))?),
        "next-star" => Request::NextStar(RankEntry {
            entry: keys.count("entry")?.unwrap_or(1),
            by: keys.choice("criterion")?.unwrap_or(RankedBy::Average),
        }),
        "sight" => Request::Sight(SightEntry {
            name: keys.needed("name", keys.text("name").map(str::to_owned))?,
            replaces: keys.choice("replaces")?.unwrap_or(Replaced::None),
            anyway: keys.choice::<Yes>("anyway")?.is_some(),
        }),
        "sightings" => Request::Sightings(keys.count("entry")?),
        "forget" => Request::Forget { entry: keys.needed("entry", keys.count("entry")?)? },
        "keep" => Request::Keep(keys.choice("alignment")?),
        "model" => Request::Model(keys.text("term").map(str::to_owned)),
        "record" => Request::Record { turns: keys.needed("turns", keys.count("turns")?)? },
        "playback" => Request::Playback(keys.word("state")?.map(|word| word == "on")),
        "measure-play" => Request::MeasurePlay(measured_play(keys)?),
        "approach" => Request::Approach(ApproachEntry {
            last: keys.choice("final")?,
            overshoot: keys.angle("overshoot")?,
        }),
        "take-up" => Request::TakeUp(AxisEntry {
            hour: keys.angle("hour_axis")?,
            declination: keys.angle("declination_axis")?,
            azimuth: keys.angle("azimuth_axis")?,
            altitude: keys.angle("altitude_axis")?,
        }),
        "solution" => Request::Solution(keys.choice("choice")?),
        "meridian" => Request::Meridian(MeridianEntry {
            policy: keys.choice("policy")?,
            over_run: keys.angle("over_run")?,
        }),
        "limits" => Request::Limits(LimitsEntry {
            lowest: keys.angle("lowest")?,
            highest: keys.angle("highest")?,
            cable_wrap: keys.angle("cable_wrap")?,
            zenith_zone: keys.angle("zenith_zone")?,
        }),
        "horizon" => Request::Horizon(keys.angle("level")?),
        "sun" => Request::Sun(keys.angle("radius")?),
        "status" => Request::Status(keys.choice("group")?.unwrap_or(StatusGroup::Motion)),
        "axes" => Request::Axes,
        "jobs" => Request::Jobs,
        "await" => Request::Await {
            job: keys.needed("job", keys.count("job")?)?,
            within: keys.needed("within", keys.span("within")?)?,
        },
        "cancel" => Request::Cancel { job: keys.needed("job", keys.count("job")?)? },
        "errors" => Request::Errors(errors(keys)?),
        "events" => Request::Events(events(keys)?),
        "controls" => Request::Controls(keys.choice("action")?),
        "checks" => Request::Checks(keys.word("demand")?.map(|word| word == "yes")),
        "clock" => Request::Clock(clock(keys)?),
        "fault" => Request::Fault(fault(keys)?),
        "faults" => Request::Faults(faults(keys)?),
        other => unreachable!("the verb {other} is in the table but is not read"),
    })
}

fn align(keys: &Keys<'_>) -> Read<AlignEntry> {
    let entry = AlignEntry { method: keys.choice("method")?, estimator: keys.choice("estimator")? };
    if entry.estimator.is_some()
        && matches!(entry.method, None | Some(AlignMethod::None | AlignMethod::Resume))
    {
        let sentence = "the key estimator goes with a method that begins with stars";
        return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
    }
    Ok(entry)
}

fn measured_play(keys: &Keys<'_>) -> Read<PlayEntry> {
    let entry = PlayEntry {
        name: keys.needed("name", keys.text("name").map(str::to_owned))?,
        centring: keys.needed("centring", keys.choice("centring")?)?,
        set: keys.choice::<Yes>("set")?.is_some(),
    };
    if entry.set && entry.centring == Centring::First {
        let sentence = "the key set goes with centring=second: the play is known only then";
        return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
    }
    Ok(entry)
}

fn site(keys: &Keys<'_>) -> Read<SiteEntry> {
    Ok(SiteEntry {
        latitude: keys.angle("latitude")?,
        longitude: keys.angle("longitude")?,
        height: keys.length("height")?,
        pressure: keys.pressure("pressure")?,
        temperature: keys.temperature("temperature")?,
        humidity: keys.share("humidity")?,
    })
}

fn rate(keys: &Keys<'_>) -> Read<Option<Rate>> {
    let (hour, declination) = (keys.rate("hour")?, keys.rate("declination")?);
    let word = keys.word("rate")?;
    if word == Some("custom") {
        let hour = keys.needed("hour", hour)?;
        return Ok(Some(Rate::Custom { hour, declination: declination.unwrap_or_default() }));
    }
    if hour.is_some() || declination.is_some() {
        let sentence = "the keys hour and declination go with rate=custom alone";
        return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
    }
    Ok(word.map(|word| match word {
        "off" => Rate::Off,
        "sidereal" => Rate::Sidereal,
        "solar" => Rate::Solar,
        "lunar" => Rate::Lunar,
        "refraction-averaged" => Rate::RefractionAveraged,
        other => unreachable!("the rate {other} is in the table but is not read"),
    }))
}

fn nudge(keys: &Keys<'_>) -> Read<Request> {
    let end = match (keys.span("for")?, keys.span("hold")?) {
        (Some(_), Some(_)) => {
            let sentence = "for and hold exclude each other: a nudge lasts a while, or is held";
            return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
        }
        (Some(span), None) => NudgeEnd::For(span),
        (None, hold) => NudgeEnd::Held(hold),
    };
    Ok(Request::Nudge {
        direction: keys.needed("direction", keys.choice("direction")?)?,
        rate: keys.needed("rate", keys.choice("rate")?)?,
        end,
    })
}

fn seen(keys: &Keys<'_>) -> Read<Seen> {
    keys.exactly_one_of(&[&["name"], &["ra", "dec"]])?;
    if let Some(name) = keys.text("name") {
        return Ok(Seen::Name(name.to_owned()));
    }
    let ra = keys.needed("ra", keys.angle("ra")?)?;
    Ok(Seen::Equatorial { ra, dec: keys.needed("dec", keys.angle("dec")?)? })
}

fn events(keys: &Keys<'_>) -> Read<EventsEntry> {
    let kind: Option<EventKind> = keys.choice("kind")?;
    let show = keys.word("show")?.map(|word| word == "on");
    if kind.is_some() {
        keys.needed("show", show)?;
    }
    Ok(EventsEntry { kind, show })
}

fn errors(keys: &Keys<'_>) -> Read<ErrorsEntry> {
    let entry = keys.count("entry")?;
    match (keys.word("clear")?, entry) {
        (None, entry) => Ok(ErrorsEntry::Show(entry)),
        (Some(_), None) => Ok(ErrorsEntry::Clear),
        (Some(_), Some(_)) => {
            let sentence = "entry and clear exclude each other";
            Err(Refusal::new(RefusalKind::ConflictingKeys, sentence))
        }
    }
}

fn clock(keys: &Keys<'_>) -> Read<ClockEntry> {
    let (by, until, within) = (keys.span("by")?, keys.word("until")?, keys.span("within")?);
    let conflict = |sentence| Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
    match (by, until, within) {
        (Some(_), Some(_), _) => conflict("by and until exclude each other"),
        (_, None, Some(_)) => conflict("the key within goes with until=event alone"),
        (Some(by), None, None) => Ok(ClockEntry::By(by)),
        (None, Some(_), within) => Ok(ClockEntry::UntilEvent(within.unwrap_or(CLOCK_WITHIN))),
        (None, None, None) => Ok(ClockEntry::Show),
    }
}

fn fault(keys: &Keys<'_>) -> Read<FaultEntry> {
    let kind: FaultKind = keys.needed("kind", keys.choice("kind")?)?;
    Ok(FaultEntry {
        direction: keys.choice("direction")?,
        after: keys.span("after")?,
        lasts: keys.span("for")?,
        strikes: strikes(keys)?,
        burst: keys.count("burst")?,
        axis: keys.choice("axis")?,
        angle: keys.angle("angle")?,
        by: keys.span("by")?,
        delay: keys.span("delay")?,
        jitter: keys.span("jitter")?,
        bytes: keys.count("bytes")?,
        baud: keys.count("baud")?,
        ..FaultEntry::of(kind)
    })
}

fn strikes(keys: &Keys<'_>) -> Read<Strikes> {
    let correlation = keys.share("correlation")?;
    let given = [
        keys.count("every")?.map(Strikes::Every),
        keys.count("nth")?.map(Strikes::Nth),
        keys.text("line").map(|text| Strikes::Line(text.to_owned())),
        keys.share("rate")?.map(|rate| Strikes::Rate { rate, correlation }),
    ];
    let mut given = given.into_iter().flatten();
    let strikes = given.next().unwrap_or(Strikes::All);
    let conflict = |sentence| Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
    if given.next().is_some() {
        return conflict("every, nth, line and rate exclude each other");
    }
    if correlation.is_some() && !matches!(strikes, Strikes::Rate { .. }) {
        return conflict("the key correlation goes with rate alone");
    }
    Ok(strikes)
}

fn faults(keys: &Keys<'_>) -> Read<FaultsEntry> {
    let entry = keys.count("entry")?;
    Ok(match keys.word("clear")? {
        None => FaultsEntry::Show(entry),
        Some(_) => FaultsEntry::Clear(entry),
    })
}

fn aim(keys: &Keys<'_>) -> Read<Aim> {
    keys.exactly_one_of(&[
        &["name"],
        &["ra", "dec"],
        &["azimuth", "altitude"],
        &["hour_axis", "declination_axis"],
        &["azimuth_axis", "altitude_axis"],
    ])?;
    if let Some(name) = keys.text("name") {
        return Ok(Aim::Name(name.to_owned()));
    }
    let pair =
        |first, second| -> Read<Option<(Angle, Angle)>> { Ok(keys.angle(first)?.zip(keys.angle(second)?)) };
    if let Some((ra, dec)) = pair("ra", "dec")? {
        return Ok(Aim::Equatorial { ra, dec });
    }
    if let Some((azimuth, altitude)) = pair("azimuth", "altitude")? {
        return Ok(Aim::Horizontal { azimuth, altitude });
    }
    if let Some((hour, declination)) = pair("hour_axis", "declination_axis")? {
        return Ok(Aim::EquatorialAxes { hour, declination });
    }
    let (azimuth, altitude) = pair("azimuth_axis", "altitude_axis")?
        .unwrap_or_else(|| unreachable!("one of the pairs is there, as was just found"));
    Ok(Aim::HorizontalAxes { azimuth, altitude })
}

impl Keys<'_> {
    /// A word of an enumeration.
    fn choice<T: Words>(&self, key: &str) -> Read<Option<T>> {
        Ok(self.word(key)?.map(|word| {
            T::read(word).unwrap_or_else(|| unreachable!("{word} is in the table of {key} but is not read"))
        }))
    }
}
