//! What the mount's computer was told: the truth, but for what was entered otherwise.

use super::{air, matter};
use controller::Settings;
use kinematics::sides;
use mechanics::MountSpec;
use scenario::{Complaint, Plan};
use sky::{Air, Horizon, Site};
use units::{Angle, Instant, Span};

const DEFAULT_OVER_RUN: Angle = Angle::from_degrees(10.0);

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
    Ok(Settings {
        kind,
        site: entered_site,
        air: entered_air,
        ut1_minus_utc: entered.ut1_minus_utc.or(plan.night.ut1_minus_utc).unwrap_or(Span::ZERO),
        clock,
        limits: [mount.axes[0].limits, mount.axes[1].limits],
        over_run: plan.mount.over_run.unwrap_or(DEFAULT_OVER_RUN),
        horizon: horizon(plan)?,
        home: sides::home(kind, entered_site.latitude()),
        version: env!("CARGO_PKG_VERSION"),
        ..Settings::new(kind, entered_site, entered_air, clock, [mount.axes[0].limits, mount.axes[1].limits])
    })
}

/// How far the mount's clock is ahead of UTC at the begin.
fn clock_error(plan: &Plan) -> Span {
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
