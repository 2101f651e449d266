//! What the mount's computer was told: the truth, but for what was entered otherwise.

use super::{air, matter};
use alignment::Model;
use controller::{Settings, Worm};
use kinematics::frames;
use mechanics::MountSpec;
use protocol::{FinalApproach, MeridianPolicy, Rate, SolutionChoice, TrackAxes};
use scenario::{Approach, AxisTiming, Complaint, Plan, Tracking};
use sky::{Air, Horizon, Site};
use units::{Angle, AngularRate, Instant, Span};

pub(super) fn settings(
    plan: &Plan,
    begin: Instant,
    site: &Site,
    true_air: &Air,
    mount: &MountSpec,
) -> Result<Settings, Complaint> {
    let entered = &plan.setup.entered;
    let entered_site = Site::new(
        entered.latitude.unwrap_or(site.latitude()),
        entered.longitude.unwrap_or(site.longitude()),
        entered.height.unwrap_or(site.height()),
    )
    .map_err(|error| plan.complain("setup.entered", error.to_string(), "enter a place on the Earth"))?;
    let entered_air = air(
        entered.pressure.unwrap_or(true_air.pressure()),
        entered.temperature.unwrap_or(true_air.temperature()),
        entered.humidity.unwrap_or(true_air.humidity().fraction()),
    )
    .map_err(|error| plan.complain("setup.entered", error, "enter the air as a weather station gives it"))?;
    let clock = begin + clock_error(plan);
    sky::time::utc_from_instant(clock).map_err(|error| {
        plan.complain("setup.entered", error.to_string(), "keep the mount's clock within 1972 to 2100")
    })?;
    let kind = matter::kind(plan.mount.kind);
    let limits = [mount.axes[0].limits, mount.axes[1].limits];
    let believed_air = if plan.controller.refraction.unwrap_or(true) { entered_air } else { Air::vacuum() };
    let settings = Settings {
        ut1_minus_utc: entered.ut1_minus_utc.or(plan.night.ut1_minus_utc).unwrap_or(Span::ZERO),
        horizon: horizon(plan)?,
        worm: Worm {
            turns: u32::try_from(mount.axes[0].teeth).unwrap_or(u32::MAX),
            index_mark: mount.axes[0].index_mark,
            steepest: mechanics::room_for_correction(&mount.axes[0]),
        },
        correction: mount.axes[0].correction.as_ref().map(|table| table.bins().collect()),
        version: env!("CARGO_PKG_VERSION"),
        ..chosen(plan, Settings::new(kind, entered_site, believed_air, clock, limits))
    };
    home_within(plan, &settings)?;
    Ok(settings)
}

/// A tube that may not point where home is could never go home, nor be parked. The skyline is no such limit: it hides targets,
/// and a tube may rest behind it.
fn home_within(plan: &Plan, settings: &Settings) -> Result<(), Complaint> {
    let model = Model::unaligned(settings.kind, settings.site.latitude());
    let (_, home) = frames::horizontal(&model.direction_for(settings.home));
    let degrees = home.degrees();
    // What the sums leave of a latitude, and less than anybody sets a limit to.
    let room = Angle::from_degrees(1e-6);
    let complain = |key: &str, wrong: &str, would_do: String| {
        let problem =
            format!("home is at an altitude of {degrees:.3} deg, {wrong}: the mount could never go home");
        Err(plan.complain(key, problem, would_do))
    };
    // Rounded towards what is taken, so that the printed number itself will do.
    let thousandths = degrees * 1e3;
    if settings.lowest > home + room {
        let would_do = units::maths::floor(thousandths + 1e-3) / 1e3;
        let remedy =
            format!("write {would_do} deg or lower; targets that are to be higher need site.horizon");
        return complain("mount.altitude_lowest", "below the lowest that is allowed", remedy);
    }
    if settings.highest < home - room {
        let would_do = units::maths::ceil(thousandths - 1e-3) / 1e3;
        let remedy = format!("write {would_do} deg or higher");
        return complain("mount.altitude_highest", "above the highest that is allowed", remedy);
    }
    Ok(())
}

/// The settings that a person chooses, over the usual ones.
fn chosen(plan: &Plan, usual: Settings) -> Settings {
    let (file, mount) = (&plan.controller, &plan.mount);
    let take_up = &file.take_up;
    let (first, second) = if plan.mount.kind.is_equatorial() {
        (take_up.hour_axis, take_up.declination_axis)
    } else {
        (take_up.azimuth_axis, take_up.altitude_axis)
    };
    Settings {
        over_run: mount.over_run.unwrap_or(usual.over_run),
        meridian: mount.meridian.map_or(usual.meridian, |policy| match policy {
            scenario::MeridianPolicy::Stop => MeridianPolicy::Stop,
            scenario::MeridianPolicy::Warn => MeridianPolicy::Warn,
            scenario::MeridianPolicy::Flip => MeridianPolicy::Flip,
        }),
        solution: file.solution_choice.map_or(usual.solution, |choice| match choice {
            scenario::SolutionChoice::ByHourAngle => SolutionChoice::ByHourAngle,
            scenario::SolutionChoice::LongestTrack => SolutionChoice::LongestTrack,
            scenario::SolutionChoice::ShortestSlew => SolutionChoice::ShortestSlew,
            scenario::SolutionChoice::Direct => SolutionChoice::Direct,
            scenario::SolutionChoice::ThroughPole => SolutionChoice::ThroughPole,
        }),
        lowest: mount.altitude_lowest.unwrap_or(usual.lowest),
        highest: mount.altitude_highest.unwrap_or(usual.highest),
        cable_wrap: mount.cable_wrap.unwrap_or(usual.cable_wrap),
        zenith_zone: mount.zenith_zone.unwrap_or(usual.zenith_zone),
        sun_radius: mount.sun_exclusion.unwrap_or(usual.sun_radius),
        axes_together: mount.axis_timing == Some(AxisTiming::Together),
        rate: rate(plan),
        tracking: match file.tracking {
            Some(Tracking::BothAxesFromModel) => TrackAxes::Both,
            Some(Tracking::OneAxis | Tracking::Off) | None => usual.tracking,
        },
        final_approach: file.final_approach.map_or(usual.final_approach, final_approach),
        overshoot: file.approach_overshoot.unwrap_or(usual.overshoot),
        take_up: [first.unwrap_or(Angle::ZERO), second.unwrap_or(Angle::ZERO)],
        ..usual
    }
}

/// How the mount tracks what it was sent to.
fn rate(plan: &Plan) -> Rate {
    let file = &plan.controller;
    if file.tracking == Some(Tracking::Off) {
        return Rate::Off;
    }
    tracking_rate(file.tracking_rate.unwrap_or(scenario::Rate::Sidereal), file.custom_rate)
}

/// A rate as the line has it.
pub(super) fn tracking_rate(rate: scenario::Rate, custom: Option<AngularRate>) -> Rate {
    match rate {
        scenario::Rate::Sidereal => Rate::Sidereal,
        scenario::Rate::Solar => Rate::Solar,
        scenario::Rate::Lunar => Rate::Lunar,
        scenario::Rate::RefractionAveraged => Rate::RefractionAveraged,
        scenario::Rate::Custom => {
            Rate::Custom { hour: custom.unwrap_or(AngularRate::SIDEREAL), declination: AngularRate::ZERO }
        }
    }
}

/// On an alt-azimuth mount the language says west for growing azimuth and north for growing altitude.
fn final_approach(approach: Approach) -> FinalApproach {
    match approach {
        Approach::None => FinalApproach::None,
        Approach::WestNorth | Approach::RightUp => FinalApproach::WestNorth,
        Approach::WestSouth | Approach::RightDown => FinalApproach::WestSouth,
        Approach::EastNorth | Approach::LeftUp => FinalApproach::EastNorth,
        Approach::EastSouth | Approach::LeftDown => FinalApproach::EastSouth,
    }
}

/// How far the mount's clock is ahead of UTC at the begin.
pub(super) fn clock_error(plan: &Plan) -> Span {
    let entered = &plan.setup.entered;
    let saving = if entered.daylight_saving_wrong.unwrap_or(false) {
        Span::from_whole_seconds(3600)
    } else {
        Span::ZERO
    };
    entered.clock_error.unwrap_or(Span::ZERO) + entered.zone_error.unwrap_or(Span::ZERO) + saving
}

/// The skyline; the person tells the mount what they see round them.
pub(super) fn horizon(plan: &Plan) -> Result<Horizon, Complaint> {
    match &plan.site.horizon {
        None => Ok(Horizon::level(Angle::ZERO)),
        Some(scenario::Horizon::Level(altitude)) => Ok(Horizon::level(*altitude)),
        Some(scenario::Horizon::Points(points)) => {
            let corners: Vec<(Angle, Angle)> =
                points.iter().map(|[azimuth, altitude]| (*azimuth, *altitude)).collect();
            Horizon::through(&corners).ok_or_else(|| {
                plan.complain(
                    "site.horizon",
                    "the skyline has no corners, or two at one azimuth",
                    "give each azimuth once",
                )
            })
        }
    }
}
