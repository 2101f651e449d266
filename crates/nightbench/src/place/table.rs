//! Many places at once: CSV in, CSV out, by the column names of the reference tables.

use super::answer::is_refracted;
use crate::exit::{Exit, Failure};
use sky::time::{self, Utc};
use sky::{Air, Body, ExactPlace, Site, SiteError, Source, StarPlace, place_exact};
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;
use units::{Angle, Fixed, Instant, Length, Pressure, Share, Span, Temperature};

/// The largest table that is read.
const BYTES_MOST: u64 = 64 << 20;

/// Columns of the answer for stars, and for bodies.
const STAR_COLUMNS: &str = "case_id,gmst_deg,gast_deg,last_deg,ra_app_deg,dec_app_deg,ha_deg,dec_topo_deg,az_deg,alt_deg,\
                            parallactic_deg,az_obs_deg,alt_obs_deg,ha_obs_deg,dec_obs_deg,parallactic_obs_deg";
const BODY_COLUMNS: &str = "case_id,ra_topo_deg,dec_topo_deg,ha_deg,az_deg,alt_deg,distance_au";

/// Reads the table, answers each row, gives the answers as CSV in the order of the rows.
///
/// # Errors
/// A failure that names line, row and column.
pub fn answered(path: &Path, ut1_minus_utc: Span) -> Result<String, Failure> {
    let name = if path.as_os_str() == "-" { "standard input".to_owned() } else { path.display().to_string() };
    let bytes = bytes_of(path, &name)?;
    answer(&bytes, ut1_minus_utc)
        .map_err(|problem| Failure::new(Exit::Unusable, report::harmless(&format!("{name}: {problem}"))))
}

fn bytes_of(path: &Path, name: &str) -> Result<Vec<u8>, Failure> {
    let unreadable = |error: io::Error| {
        let (exit, mend) = match error.kind() {
            io::ErrorKind::NotFound => (Exit::Unusable, "name a CSV file that exists"),
            io::ErrorKind::PermissionDenied => (Exit::Unusable, "allow reading it"),
            _ => (Exit::OutsideFailed, "try again"),
        };
        Failure::new(exit, report::harmless(&format!("`{name}` can't be read: {error}; {mend}")))
    };
    if path.is_dir() {
        let sentence = format!("`{name}` is a folder; name a CSV file in it");
        return Err(Failure::new(Exit::Unusable, report::harmless(&sentence)));
    }
    let mut bytes = Vec::new();
    if path.as_os_str() == "-" {
        io::stdin().lock().take(BYTES_MOST + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    } else {
        File::open(path)
            .and_then(|file| file.take(BYTES_MOST + 1).read_to_end(&mut bytes))
            .map_err(unreadable)?;
    }
    if bytes.len() as u64 > BYTES_MOST {
        let sentence = format!("`{name}` is larger than 64 MiB; cut it into parts");
        return Err(Failure::new(Exit::Unusable, report::harmless(&sentence)));
    }
    Ok(bytes)
}

/// The answers to a table.
pub(super) fn answer(bytes: &[u8], ut1_minus_utc: Span) -> Result<String, String> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(bytes);
    let headers = reader.headers().map_err(|error| malformed(&error))?.clone();
    let columns = Columns::of(&headers)?;
    let mut out = String::from(if columns.body.is_some() { BODY_COLUMNS } else { STAR_COLUMNS });
    out.push('\n');
    for (index, record) in reader.records().enumerate() {
        let record = record.map_err(|error| malformed(&error))?;
        let line = record.position().map_or(0, csv::Position::line);
        let row = Row { columns: &columns, record: &record, line, number: index + 1 };
        row.answer(ut1_minus_utc, &mut out)?;
    }
    Ok(out)
}

/// What the CSV reader found wrong, with line and row.
fn malformed(error: &csv::Error) -> String {
    let at = |position: &Option<csv::Position>| match position {
        Some(position) if position.record() > 0 => {
            format!("line {}, row {}", position.line(), position.record())
        }
        _ => "line 1, the column names".to_owned(),
    };
    match error.kind() {
        csv::ErrorKind::UnequalLengths { pos, expected_len, len } => {
            let column = expected_len.min(len) + 1;
            format!(
                "{}: there are {len} columns, column {column} is the first that is {}; every row needs {expected_len}, as \
                 the column names have it",
                at(pos),
                if len < expected_len { "missing" } else { "too many" },
            )
        }
        csv::ErrorKind::Utf8 { pos, err } => {
            format!("{}, column {}: this is no UTF-8 text; save the table as UTF-8", at(pos), err.field() + 1)
        }
        _ => format!("this is no CSV table: {error}; save it with commas and one row of column names"),
    }
}

/// Where each column stands; other columns are ignored.
struct Columns {
    case_id: usize,
    utc: usize,
    site: [usize; 3],
    body: Option<usize>,
    star: Option<[usize; 2]>,
    /// Proper motions and parallax; absent or blank ones are nothing.
    motion: [Option<usize>; 3],
    /// Pressure, temperature, humidity, wavelength; absent or blank ones are the standard's.
    air: [Option<usize>; 4],
}

const SITE: [&str; 3] = ["lat_deg", "lon_east_deg", "height_m"];
const STAR: [&str; 2] = ["ra_icrs_deg", "dec_icrs_deg"];
const MOTION: [&str; 3] = ["pm_ra_cosdec_mas_yr", "pm_dec_mas_yr", "parallax_mas"];
const AIR: [&str; 4] = ["pressure_hpa", "temp_c", "rel_hum", "wavelength_um"];

impl Columns {
    fn of(headers: &csv::StringRecord) -> Result<Self, String> {
        let find = |name: &str| headers.iter().position(|header| header == name);
        let need =
            |name: &str| find(name).ok_or_else(|| format!("line 1: there is no column `{name}`; add it"));
        for (index, name) in headers.iter().enumerate() {
            if !name.is_empty() && find(name) != Some(index) {
                return Err(format!("line 1, column {}: `{name}` stands twice; keep one", index + 1));
            }
        }
        let body = find("body");
        Ok(Self {
            case_id: need("case_id")?,
            utc: need("utc")?,
            site: [need(SITE[0])?, need(SITE[1])?, need(SITE[2])?],
            body,
            star: if body.is_some() { None } else { Some([need(STAR[0])?, need(STAR[1])?]) },
            motion: MOTION.map(find),
            air: AIR.map(find),
        })
    }
}

struct Row<'a> {
    columns: &'a Columns,
    record: &'a csv::StringRecord,
    line: u64,
    number: usize,
}

impl Row<'_> {
    fn answer(&self, ut1_minus_utc: Span, out: &mut String) -> Result<(), String> {
        let instant = self.instant()?;
        let (site, air) = (self.site()?, self.air()?);
        let ut1_minus_tai =
            time::ut1_minus_tai(instant, ut1_minus_utc).map_err(|error| self.wrong("utc", &error))?;
        let source = self.source()?;
        let place = place_exact(&source, instant, &site, &air, ut1_minus_tai);
        push_text(out, self.text(self.columns.case_id));
        match source {
            Source::Star(_) => push_star(out, &place),
            Source::Body(_) => push_body(out, &place),
        }
        out.push('\n');
        Ok(())
    }

    fn instant(&self) -> Result<Instant, String> {
        let utc = Utc::parse(self.text(self.columns.utc)).and_then(|utc| time::instant_from_utc(&utc));
        utc.map_err(|error| self.wrong("utc", &error))
    }

    fn site(&self) -> Result<Site, String> {
        let [latitude, longitude, height] = self.columns.site;
        Site::new(
            Angle::from_degrees(self.number(SITE[0], latitude)?),
            Angle::from_degrees(self.number(SITE[1], longitude)?),
            Length::from_metres(self.number(SITE[2], height)?),
        )
        .map_err(|error| self.out_of_range(&error))
    }

    fn air(&self) -> Result<Air, String> {
        let [pressure, temperature, humidity, wavelength] = self.columns.air;
        let standard = Air::standard(self.site()?.height());
        let temperature =
            self.optional(AIR[1], temperature)?.map_or(standard.temperature(), Temperature::from_celsius);
        let pressure = match self.optional(AIR[0], pressure)? {
            Some(hectopascals) => Pressure::from_hectopascals(hectopascals),
            None => Air::standard_pressure(self.site()?.height(), temperature),
        };
        let humidity = self.optional(AIR[2], humidity)?.map_or(standard.humidity(), Share::from_fraction);
        let wavelength = self.optional(AIR[3], wavelength)?.unwrap_or(Air::VISUAL_MICROMETRES);
        Air::new(pressure, temperature, humidity, wavelength).map_err(|error| self.out_of_range(&error))
    }

    fn source(&self) -> Result<Source, String> {
        if let Some(column) = self.columns.body {
            let name = self.text(column);
            let body = Body::find(name).ok_or_else(|| {
                let near = units::nearest(name, Body::ALL.iter().map(|body| body.name()));
                let mend = near.map_or_else(
                    || "write sun, moon or a planet from mercury to neptune".to_owned(),
                    |near| format!("did you mean `{}`?", near.to_lowercase()),
                );
                self.wrong("body", &format!("`{name}` is no body of the solar system; {mend}"))
            })?;
            return Ok(Source::Body(body));
        }
        let [ra, dec] = self.columns.star.expect("a table without bodies has stars");
        let (right_ascension, declination) = (self.number(STAR[0], ra)?, self.number(STAR[1], dec)?);
        if !(0.0..=360.0).contains(&right_ascension) {
            return Err(
                self.wrong(STAR[0], &format!("{right_ascension} is out of range; it goes from 0 to 360"))
            );
        }
        if declination.abs() > 90.0 {
            return Err(
                self.wrong(STAR[1], &format!("{declination} is out of range; it goes from -90 to 90"))
            );
        }
        let motion = |index: usize| -> Result<Angle, String> {
            let value = self.optional(MOTION[index], self.columns.motion[index])?.unwrap_or(0.0);
            Ok(Angle::from_arcsec(value / 1000.0))
        };
        Ok(Source::Star(StarPlace {
            ra: Angle::from_degrees(right_ascension),
            dec: Angle::from_degrees(declination),
            pm_ra_cosdec: motion(0)?,
            pm_dec: motion(1)?,
            parallax: motion(2)?,
        }))
    }

    fn text(&self, column: usize) -> &str {
        &self.record[column]
    }

    fn number(&self, name: &str, column: usize) -> Result<f64, String> {
        let text = self.text(column);
        let number = text.parse().ok().filter(|value: &f64| value.is_finite());
        number.ok_or_else(|| {
            let what =
                if text.is_empty() { "it is blank".to_owned() } else { format!("`{text}` is no number") };
            self.wrong(name, &format!("{what}; write a plain decimal number"))
        })
    }

    fn optional(&self, name: &str, column: Option<usize>) -> Result<Option<f64>, String> {
        match column {
            Some(column) if !self.text(column).is_empty() => self.number(name, column).map(Some),
            _ => Ok(None),
        }
    }

    fn wrong(&self, column: &str, problem: &dyn std::fmt::Display) -> String {
        format!("line {}, row {}, column `{column}`: {problem}", self.line, self.number)
    }

    fn out_of_range(&self, error: &SiteError) -> String {
        let column = match error.what {
            "the latitude" => "lat_deg",
            "the longitude" => "lon_east_deg",
            "the height" => "height_m",
            "the pressure" => "pressure_hpa",
            "the temperature" => "temp_c",
            "the humidity" => "rel_hum",
            _ => "wavelength_um",
        };
        self.wrong(column, error)
    }
}

fn push_star(out: &mut String, place: &ExactPlace) {
    let (airless, seen) = (&place.airless, &place.refracted);
    let degrees = [
        place.gmst,
        place.gast,
        place.last,
        place.apparent_right_ascension,
        place.apparent_declination,
        airless.hour_angle,
        airless.declination,
        airless.azimuth,
        airless.altitude,
        airless.parallactic_angle,
    ];
    let refracted = [seen.azimuth, seen.altitude, seen.hour_angle, seen.declination, seen.parallactic_angle];
    for angle in degrees {
        push_number(out, angle.degrees(), 9);
    }
    for angle in refracted {
        if is_refracted(airless) {
            push_number(out, angle.degrees(), 9);
        } else {
            out.push(',');
        }
    }
}

fn push_body(out: &mut String, place: &ExactPlace) {
    let airless = &place.airless;
    let angles = [
        place.topocentric_right_ascension,
        airless.declination,
        airless.hour_angle,
        airless.azimuth,
        airless.altitude,
    ];
    for angle in angles {
        push_number(out, angle.degrees(), 7);
    }
    push_number(out, place.distance_au.unwrap_or(0.0), 9);
}

fn push_number(out: &mut String, value: f64, decimals: u8) {
    out.push(',');
    Fixed { value, decimals }.push_to(out);
}

/// A text as a CSV field (RFC 4180).
fn push_text(out: &mut String, text: &str) {
    if text.contains(['"', ',', '\n', '\r']) {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(text);
    }
}
