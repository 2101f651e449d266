//! What was asked: the texts of the command line as a target, an instant, a site and its air.

use super::PlaceArguments;
use sky::catalogue::{Catalogue, Entry};
use sky::time::{self, Utc};
use sky::zones::{Civil, Zone};
use sky::{Air, Site, Source, StarPlace};
use units::{Angle, Instant, Length, Pressure, Quantity, Share, Span, Temperature};

/// What was asked, read and checked.
#[derive(Debug)]
pub struct Question {
    /// What the target is called, or its right ascension and declination as they were given.
    pub name: String,
    /// The catalogue's entry, if it was asked for by name.
    pub entry: Option<Entry>,
    /// What its places are computed from.
    pub source: Source,
    /// The instant.
    pub instant: Instant,
    /// The zone that times are printed in.
    pub zone: Zone,
    /// Site and air; without them only what is the same everywhere is answered.
    pub here: Option<(Site, Air)>,
    /// UT1 − TAI.
    pub ut1_minus_tai: Span,
}

impl Question {
    /// Reads the arguments.
    ///
    /// # Errors
    /// A sentence that says what is wrong with which of them and how to mend it.
    pub fn read(arguments: &PlaceArguments, ut1_minus_utc: Span) -> Result<Self, String> {
        let zone = match &arguments.zone {
            Some(name) => Zone::named(name).map_err(|error| format!("--zone: {error}"))?,
            None => Zone::named("UTC").map_err(|error| error.to_string())?,
        };
        let instant = match &arguments.at {
            Some(text) => instant_of(text, &zone, arguments.zone.is_some())?,
            None => now()?,
        };
        let here =
            arguments.site.as_deref().map(|text| here_of(text, arguments.air.as_deref())).transpose()?;
        let ut1_minus_tai =
            time::ut1_minus_tai(instant, ut1_minus_utc).map_err(|error| format!("--at: {error}"))?;
        let (name, entry, source) = target_of(arguments)?;
        Ok(Self { name, entry, source, instant, zone, here, ut1_minus_tai })
    }

    /// An instant as the question's zone shows it, to the second.
    pub fn time_text(&self, instant: Instant) -> String {
        match self.zone.reading(instant) {
            Ok(reading) if self.zone.name() != "UTC" => reading.text(0),
            Ok(_) => time::utc_text(instant, 0).unwrap_or_else(|error| error.to_string()),
            Err(error) => error.to_string(),
        }
    }
}

/// UT1 − UTC as it was given, below a second by its definition.
pub fn ut1_minus_utc(arguments: &PlaceArguments) -> Result<Span, String> {
    let Some(text) = &arguments.ut1_minus_utc else { return Ok(Span::ZERO) };
    let span: Span = read("--ut1-minus-utc", text)?;
    if span.abs() > Span::from_seconds(1.0) {
        return Err(format!(
            "--ut1-minus-utc: `{text}` is out of range; civil time is kept within 1 s of UT1"
        ));
    }
    Ok(span)
}

fn target_of(arguments: &PlaceArguments) -> Result<(String, Option<Entry>, Source), String> {
    if let (Some(ra), Some(dec)) = (&arguments.ra, &arguments.dec) {
        let (right_ascension, declination) = (read::<Angle>("--ra", ra)?, read::<Angle>("--dec", dec)?);
        // A hair of slack: 90 degrees in radians and back may not be 90.
        if declination.abs().degrees() > 90.0 + 1e-9 {
            return Err(format!("--dec: `{dec}` is no declination; it goes from -90 deg to 90 deg"));
        }
        if !(0.0..=360.0).contains(&right_ascension.degrees()) {
            return Err(format!("--ra: `{ra}` is no right ascension; it goes from 0 h to 24 h"));
        }
        let name = format!("{} {}", right_ascension.as_hours_text(2), declination.as_degrees_text(1));
        return Ok((name, None, Source::Star(StarPlace::fixed(right_ascension, declination))));
    }
    let entry = Catalogue::embedded().find(&arguments.target.join(" ")).map_err(|miss| miss.to_string())?;
    Ok((entry.name.clone(), Some(entry.clone()), entry.source))
}

/// An instant with its offset from UTC, or a civil time in the zone that was named.
fn instant_of(text: &str, zone: &Zone, zone_named: bool) -> Result<Instant, String> {
    let with_offset = Utc::parse(text.trim()).and_then(|utc| time::instant_from_utc(&utc));
    match with_offset {
        Ok(instant) => Ok(instant),
        Err(error) => match Civil::parse(text) {
            Ok(civil) if zone_named => zone.instant(&civil).map_err(|error| format!("--at: {error}")),
            Ok(_) => Err(format!(
                "--at: `{text}` has no offset from UTC; end it with Z or with an offset such as +01:00, or name its zone \
                 with --zone"
            )),
            Err(_) => Err(format!("--at: {error}")),
        },
    }
}

/// The machine's clock: the one place of the project that the present comes in.
#[allow(clippy::disallowed_methods, reason = "`now` is the meaning of a question without --at")]
fn now() -> Result<Instant, String> {
    let since_1970 = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_err(|_| "the machine's clock stands before 1970; set it, or give --at".to_owned())?;
    let begin = Utc::parse("2017-01-01T00:00:00Z").and_then(|utc| time::instant_from_utc(&utc));
    let begin = begin.map_err(|error| error.to_string())?;
    // Seconds of 1970's count at the begin of 2017, after the last leap second.
    const BEGIN_OF_2017: i64 = 1_483_228_800;
    let seconds = i64::try_from(since_1970.as_secs()).unwrap_or(i64::MAX / 2_000_000_000);
    let whole = seconds.saturating_sub(BEGIN_OF_2017);
    if !(0..=2_650_000_000).contains(&whole) {
        return Err("the machine's clock stands before 2017 or after 2100; set it, or give --at".to_owned());
    }
    let rest = Span::from_nanoseconds(i64::from(since_1970.subsec_nanos()));
    Ok(begin + Span::from_whole_seconds(whole) + rest)
}

/// `LAT,LON,HEIGHT` and the air.
fn here_of(text: &str, air: Option<&str>) -> Result<(Site, Air), String> {
    let [latitude, longitude, height] =
        three("--site", text, "a latitude, a longitude and a height, such as `40.5 deg,-4.5 deg,440 m`")?;
    // The option says what each of the three is, so that a bare number can mean one thing only.
    let site = Site::new(
        read_bare("--site, latitude", latitude, Angle::from_degrees)?,
        read_bare("--site, longitude", longitude, Angle::from_degrees)?,
        read_bare("--site, height", height, Length::from_metres)?,
    )
    .map_err(|error| format!("--site: {error}"))?;
    let air = match air.map(str::trim) {
        None => Air::standard(site.height()),
        Some("none") => Air::vacuum(),
        Some(text) => {
            let expected =
                "a pressure, a temperature and a humidity, such as `965 hPa,9 degC,60 %`, or `none`";
            let [pressure, temperature, humidity] = three("--air", text, expected)?;
            Air::new(
                read::<Pressure>("--air, pressure", pressure)?,
                read::<Temperature>("--air, temperature", temperature)?,
                read::<Share>("--air, humidity", humidity)?,
                Air::VISUAL_MICROMETRES,
            )
            .map_err(|error| format!("--air: {error}"))?
        }
    };
    Ok((site, air))
}

fn three<'a>(option: &str, text: &'a str, expected: &str) -> Result<[&'a str; 3], String> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    parts
        .try_into()
        .map_err(|parts: Vec<&str>| format!("{option}: `{text}` has {} parts; write {expected}", parts.len()))
}

fn read<Q: Quantity>(option: &str, text: &str) -> Result<Q, String> {
    Q::parse(text).map_err(|error| format!("{option}: {error}"))
}

/// The same, where a bare number is taken in the one unit that it can have there.
fn read_bare<Q: Quantity>(option: &str, text: &str, unit: impl Fn(f64) -> Q) -> Result<Q, String> {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(unit(number)),
        _ => read(option, text),
    }
}
