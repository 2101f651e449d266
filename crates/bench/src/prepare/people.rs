//! The person of the night: what they set up, how well they work, what they have in mind.

use super::{machine, targets};
use mechanics::MountSpec;
use observer::setup::{Left, PolarSight, SetupIntent, Surroundings, set_up};
use observer::{
    AlignmentIntent, Approach, Care, Entered, Handset, LaterSighting, Method, Person, PlayIntent,
    PolarAdjust, RecordingIntent, Recovery, Replaced, WhenAsked,
};
use scenario::{Complaint, Grade, Plan, Stars};
use sky::{Air, Geocentre, Site, Station, magnetic, pole};
use std::sync::Arc;
use units::{Angle, AngularRate, Instant, Share, Span, Streams, maths};

/// How carefully the person works: `usual` where nothing is said, `perfect` with a perfect mount.
pub(super) fn care(plan: &Plan) -> Care {
    match plan.setup.care {
        Some(scenario::Care::Hurried) => Care::Hurried,
        Some(scenario::Care::Usual) => Care::Usual,
        Some(scenario::Care::Careful) => Care::Careful,
        Some(scenario::Care::Perfect) => Care::Perfect,
        None if plan.mount.grade == Some(Grade::Perfect) => Care::Perfect,
        None => Care::Usual,
    }
}

/// The plan with everything in `[setup]` that the person did and the file is silent about. What the file says stays.
pub(super) fn with_setup(
    plan: &Plan,
    site: &Site,
    air: &Air,
    begin: Instant,
    ut1_minus_tai: Span,
    streams: &Streams,
) -> Result<Plan, Complaint> {
    let intent = SetupIntent {
        care: care(plan),
        polar_sight: plan.setup.polar_sight.map(polar_sight),
        finder_mark: plan.setup.finder_mark,
        lean: [plan.setup.lean_north, plan.setup.lean_east],
    };
    let place = surroundings(plan, site, air, begin, ut1_minus_tai, &intent)?;
    let left = set_up(&intent, &place, streams);
    let mut plan = plan.clone();
    fill(&mut plan, &left);
    Ok(plan)
}

fn fill(plan: &mut Plan, left: &Left) {
    let equatorial = plan.mount.kind.is_equatorial();
    let setup = &mut plan.setup;
    let or = |key: &mut Option<Angle>, value: Angle| {
        if value != Angle::ZERO {
            key.get_or_insert(value);
        }
    };
    if equatorial {
        or(&mut setup.polar_altitude_error, left.polar_altitude);
        or(&mut setup.polar_azimuth_error, left.polar_azimuth);
        or(&mut setup.home_hour_error, left.home[0]);
        or(&mut setup.home_declination_error, left.home[1]);
    } else {
        // The base of an alt-azimuth mount is turned to the north as a polar axis would be.
        or(&mut setup.home_azimuth_error, left.home[0] + left.polar_azimuth);
        or(&mut setup.home_altitude_error, left.home[1]);
    }
    or(&mut setup.lean_north, left.lean_north);
    or(&mut setup.lean_east, left.lean_east);
    // The ground under a mount that wasn't moved has given way the evening before.
    if plan.alignment.method != Some(scenario::Method::Resume) {
        or(&mut setup.settling, left.settling);
    }
    if left.finder != [Angle::ZERO; 2] {
        setup.finder_offset.get_or_insert(left.finder);
    }
}

/// What stands round the mount; looked up only where the person's sight needs it.
fn surroundings(
    plan: &Plan,
    site: &Site,
    air: &Air,
    begin: Instant,
    ut1_minus_tai: Span,
    intent: &SetupIntent,
) -> Result<Surroundings, Complaint> {
    let mut place = Surroundings {
        latitude: site.latitude(),
        magnetic_declination: Angle::ZERO,
        pole_star: (Angle::ZERO, Angle::ZERO),
    };
    match intent.polar_sight {
        Some(PolarSight::Compass) => {
            place.magnetic_declination = match plan.site.magnetic_declination {
                Some(given) => given,
                None => {
                    magnetic::magnetic_field(site.latitude(), site.longitude(), site.height(), begin)
                        .map_err(|error| {
                            let remedy = "give site.magnetic_declination";
                            plan.complain("setup.polar_sight", error.to_string(), remedy)
                        })?
                        .declination
                }
            };
        }
        Some(PolarSight::PoleStar) => {
            let station = Station::new(*site, *air, ut1_minus_tai);
            let star = pole::pole_star(&Arc::new(Geocentre::new(begin, begin)), &station, begin);
            place.pole_star = (star.altitude_offset, star.azimuth_offset);
        }
        None
        | Some(PolarSight::CorrectedCompass | PolarSight::OffsetPoleStar | PolarSight::SightingScope) => {}
    }
    Ok(place)
}

fn polar_sight(file: scenario::PolarSight) -> PolarSight {
    match file {
        scenario::PolarSight::Compass => PolarSight::Compass,
        scenario::PolarSight::CorrectedCompass => PolarSight::CorrectedCompass,
        scenario::PolarSight::PoleStar => PolarSight::PoleStar,
        scenario::PolarSight::OffsetPoleStar => PolarSight::OffsetPoleStar,
        scenario::PolarSight::SightingScope => PolarSight::SightingScope,
    }
}

/// The person's skills: those of the care, with what the file says over them.
pub(super) fn person(plan: &Plan) -> Person {
    let file = &plan.observer;
    let usual = Person::of(care(plan));
    Person {
        finder_centring: file.finder_centring.unwrap_or(usual.finder_centring),
        eyepiece_centring: file.eyepiece_centring.unwrap_or(usual.eyepiece_centring),
        // Whoever gives the whole error of centring has the shift of focusing in it.
        focus_shift: if file.eyepiece_centring.is_some() { Angle::ZERO } else { usual.focus_shift },
        approach: file.final_approach.and_then(approach),
        approach_kept: file.approach_kept.unwrap_or(usual.approach_kept),
        wrong_star: file.wrong_star.unwrap_or(Share::ZERO),
        view_mistaken: file.view_mistaken.unwrap_or(Share::ZERO),
        reaction: file.reaction.unwrap_or(usual.reaction),
        shortest_press: file.shortest_press.unwrap_or(usual.shortest_press),
        when_missed: match file.when_missed {
            None | Some(scenario::Recovery::GoOn) => Recovery::GoOn,
            Some(scenario::Recovery::Search) => Recovery::Search,
            Some(scenario::Recovery::SightNearby) => Recovery::SightNearby,
            Some(scenario::Recovery::ReplaceSighting) => Recovery::ReplaceSighting,
            Some(scenario::Recovery::StartOver) => Recovery::StartOver,
        },
        seeing: file.seeing.unwrap_or(usual.seeing),
        when_asked: match file.when_asked {
            None => usual.when_asked,
            Some(scenario::WhenAsked::GoOn) => WhenAsked::GoOn,
            Some(scenario::WhenAsked::LookAgain) => WhenAsked::LookAgain,
        },
        ..usual
    }
}

fn approach(file: scenario::Approach) -> Option<Approach> {
    use scenario::Approach as File;
    let (first, second) = match file {
        File::None => return None,
        File::WestNorth | File::RightUp => (1.0, 1.0),
        File::WestSouth | File::RightDown => (1.0, -1.0),
        File::EastNorth | File::LeftUp => (-1.0, 1.0),
        File::EastSouth | File::LeftDown => (-1.0, -1.0),
    };
    Some(Approach { first, second })
}

pub(super) fn handset(plan: &Plan, mount: &MountSpec) -> Handset {
    let [first, second] = [0, 1].map(|axis| mount.axes[axis].limits);
    Handset {
        alt_azimuth: !plan.mount.kind.is_equatorial(),
        full_rate: first.rate.min(second.rate),
        acceleration: first.acceleration.min(second.acceleration),
        jerk: match (first.jerk, second.jerk) {
            (Some(first), Some(second)) => Some(first.min(second)),
            (one, other) => one.or(other),
        },
        view: targets::view(plan),
        latitude: plan.setup.entered.latitude.unwrap_or(plan.site.latitude),
        entered: Entered {
            clock_fast: machine::clock_error(plan),
            latitude: plan.setup.entered.latitude.map(|_| plan.site.latitude),
            longitude: plan.setup.entered.longitude.map(|_| plan.site.longitude),
        },
    }
}

pub(super) fn alignment(plan: &Plan) -> Option<AlignmentIntent> {
    let method = match plan.alignment.method {
        None | Some(scenario::Method::None) => return None,
        Some(scenario::Method::MoonOrPlanet) => Method::MoonOrPlanet,
        Some(scenario::Method::Resume) => Method::Resume,
        Some(scenario::Method::OneStar) => Method::OneStar,
        Some(scenario::Method::TwoStar) => Method::TwoStar,
        Some(scenario::Method::ManyStar) => Method::ManyStar,
    };
    let stars = match &plan.alignment.stars {
        None | Some(Stars::Auto) => Vec::new(),
        Some(Stars::Named(names)) => names.iter().map(|name| name.0.clone()).collect(),
    };
    let refine = plan.alignment.refine.map_or(0, |count| count as usize);
    let estimator = plan.alignment.estimator.filter(|_| method != Method::Resume).map(|one| match one {
        scenario::Estimator::Rotation => "rotation",
        scenario::Estimator::FullModel => "full-model",
    });
    Some(AlignmentIntent { method, estimator, stars, refine })
}

pub(super) fn polar(plan: &Plan) -> Option<PolarAdjust> {
    match plan.alignment.polar_adjust {
        None | Some(scenario::PolarAdjust::None) => None,
        Some(scenario::PolarAdjust::StarOffset) => Some(PolarAdjust::StarOffset),
        Some(scenario::PolarAdjust::Drift) => Some(PolarAdjust::Drift),
    }
}

/// How a correction of the periodic error is recorded; refused where the night is shorter than that.
pub(super) fn recording(plan: &Plan, mount: &MountSpec) -> Result<Option<RecordingIntent>, Complaint> {
    let Some(file) = &plan.observer.periodic_error else { return Ok(None) };
    let turn = Span::from_seconds(
        Angle::TURN.radians() / mount.axes[0].teeth as f64 / AngularRate::SIDEREAL.radians(),
    );
    let (night, lasts) = (plan.night.length, turn * (file.record_turns as i64));
    if lasts > night {
        let turns = if file.record_turns == 1 {
            "one turn".to_owned()
        } else {
            format!("{} turns", file.record_turns)
        };
        let problem = format!(
            "{turns} of this worm take {:.1} min, and the night lasts {:.1} min",
            lasts.minutes(),
            night.minutes()
        );
        let room = maths::floor(night.seconds() / turn.seconds());
        let expected = if room >= 1.0 {
            format!("record at most {room:.0}, or make `night.length` longer")
        } else {
            format!("make `night.length` longer than {:.1} min", turn.minutes())
        };
        return Err(plan.complain("observer.periodic_error.record_turns", problem, expected));
    }
    Ok(Some(RecordingIntent {
        turns: file.record_turns,
        star: file.star.as_ref().map(|name| name.0.clone()),
        interval: file.guide_interval.unwrap_or(Span::from_whole_seconds(10)),
        playback: file.playback.unwrap_or(true),
    }))
}

pub(super) fn play(plan: &Plan) -> Option<PlayIntent> {
    let file = plan.observer.play.as_ref()?;
    Some(PlayIntent {
        rounds: file.rounds,
        star: file.star.as_ref().map(|name| name.0.clone()),
        set_take_up: file.set_take_up.unwrap_or(true),
    })
}

/// The bolts as this person turns them: with everything filled in that the file is silent about.
pub(super) fn bolts(plan: &Plan) -> Bolts {
    let file = &plan.mount.bolts;
    let (arcsec, arcmin) = (Angle::from_arcsec, Angle::from_arcmin);
    let perfect = plan.mount.grade == Some(Grade::Perfect);
    let or = |key: Option<Angle>, usual: Angle| key.unwrap_or(if perfect { Angle::ZERO } else { usual });
    let locking = match care(plan) {
        Care::Hurried => 5.0,
        Care::Usual => 3.0,
        Care::Careful => 2.0,
        Care::Perfect => 0.0,
    };
    Bolts {
        pitch: file.pitch.unwrap_or(Angle::from_degrees(1.0)),
        step: or(file.step, arcsec(20.0)),
        cross_talk: file.cross_talk.map_or(if perfect { 0.0 } else { 0.03 }, |share| share.fraction()),
        locking_shift: file.locking_shift.unwrap_or(arcmin(locking)),
    }
}

/// The altitude and azimuth bolts under the polar axis.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bolts {
    /// How far one turn moves the axis.
    pub(crate) pitch: Angle,
    /// The least that a hand turns, as an angle of the axis.
    pub(crate) step: Angle,
    /// How much of each bolt's turn the other direction gets.
    pub(crate) cross_talk: f64,
    /// What locking shifts the axis by, one sigma in each direction.
    pub(crate) locking_shift: Angle,
}

/// The sightings that are planned for later, by rising time; those of one time in the file's order.
pub(super) fn later(plan: &Plan, begin: Instant) -> Result<Vec<LaterSighting>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut all = Vec::new();
    for (index, file) in plan.alignment.later.iter().enumerate() {
        match plan.instant_of(file.at) {
            Ok(at) => all.push(LaterSighting {
                at: at - begin,
                star: file.target.0.clone(),
                replaces: match file.replaces {
                    None | Some(scenario::Replaced::None) => Replaced::None,
                    Some(scenario::Replaced::Nearest) => Replaced::Nearest,
                    Some(scenario::Replaced::Oldest) => Replaced::Oldest,
                },
            }),
            Err(error) => {
                let key = format!("alignment.later[{index}].at");
                complaints.push(plan.complain(&key, error.to_string(), "write a time of day of this night"));
            }
        }
    }
    all.sort_by_key(|sighting| sighting.at);
    if complaints.is_empty() { Ok(all) } else { Err(complaints) }
}
