use super::*;
use proptest::prelude::*;

fn read(line: &str) -> Result<Request, Refusal> {
    Request::from_raw(&RawRequest::read(line).map_err(|(_, refusal)| refusal)?)
}

#[track_caller]
fn check_refused(line: &str, word: &str, sentence: &str) {
    let refusal = read(line).unwrap_err();
    assert_eq!((refusal.kind().word(), refusal.sentence()), (word, sentence));
}

#[test]
fn verbs_are_read_without_regard_to_case() {
    assert_eq!(read("STOP"), Ok(Request::Stop));
    assert_eq!(read("Track Rate=OFF"), Ok(Request::Track(Some(Rate::Off))));
    assert_eq!(
        read("goto name=Capella solution=through-pole"),
        Ok(Request::Goto { aim: Aim::Name("Capella".into()), side: Side::ThroughPole })
    );
}

#[test]
fn every_kind_of_mistake_has_its_own_answer() {
    check_refused("gotoo name=Vega", "unknown-verb", "there is no verb gotoo; did you mean goto?");
    check_refused("goto nmae=Vega", "unknown-key", "goto has no key nmae (column 6); did you mean name?");
    check_refused("stop now=1s", "unknown-key", "stop has no key now (column 6); it takes no keys");
    check_refused("stop now", "unreadable", "stop takes key=value pairs only, not the word now");
    check_refused(
        "goto ra=5h dec=83.6",
        "bad-value",
        "dec at column 12: 83.6 has no unit; write an angle with its unit, such as 40.5 deg",
    );
    check_refused(
        "goto ra=5h dec=95deg",
        "out-of-range",
        "dec=95deg at column 12: it must be from -90 to 90 deg",
    );
    check_refused("goto ra=5h", "missing-key", "goto needs ra and dec together; dec is missing");
    check_refused(
        "goto ra=5h dec=1deg name=Vega",
        "conflicting-keys",
        "name and ra and dec exclude each other",
    );
    check_refused(
        "goto name=a name=b",
        "repeated-key",
        "the key name stands twice, the second time at column 13",
    );
    check_refused("track rate=fast", "bad-value", "rate=fast at column 7: write off or sidereal");
    check_refused(
        "time utc=2027-03-06",
        "bad-value",
        "utc=2027-03-06 at column 6: write an instant from 1972 to 2100 as 2027-03-06T19:30:00.25Z",
    );
    check_refused("help gott", "unknown-verb", "there is no verb gott; did you mean goto?");
}

#[test]
fn every_verb_of_the_table_can_be_read() {
    for verb in VERBS {
        let line = match verb.name {
            "goto" => "goto name=Vega".to_owned(),
            name => name.to_owned(),
        };
        assert_eq!(read(&line).unwrap().verb(), verb.name);
    }
}

fn angle(least: f64, greatest: f64) -> impl Strategy<Value = Angle> {
    (least..greatest).prop_map(Angle::from_degrees)
}

fn aim_strategy() -> impl Strategy<Value = Aim> {
    prop_oneof![
        "[ -~]{1,20}".prop_map(Aim::Name),
        (angle(0.0, 360.0), angle(-90.0, 90.0)).prop_map(|(ra, dec)| Aim::Equatorial { ra, dec }),
        (angle(-360.0, 360.0), angle(-90.0, 90.0))
            .prop_map(|(azimuth, altitude)| Aim::Horizontal { azimuth, altitude }),
        (angle(-360.0, 360.0), angle(-360.0, 360.0))
            .prop_map(|(hour, declination)| Aim::EquatorialAxes { hour, declination }),
        (angle(-360.0, 360.0), angle(-360.0, 360.0))
            .prop_map(|(azimuth, altitude)| Aim::HorizontalAxes { azimuth, altitude }),
    ]
}

fn site_strategy() -> impl Strategy<Value = SiteEntry> {
    let option = proptest::option::of::<BoxedStrategy<f64>>;
    (
        option((-90.0..90.0f64).boxed()),
        option((-180.0..360.0f64).boxed()),
        option((-500.0..9000.0f64).boxed()),
        option((0.0..1200.0f64).boxed()),
        option((-90.0..60.0f64).boxed()),
        option((0.0..100.0f64).boxed()),
    )
        .prop_map(|(latitude, longitude, height, pressure, temperature, humidity)| SiteEntry {
            latitude: latitude.map(Angle::from_degrees),
            longitude: longitude.map(Angle::from_degrees),
            height: height.map(Length::from_metres),
            pressure: pressure.map(Pressure::from_hectopascals),
            temperature: temperature.map(Temperature::from_celsius),
            humidity: humidity.map(Share::from_percent),
        })
}

fn civil_time_strategy() -> impl Strategy<Value = CivilTime> {
    (1972i32..=2100, 1u8..=12, 1u8..=31, 0u8..=23, 0u8..=59, 0u8..=60, 0u32..1_000_000_000).prop_map(
        |(year, month, day, hour, minute, second, nanosecond)| CivilTime {
            year,
            month,
            day,
            hour,
            minute,
            second,
            nanosecond,
        },
    )
}

fn request_strategy() -> impl Strategy<Value = Request> {
    let side = prop_oneof![Just(Side::Auto), Just(Side::Direct), Just(Side::ThroughPole)];
    prop_oneof![
        Just(Request::Identify),
        Just(Request::Version),
        Just(Request::Stop),
        Just(Request::Axes),
        Just(Request::Help(None)),
        Just(Request::Help(Some("goto".into()))),
        Just(Request::Status(StatusGroup::Motion)),
        Just(Request::Status(StatusGroup::Pointing)),
        proptest::option::of(prop_oneof![Just(Rate::Off), Just(Rate::Sidereal)]).prop_map(Request::Track),
        proptest::option::of(civil_time_strategy()).prop_map(Request::Time),
        site_strategy().prop_map(Request::Site),
        (aim_strategy(), side).prop_map(|(aim, side)| Request::Goto { aim, side }),
    ]
}

proptest! {
    /// Parser and printer are each other's inverse.
    #[test]
    fn a_written_request_reads_back_to_itself(request in request_strategy()) {
        prop_assert_eq!(read(&request.to_line()), Ok(request));
    }
}
