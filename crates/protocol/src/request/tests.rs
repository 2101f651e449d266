use super::*;
use crate::reply::EventKind;
use proptest::prelude::*;
use units::{Length, Pressure, Share, Temperature};

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
    assert_eq!(read("Track Rate=OFF"), Ok(Request::Track(TrackEntry { rate: Some(Rate::Off), axes: None })));
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
    check_refused(
        "track rate=fast",
        "bad-value",
        "rate=fast at column 7: write off or sidereal or solar or lunar or refraction-averaged or custom",
    );
    check_refused("track rate=custom", "missing-key", "track needs hour");
    check_refused(
        "track hour=1x",
        "conflicting-keys",
        "the keys hour and declination go with rate=custom alone",
    );
    check_refused(
        "nudge direction=north rate=20",
        "bad-value",
        "rate=20 at column 23: write 0.5x or 2x or 20x or 100x or full",
    );
    check_refused("nudge rate=2x for=1s", "missing-key", "nudge needs direction");
    check_refused(
        "nudge direction=up rate=2x for=1s hold=1s",
        "conflicting-keys",
        "for and hold exclude each other: a nudge lasts a while, or is held",
    );
    check_refused("await job=0 within=1s", "bad-value", "job=0 at column 7: write a whole number from 1 on");
    check_refused("help verb=goto", "unknown-key", "help takes a verb, not the key verb; write help goto");
    check_refused(
        "time utc=2027-03-06",
        "bad-value",
        "utc=2027-03-06 at column 6: write an instant from 1972 to 2100 as 2027-03-06T19:30:00.25Z",
    );
    check_refused("clock by=1s until=event", "conflicting-keys", "by and until exclude each other");
    check_refused("clock within=1s", "conflicting-keys", "the key within goes with until=event alone");
    check_refused(
        "clock by=1",
        "bad-value",
        "by at column 7: 1 has no unit; write a length of time with its unit, such as 45 s",
    );
    check_refused("fault after=1s", "missing-key", "fault needs kind");
    check_refused(
        "fault kind=stall every=2 nth=3",
        "conflicting-keys",
        "every, nth, line and rate exclude each other",
    );
    check_refused(
        "fault kind=stall every=2 correlation=5%",
        "conflicting-keys",
        "the key correlation goes with rate alone",
    );
    check_refused(
        "measure-play name=Vega centring=first set=yes",
        "conflicting-keys",
        "the key set goes with centring=second: the play is known only then",
    );
    check_refused("help gott", "unknown-verb", "there is no verb gott; did you mean goto?");
}

#[test]
fn every_verb_of_the_table_can_be_read() {
    for verb in VERBS {
        let line = match verb.name {
            "goto" => "goto name=Vega".to_owned(),
            "sight" => "sight name=Vega".to_owned(),
            "verify" => "verify name=Vega".to_owned(),
            "moved" => "moved part=base".to_owned(),
            "polar-offset" => "polar-offset name=Vega".to_owned(),
            "polar-done" => "polar-done name=Vega".to_owned(),
            "record" => "record turns=3".to_owned(),
            "measure-play" => "measure-play name=Vega centring=first".to_owned(),
            "forget" => "forget entry=1".to_owned(),
            "sync" => "sync name=Vega".to_owned(),
            "nudge" => "nudge direction=east rate=2x".to_owned(),
            "guide" => "guide direction=east for=0.2s".to_owned(),
            "await" => "await job=4 within=30s".to_owned(),
            "cancel" => "cancel job=4".to_owned(),
            "fault" => "fault kind=stall".to_owned(),
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

fn one_of<T: Clone + std::fmt::Debug>(all: &'static [T]) -> impl Strategy<Value = T> + Clone {
    proptest::sample::select(all)
}

fn rate_strategy() -> impl Strategy<Value = Rate> {
    let rate = || (-3000.0..3000.0f64).prop_map(AngularRate::from_arcsec);
    prop_oneof![
        one_of(&[Rate::Off, Rate::Sidereal, Rate::Solar, Rate::Lunar, Rate::RefractionAveraged]),
        (rate(), rate()).prop_map(|(hour, declination)| Rate::Custom { hour, declination }),
    ]
}

fn span(least: i64, greatest: i64) -> impl Strategy<Value = Span> {
    (least * 1_000_000..greatest * 1_000_000).prop_map(Span::from_nanoseconds)
}

fn maybe<T: Strategy>(strategy: T) -> impl Strategy<Value = Option<T::Value>> {
    proptest::option::of(strategy)
}

fn motion_strategy() -> impl Strategy<Value = Request> {
    let end = prop_oneof![
        span(1, 60_000).prop_map(NudgeEnd::For),
        maybe(span(100, 10_000)).prop_map(NudgeEnd::Held),
    ];
    let seen = prop_oneof![
        "[ -~]{1,20}".prop_map(Seen::Name),
        (angle(0.0, 360.0), angle(-90.0, 90.0)).prop_map(|(ra, dec)| Seen::Equatorial { ra, dec }),
    ];
    prop_oneof![
        one_of(&[Request::Stop, Request::Release]),
        one_of(&[Request::Park, Request::Unpark, Request::Home]),
        (maybe(rate_strategy()), maybe(one_of(TrackAxes::ALL)))
            .prop_map(|(rate, axes)| Request::Track(TrackEntry { rate, axes })),
        (aim_strategy(), one_of(Side::ALL)).prop_map(|(aim, side)| Request::Goto { aim, side }),
        (one_of(Direction::ALL), one_of(NudgeRate::ALL), end)
            .prop_map(|(direction, rate, end)| Request::Nudge { direction, rate, end }),
        (one_of(Direction::ALL), span(1, 10_000))
            .prop_map(|(direction, span)| Request::Guide { direction, span }),
        seen.prop_map(Request::Sync),
    ]
}

fn setting_strategy() -> impl Strategy<Value = Request> {
    let play = || maybe(angle(0.0, 2.0));
    prop_oneof![
        maybe((0.1..60.0f64).prop_map(AngularRate::from_arcsec)).prop_map(Request::GuideRate),
        (maybe(one_of(FinalApproach::ALL)), maybe(angle(0.0, 5.0)))
            .prop_map(|(last, overshoot)| Request::Approach(ApproachEntry { last, overshoot })),
        (play(), play(), play(), play()).prop_map(|(hour, declination, azimuth, altitude)| {
            Request::TakeUp(AxisEntry { hour, declination, azimuth, altitude })
        }),
        maybe(one_of(SolutionChoice::ALL)).prop_map(Request::Solution),
        (maybe(one_of(MeridianPolicy::ALL)), maybe(angle(0.0, 30.0)))
            .prop_map(|(policy, over_run)| Request::Meridian(MeridianEntry { policy, over_run })),
        (
            maybe(angle(-30.0, 60.0)),
            maybe(angle(30.0, 90.0)),
            maybe(angle(180.0, 360.0)),
            maybe(angle(0.5, 10.0))
        )
            .prop_map(|(lowest, highest, cable_wrap, zenith_zone)| {
                Request::Limits(LimitsEntry { lowest, highest, cable_wrap, zenith_zone })
            }),
        maybe(angle(-5.0, 60.0)).prop_map(Request::Horizon),
        maybe(angle(5.0, 90.0)).prop_map(Request::Sun),
    ]
}

fn alignment_strategy() -> impl Strategy<Value = Request> {
    let methods = one_of(&[
        AlignMethod::OneStar,
        AlignMethod::TwoStar,
        AlignMethod::ManyStar,
        AlignMethod::MoonOrPlanet,
    ]);
    prop_oneof![
        (methods, maybe(one_of(Estimator::ALL)))
            .prop_map(|(method, estimator)| Request::Align(AlignEntry { method: Some(method), estimator })),
        Just(Request::Align(AlignEntry { method: Some(AlignMethod::None), estimator: None })),
        Just(Request::Align(AlignEntry::default())),
        Just(Request::Align(AlignEntry { method: Some(AlignMethod::Resume), estimator: None })),
        (any::<bool>(), one_of(Purpose::ALL)).prop_map(|(next, purpose)| Request::Propose { next, purpose }),
        maybe(1u64..).prop_map(Request::Questions),
        "[ -~]{1,20}".prop_map(Request::Verify),
        one_of(MovedPart::ALL).prop_map(Request::Moved),
        Just(Request::PolarAxis),
        "[ -~]{1,20}".prop_map(Request::PolarOffset),
        "[ -~]{1,20}".prop_map(Request::PolarDone),
        (1u64.., one_of(RankedBy::ALL)).prop_map(|(entry, by)| Request::NextStar(RankEntry { entry, by })),
        ("[ -~]{1,20}", one_of(Replaced::ALL), any::<bool>())
            .prop_map(|(name, replaces, anyway)| Request::Sight(SightEntry { name, replaces, anyway })),
        maybe(1u64..).prop_map(Request::Sightings),
        (1u64..).prop_map(|entry| Request::Forget { entry }),
        maybe(one_of(KeptAlignment::ALL)).prop_map(Request::Keep),
        maybe("[ -~]{1,20}").prop_map(Request::Model),
        (1u64..).prop_map(|turns| Request::Record { turns }),
        maybe(any::<bool>()).prop_map(Request::Playback),
        ("[ -~]{1,20}", any::<bool>()).prop_map(|(name, set)| {
            Request::MeasurePlay(PlayEntry { name, centring: Centring::Second, set })
        }),
        "[ -~]{1,20}".prop_map(|name| {
            Request::MeasurePlay(PlayEntry { name, centring: Centring::First, set: false })
        }),
    ]
}

fn strikes_strategy() -> impl Strategy<Value = Strikes> {
    let share = || (0.0..100.0f64).prop_map(Share::from_percent);
    prop_oneof![
        Just(Strikes::All),
        (1u64..).prop_map(Strikes::Every),
        (1u64..).prop_map(Strikes::Nth),
        "[ -~]{1,20}".prop_map(Strikes::Line),
        (share(), maybe(share())).prop_map(|(rate, correlation)| Strikes::Rate { rate, correlation }),
    ]
}

fn fault_strategy() -> impl Strategy<Value = FaultEntry> {
    let when = (maybe(span(0, 86_400_000)), maybe(span(0, 86_400_000)), strikes_strategy(), maybe(1u64..));
    let what = (one_of(FaultKind::ALL), maybe(one_of(WireDirection::ALL)), maybe(one_of(FaultAxis::ALL)));
    let how = (
        maybe(angle(-360.0, 360.0)),
        maybe(span(-86_400_000, 86_400_000)),
        maybe(span(0, 3_600_000)),
        maybe(span(0, 3_600_000)),
        maybe(1u64..),
        maybe(1u64..),
    );
    (when, what, how).prop_map(|((after, lasts, strikes, burst), (kind, direction, axis), how)| {
        let (angle, by, delay, jitter, bytes, baud) = how;
        FaultEntry {
            kind,
            direction,
            after,
            lasts,
            strikes,
            burst,
            axis,
            angle,
            by,
            delay,
            jitter,
            bytes,
            baud,
        }
    })
}

fn bench_strategy() -> impl Strategy<Value = Request> {
    prop_oneof![
        Just(Request::Clock(ClockEntry::Show)),
        span(0, 86_400_000).prop_map(|by| Request::Clock(ClockEntry::By(by))),
        span(0, 86_400_000).prop_map(|within| Request::Clock(ClockEntry::UntilEvent(within))),
        fault_strategy().prop_map(Request::Fault),
        maybe(1u64..).prop_map(|entry| Request::Faults(FaultsEntry::Show(entry))),
        maybe(1u64..).prop_map(|entry| Request::Faults(FaultsEntry::Clear(entry))),
        maybe(any::<bool>()).prop_map(Request::Checks),
    ]
}

fn request_strategy() -> impl Strategy<Value = Request> {
    prop_oneof![
        one_of(&[Request::Identify, Request::Version, Request::Axes, Request::Jobs]),
        (maybe(one_of(EventKind::ALL)), any::<bool>())
            .prop_map(|(kind, show)| Request::Events(EventsEntry { kind, show: Some(show) })),
        Just(Request::Events(EventsEntry::default())),
        maybe(one_of(ControlsAction::ALL)).prop_map(Request::Controls),
        one_of(&[Request::Help(None), Request::Errors(ErrorsEntry::Clear)]),
        Just(Request::Help(Some("goto".into()))),
        one_of(StatusGroup::ALL).prop_map(Request::Status),
        maybe(civil_time_strategy()).prop_map(Request::Time),
        site_strategy().prop_map(Request::Site),
        maybe(1u64..).prop_map(|entry| Request::Errors(ErrorsEntry::Show(entry))),
        (1u64.., span(0, 3_600_000)).prop_map(|(job, within)| Request::Await { job, within }),
        (1u64..).prop_map(|job| Request::Cancel { job }),
        motion_strategy(),
        setting_strategy(),
        alignment_strategy(),
        bench_strategy(),
    ]
}

proptest! {
    /// Parser and printer are each other's inverse.
    #[test]
    fn a_written_request_reads_back_to_itself(request in request_strategy()) {
        prop_assert_eq!(read(&request.to_line()), Ok(request));
    }
}
