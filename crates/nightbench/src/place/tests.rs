use super::answer::Answer;
use super::question::{Question, ut1_minus_utc};
use super::{PlaceArguments, table, text};
use clap::{Args as _, Command, FromArgMatches as _};
use serde_json::Value;
use units::Span;

/// The arguments as clap reads them.
fn arguments(words: &[&str]) -> PlaceArguments {
    let command = PlaceArguments::augment_args(Command::new("place"));
    let matches = command.try_get_matches_from(std::iter::once(&"place").chain(words));
    PlaceArguments::from_arg_matches(&matches.unwrap_or_else(|error| panic!("{error}")))
        .expect("they were matched")
}

fn question(words: &[&str]) -> Result<Question, String> {
    let arguments = arguments(words);
    Question::read(&arguments, ut1_minus_utc(&arguments)?)
}

fn told(words: &[&str]) -> String {
    let question = question(words).unwrap_or_else(|error| panic!("{error}"));
    text::told(&question, &Answer::to(&question).expect("in range"))
}

fn json(words: &[&str]) -> Value {
    let question = question(words).unwrap_or_else(|error| panic!("{error}"));
    Answer::to(&question).expect("in range").json(&question)
}

fn refused(words: &[&str]) -> String {
    question(words).expect_err("refused")
}

const AT: [&str; 2] = ["--at", "2027-03-06T19:30:00Z"];
const SITE: [&str; 2] = ["--site", "40.5 deg,-4.5 deg,440 m"];

#[test]
fn a_star_is_told_in_words() {
    let text = told(&["alpha", "Ori", AT[0], AT[1], SITE[0], SITE[1], "--zone", "Europe/Madrid"]);
    assert!(
        text.starts_with(
            "Betelgeuse: star in Orion, magnitude 0.5\nalso alpha Orionis, 58 Orionis, HR 2061, HIP 27989\n"
        ),
        "{text}"
    );
    for part in [
        "2027-03-06T20:30:00+01:00 CET",
        "latitude 40d30m00s, longitude -4d30m00s, height 440 m",
        "look                 south, two thirds of the way up",
        "next rise            2027-03-07T",
        "astronomical twilight",
        "compass",
    ] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
    assert!(!text.contains("caution"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let place = |name: &str| text.find(name).expect("is told");
    assert!(place("next set") < place("next rise"), "in the order of time:\n{text}");
}

#[test]
fn without_a_site_only_what_is_the_same_everywhere_is_told() {
    let text = told(&["Moon", AT[0], AT[1]]);
    assert!(text.starts_with("Moon, magnitude -"), "{text}");
    assert!(text.contains("Give --site") && text.contains("% lit") && text.contains(" km"), "{text}");
    let answer = json(&["Moon", AT[0], AT[1]]);
    assert!(answer["ra_app_deg"].is_number() && answer["distance_au"].is_number());
    assert_eq!(answer.get("alt_deg"), None);
}

#[test]
fn the_answer_in_json_has_the_names_of_the_tables_columns() {
    let answer = json(&["Regulus", AT[0], AT[1], SITE[0], SITE[1]]);
    for column in [
        "utc",
        "lat_deg",
        "lon_east_deg",
        "height_m",
        "pressure_hpa",
        "temp_c",
        "rel_hum",
        "wavelength_um",
        "ra_icrs_deg",
        "dec_icrs_deg",
        "pm_ra_cosdec_mas_yr",
        "pm_dec_mas_yr",
        "parallax_mas",
        "gmst_deg",
        "gast_deg",
        "last_deg",
        "ra_app_deg",
        "dec_app_deg",
        "ha_deg",
        "dec_topo_deg",
        "az_deg",
        "alt_deg",
        "parallactic_deg",
        "az_obs_deg",
        "alt_obs_deg",
        "ha_obs_deg",
        "dec_obs_deg",
        "parallactic_obs_deg",
        "ra_topo_deg",
        "distance_au",
        "rise_utc",
        "set_utc",
        "upper_transit_utc",
        "direction",
        "cautions",
    ] {
        assert!(answer.get(column).is_some(), "{column}");
    }
    assert_eq!(answer["never_sets"], Value::Bool(false));
    // Below 3° there is no refraction to speak of.
    let low = json(&["Canopus", AT[0], AT[1], SITE[0], SITE[1]]);
    assert!(low["alt_deg"].as_f64().expect("a number") < 3.0 && low["alt_obs_deg"].is_null());
}

#[test]
fn a_target_near_the_sun_by_day_brings_a_caution() {
    let noon = ["--at", "2027-03-06T12:30:00Z"];
    let near = json(&["Sun", noon[0], noon[1], SITE[0], SITE[1]]);
    assert!(near["cautions"][0].as_str().expect("one").contains("solar filter"));
    let mercury = json(&["--ra", "23h10m", "--dec", "-5d00m", noon[0], noon[1], SITE[0], SITE[1]]);
    assert!(mercury["cautions"][0].as_str().expect("one").contains("never look"), "{mercury:#}");
    assert_eq!(json(&["Mars", AT[0], AT[1], SITE[0], SITE[1]])["cautions"], serde_json::json!([]));
}

#[test]
fn the_poles_of_earth_and_sky_have_answers() {
    let text = told(&["Polaris", AT[0], AT[1], "--site", "90 deg,0 deg,0 m"]);
    assert!(text.contains("the site is a pole") && text.contains("none: it stays up"), "{text}");
    let text = told(&["Polaris", AT[0], AT[1], SITE[0], SITE[1]]);
    assert!(text.contains("on a clock's face") && text.contains("Polaris is bright and near"), "{text}");
    let answer = json(&["--ra", "0h", "--dec", "90 deg", AT[0], AT[1], SITE[0], SITE[1]]);
    // 15′ of precession since 2000 and a little refraction are between it and the latitude.
    assert!((answer["alt_deg"].as_f64().expect("a number") - 40.5).abs() < 0.2);
}

#[test]
fn bad_input_is_refused_with_a_way_out() {
    for (words, part) in [
        (&["Betelguese"][..], "did you mean `Betelgeuse`?"),
        (&["Vega", "--at", "2027-03-06T19:30:00"], "has no offset from UTC"),
        (&["Vega", "--at", "yesterday"], "is no date and time"),
        (&["Vega", "--at", "1971-12-31T23:59:59Z"], "1972 to 2100"),
        (&["Vega", "--at", "2101-01-01T00:00:00Z"], "1972 to 2100"),
        (&["Vega", "--at", "2027-03-28T02:30:00", "--zone", "Europe/Madrid"], "clocks went forward from"),
        (&["Vega", "--at", "2027-10-31T02:30:00", "--zone", "Europe/Madrid"], "came twice"),
        (&["Vega", "--zone", "Madrid"], "did you mean `Europe/Madrid`?"),
        (&["Vega", AT[0], AT[1], "--site", "95 deg,0 deg,0 m"], "--site: the latitude is 95 deg"),
        (&["Vega", AT[0], AT[1], "--site", "40.5 m,-4.5,440"], "--site, latitude: unknown unit `m`"),
        (&["Vega", AT[0], AT[1], "--site", "40.5,inf,440"], "--site, longitude: `inf`"),
        (&["Vega", AT[0], AT[1], "--site", "95,0,0"], "--site: the latitude is 95 deg"),
        (&["Vega", AT[0], AT[1], "--site", "40.5 deg,-4.5 deg"], "has 2 parts"),
        (&["Vega", AT[0], AT[1], SITE[0], SITE[1], "--air", "965 hPa,9 degC"], "--air:"),
        (
            &["Vega", AT[0], AT[1], SITE[0], SITE[1], "--air", "9650 hPa,9 degC,60 %"],
            "--air: the pressure is 9650 hPa",
        ),
        (&["--ra", "1h", "--dec", "91 deg"], "--dec: `91 deg` is no declination"),
        (&["--ra", "25h", "--dec", "1 deg"], "--ra: `25h` is no right ascension"),
        (&["Vega", "--ut1-minus-utc", "3 s"], "out of range"),
    ] {
        let sentence = refused(words);
        assert!(sentence.contains(part), "{words:?}: {sentence}");
    }
}

#[test]
fn ut1_moves_the_hour_angle_by_a_quarter_of_an_arcminute_to_the_second() {
    let with = |ut1: &str| {
        json(&["Vega", AT[0], AT[1], SITE[0], SITE[1], "--ut1-minus-utc", ut1])["ha_deg"]
            .as_f64()
            .expect("a number")
    };
    assert!(((with("0.4 s") - with("-0.6 s")) * 3600.0 - 15.041).abs() < 0.001);
}

fn answered(table: &str) -> Result<String, String> {
    table::answer(table.as_bytes(), Span::ZERO)
}

/// The reference's own columns, line by line, against ours.
fn check_table(text: &str, tolerance_deg: f64) {
    let ours = answered(text).unwrap_or_else(|error| panic!("{error}"));
    let (mut ours, mut theirs) =
        (csv::Reader::from_reader(ours.as_bytes()), csv::Reader::from_reader(text.as_bytes()));
    let columns = ours.headers().expect("names").clone();
    let places: Vec<usize> = columns
        .iter()
        .map(|name| {
            theirs.headers().expect("names").iter().position(|other| other == name).expect("the same names")
        })
        .collect();
    let mut rows = 0;
    for (own, reference) in ours.records().zip(theirs.records()) {
        let (own, reference) = (own.expect("a row"), reference.expect("a row"));
        rows += 1;
        for (index, place) in places.iter().enumerate() {
            let (own, reference) = (&own[index], &reference[*place]);
            let difference = match (own.parse::<f64>(), reference.parse::<f64>()) {
                (Ok(own), Ok(reference)) => ((own - reference + 540.0).rem_euclid(360.0) - 180.0).abs(),
                _ => f64::from(u8::from(own != reference)) * 360.0,
            };
            // Angles round the zenith or the pole grow without bound; the sky's own tests hold them on the sphere.
            assert!(difference < tolerance_deg, "row {rows}, {}: {own} and {reference}", &columns[index]);
        }
    }
    assert_eq!(rows, text.lines().count() - 1);
}

#[test]
fn the_reference_tables_come_back() {
    // The library's chain in another translation: the ninth decimal of a degree, more where the azimuth is near the zenith.
    check_table(include_str!("../../../../fixtures/reference/reference_places.csv"), 2e-7);
    // Another ephemeris: the short series is good to 61″ (Saturn); azimuths near the zenith magnify it.
    check_table(include_str!("../../../../fixtures/reference/reference_solar_system.csv"), 0.2);
}

const HEADER: &str = "case_id,utc,lat_deg,lon_east_deg,height_m,ra_icrs_deg,dec_icrs_deg";

#[test]
fn a_malformed_table_is_refused_by_line_row_and_column() {
    let good = "a,2027-03-06T19:30:00Z,40.5,-4.5,440,10,20";
    for (rows, part) in [
        (
            format!("{HEADER}\n{good}\nb,2027-03-06T19:30:00Z,95,-4.5,440,10,20"),
            "line 3, row 2, column `lat_deg`: the latitude is 95",
        ),
        (
            format!("{HEADER}\nb,yesterday,40,-4.5,440,10,20"),
            "line 2, row 1, column `utc`: `yesterday` is no date",
        ),
        (
            format!("{HEADER}\nb,2150-03-06T19:30:00Z,40,-4.5,440,10,20"),
            "column `utc`: the year 2150 is out of range",
        ),
        (
            format!("{HEADER}\n{good}\n{good}\nb,2027-03-06T19:30:00Z,40"),
            "line 4, row 3: there are 3 columns, column 4 is the first that is missing",
        ),
        (
            format!("{HEADER}\nb,2027-03-06T19:30:00Z,forty,-4.5,440,10,20"),
            "column `lat_deg`: `forty` is no number",
        ),
        (
            format!("{HEADER}\nb,2027-03-06T19:30:00Z,NaN,-4.5,440,10,20"),
            "column `lat_deg`: `NaN` is no number",
        ),
        (format!("{HEADER}\nb,2027-03-06T19:30:00Z,,-4.5,440,10,20"), "column `lat_deg`: it is blank"),
        (
            format!("{HEADER}\nb,2027-03-06T19:30:00Z,40,-4.5,440,10,91"),
            "column `dec_icrs_deg`: 91 is out of range",
        ),
        ("case_id,utc\n".to_owned(), "line 1: there is no column `lat_deg`"),
        (format!("{HEADER},utc\n"), "line 1, column 8: `utc` stands twice"),
        (
            "case_id,body,utc,lat_deg,lon_east_deg,height_m\na,venux,2027-03-06T19:30:00Z,0,0,0".to_owned(),
            "did you mean `venus`?",
        ),
        (String::new(), "there is no column `case_id`"),
    ] {
        let sentence = answered(&rows).expect_err(part);
        assert!(sentence.contains(part), "{sentence}");
    }
    let broken = [HEADER.as_bytes(), b"\na,2027-03-06T19:30:00Z,\xff,0,0,0,0\n"].concat();
    let sentence = table::answer(&broken, Span::ZERO).expect_err("no UTF-8");
    assert!(sentence.contains("row 1, column 3"), "{sentence}");
}

#[test]
fn a_table_takes_what_is_missing_from_the_standard_and_ignores_what_it_does_not_know() {
    let answer =
        answered(&format!("{HEADER},remark\n\"a, b\",2027-03-06T19:30:00Z,90,-4.5,440,10,-90,\"x\"\n"))
            .expect("good");
    let row = answer.lines().nth(1).expect("a row");
    // Under the horizon of the pole: the five refracted columns are blank.
    assert!(row.starts_with("\"a, b\",") && row.ends_with(",,,,,"), "{row}");
    assert_eq!(answered(&format!("{HEADER}\n")).expect("no rows are no fault").lines().count(), 1);
}
