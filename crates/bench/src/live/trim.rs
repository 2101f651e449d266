//! The errors that can be changed while the mount runs: name, unit, range, and where each stands in a plan.

use crate::prepare::Prepared;
use mechanics::{AxisSpec, MountSpec};
use scenario::{Axis, Kind, PeriodicTerm, Plan};
use units::{Angle, Span, Speed, Torque};

pub(super) const WIND: &str = "wind";
pub(super) const CLOCK: &str = "clock-error";
const ENTERED_LATITUDE: &str = "entered-latitude-error";

/// Under a load that pulls, friction holds the axis (common practice, no source); a perfect mount has none by itself.
const FRICTION: Torque = Torque::from_newton_metres(0.3);

/// The unit of an error's value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrimUnit {
    /// Arcminutes.
    Arcmin,
    /// Arcseconds.
    Arcsec,
    /// Newton metres.
    NewtonMetres,
    /// Metres in a second.
    MetresPerSecond,
    /// Seconds of time.
    Seconds,
}

impl TrimUnit {
    /// As it is written behind a number.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Arcmin => "arcmin",
            Self::Arcsec => "arcsec",
            Self::NewtonMetres => "N m",
            Self::MetresPerSecond => "m/s",
            Self::Seconds => "s",
        }
    }
}

/// One error.
#[derive(Debug)]
pub struct Trim {
    /// Its name in words.
    pub name: &'static str,
    /// The unit of all that follows.
    pub unit: TrimUnit,
    /// Lower bound.
    pub least: f64,
    /// Upper bound.
    pub most: f64,
    /// Step of a slider.
    pub step: f64,
    /// What is usual, by size (common practice, no source).
    pub usual: (f64, f64),
    mounts: Mounts,
    read: fn(&Prepared) -> f64,
    write: fn(&mut Plan, &MountSpec, f64),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mounts {
    All,
    Equatorial,
    AltAzimuth,
}

impl Trim {
    pub(super) fn serves(&self, plan: &Plan) -> bool {
        match self.mounts {
            Mounts::All => true,
            Mounts::Equatorial => plan.mount.kind.is_equatorial(),
            Mounts::AltAzimuth => !plan.mount.kind.is_equatorial(),
        }
    }

    /// What a night has, whether its file says so or it was drawn.
    pub(super) fn value(&self, night: &Prepared) -> f64 {
        (self.read)(night)
    }

    /// Writes a value into a plan; `mount` is what the plan came to before.
    pub(super) fn write(&self, plan: &mut Plan, mount: &MountSpec, value: f64) {
        (self.write)(plan, mount, value);
    }

    /// Whether it is something that the mount was told, not how it is made or stands.
    pub fn is_told(&self) -> bool {
        matches!(self.name, CLOCK | ENTERED_LATITUDE)
    }
}

fn arcmin(angle: Option<Angle>) -> f64 {
    angle.unwrap_or(Angle::ZERO).arcmin()
}

/// An error that is one key holding an angle in arcminutes; where it is read from, and where written to.
macro_rules! angle_trim {
    ($name:literal, $mounts:ident, $most:literal, $usual:expr, $read:expr, $($key:ident).+) => {
        Trim {
            name: $name,
            unit: TrimUnit::Arcmin,
            least: -$most,
            most: $most,
            step: 0.5,
            usual: $usual,
            mounts: Mounts::$mounts,
            read: $read,
            write: |plan, _, value| plan.$($key).+ = Some(Angle::from_arcmin(value)),
        }
    };
}

/// An error of one axis's gears in arcseconds.
macro_rules! gear_trim {
    ($name:literal, $mounts:ident, $most:literal, $usual:expr, $axis:expr, $read:expr, $write:expr) => {
        Trim {
            name: $name,
            unit: TrimUnit::Arcsec,
            least: 0.0,
            most: $most,
            step: 1.0,
            usual: $usual,
            mounts: Mounts::$mounts,
            read: |night| $read(&night.world.mount.axes[$axis]),
            write: |plan, mount, value| $write(axis_mut(plan, $axis), &mount.axes[$axis], value),
        }
    };
}

macro_rules! load_trim {
    ($name:literal, $mounts:ident, $axis:expr) => {
        Trim {
            name: $name,
            unit: TrimUnit::NewtonMetres,
            least: 0.0,
            most: 3.0,
            step: 0.1,
            usual: (0.2, 1.0),
            mounts: Mounts::$mounts,
            read: |night| night.world.mount.axes[$axis].imbalance.newton_metres(),
            write: |plan, mount, value| {
                let known = mount.axes[$axis].friction;
                let axis = axis_mut(plan, $axis);
                axis.imbalance = Some(Torque::from_newton_metres(value));
                if known == Torque::ZERO {
                    axis.friction = Some(FRICTION);
                }
            },
        }
    };
}

fn play(axis: &AxisSpec) -> f64 {
    axis.backlash.arcsec()
}

fn set_play(axis: &mut Axis, _: &AxisSpec, value: f64) {
    axis.backlash = Some(Angle::from_arcsec(value));
}

/// The amplitude of the worm's first harmonic.
fn wave(axis: &AxisSpec) -> f64 {
    let terms = axis.worm_errors[0].iter().filter(|term| term.order == 1.0);
    terms.map(|term| term.amplitude.arcsec()).sum()
}

/// The other harmonics stay, those of the grade, too.
fn set_wave(axis: &mut Axis, present: &AxisSpec, value: f64) {
    let known = present.worm_errors[0].iter();
    let mut terms: Vec<PeriodicTerm> = known
        .map(|term| PeriodicTerm {
            harmonic: term.order,
            amplitude: term.amplitude,
            phase: Some(term.phase.wrapped_signed()),
        })
        .collect();
    let phase = terms.iter().find(|term| term.harmonic == 1.0).and_then(|term| term.phase);
    terms.retain(|term| term.harmonic != 1.0);
    if value > 0.0 {
        let amplitude = Angle::from_arcsec(value);
        terms.insert(0, PeriodicTerm { harmonic: 1.0, amplitude, phase: phase.or(Some(Angle::ZERO)) });
    }
    axis.periodic_error = Some(terms);
}

fn axis_mut(plan: &mut Plan, index: usize) -> &mut Axis {
    let mount = &mut plan.mount;
    let axis = match (mount.kind, index) {
        (Kind::AltAzimuth, 0) => &mut mount.azimuth_axis,
        (Kind::AltAzimuth, _) => &mut mount.altitude_axis,
        (_, 0) => &mut mount.hour_axis,
        _ => &mut mount.declination_axis,
    };
    axis.get_or_insert_default()
}

/// All errors, in the order in which they are shown.
pub static TRIMS: &[Trim] = &[
    gear_trim!("hour-play", Equatorial, 900.0, (60.0, 300.0), 0, play, set_play),
    gear_trim!("declination-play", Equatorial, 900.0, (60.0, 300.0), 1, play, set_play),
    gear_trim!("azimuth-play", AltAzimuth, 900.0, (60.0, 300.0), 0, play, set_play),
    gear_trim!("altitude-play", AltAzimuth, 900.0, (60.0, 300.0), 1, play, set_play),
    gear_trim!("hour-wave", Equatorial, 60.0, (5.0, 30.0), 0, wave, set_wave),
    gear_trim!("declination-wave", Equatorial, 60.0, (5.0, 30.0), 1, wave, set_wave),
    gear_trim!("azimuth-wave", AltAzimuth, 60.0, (5.0, 30.0), 0, wave, set_wave),
    gear_trim!("altitude-wave", AltAzimuth, 60.0, (5.0, 30.0), 1, wave, set_wave),
    angle_trim!(
        "polar-altitude",
        Equatorial,
        300.0,
        (5.0, 60.0),
        |night| arcmin(night.effective.setup.polar_altitude_error),
        setup.polar_altitude_error
    ),
    angle_trim!(
        "polar-azimuth",
        Equatorial,
        300.0,
        (5.0, 60.0),
        |night| arcmin(night.effective.setup.polar_azimuth_error),
        setup.polar_azimuth_error
    ),
    angle_trim!(
        "lean-north",
        AltAzimuth,
        180.0,
        (5.0, 30.0),
        |night| arcmin(night.effective.setup.lean_north),
        setup.lean_north
    ),
    angle_trim!(
        "lean-east",
        AltAzimuth,
        180.0,
        (5.0, 30.0),
        |night| arcmin(night.effective.setup.lean_east),
        setup.lean_east
    ),
    angle_trim!(
        "hour-mark",
        Equatorial,
        180.0,
        (5.0, 30.0),
        |night| arcmin(night.effective.setup.home_hour_error),
        setup.home_hour_error
    ),
    angle_trim!(
        "declination-mark",
        Equatorial,
        180.0,
        (5.0, 30.0),
        |night| arcmin(night.effective.setup.home_declination_error),
        setup.home_declination_error
    ),
    angle_trim!(
        "azimuth-mark",
        AltAzimuth,
        180.0,
        (5.0, 60.0),
        |night| arcmin(night.effective.setup.home_azimuth_error),
        setup.home_azimuth_error
    ),
    angle_trim!(
        "altitude-mark",
        AltAzimuth,
        180.0,
        (5.0, 30.0),
        |night| arcmin(night.effective.setup.home_altitude_error),
        setup.home_altitude_error
    ),
    angle_trim!(
        "cone",
        All,
        60.0,
        (2.0, 10.0),
        |night| night.world.mount.geometry.cone_error.arcmin(),
        mount.geometry.cone_error
    ),
    angle_trim!(
        "axis-skew",
        All,
        60.0,
        (1.0, 5.0),
        |night| night.world.mount.geometry.axis_skew.arcmin(),
        mount.geometry.axis_skew
    ),
    angle_trim!(
        "tube-flexure",
        All,
        20.0,
        (0.5, 3.0),
        |night| night.world.mount.geometry.tube_flexure.arcmin(),
        mount.geometry.tube_flexure
    ),
    // A moment about an axis that stands upright pulls nowhere.
    load_trim!("hour-imbalance", Equatorial, 0),
    load_trim!("second-imbalance", All, 1),
    Trim {
        name: WIND,
        unit: TrimUnit::MetresPerSecond,
        least: 0.0,
        most: 15.0,
        step: 0.5,
        usual: (2.0, 8.0),
        mounts: Mounts::All,
        read: |_| 0.0,
        write: |_, _, _| {},
    },
    Trim {
        name: CLOCK,
        unit: TrimUnit::Seconds,
        least: -7200.0,
        most: 7200.0,
        step: 10.0,
        usual: (5.0, 3600.0),
        mounts: Mounts::All,
        read: |night| {
            let entered = &night.effective.setup.entered;
            let saving = if entered.daylight_saving_wrong == Some(true) { 3600.0 } else { 0.0 };
            let parts = [entered.clock_error, entered.zone_error];
            saving + parts.into_iter().flatten().map(Span::seconds).sum::<f64>()
        },
        write: |plan, _, value| {
            let entered = &mut plan.setup.entered;
            entered.clock_error = Some(Span::from_seconds(value));
            (entered.zone_error, entered.daylight_saving_wrong) = (None, None);
        },
    },
    Trim {
        name: ENTERED_LATITUDE,
        unit: TrimUnit::Arcmin,
        least: -300.0,
        most: 300.0,
        step: 5.0,
        usual: (5.0, 60.0),
        mounts: Mounts::All,
        read: |night| {
            let truth = night.plan.site.latitude;
            night.effective.setup.entered.latitude.map_or(0.0, |entered| (entered - truth).arcmin())
        },
        write: |plan, _, value| {
            let latitude = plan.site.latitude + Angle::from_arcmin(value);
            let pole = Angle::QUARTER;
            plan.setup.entered.latitude = Some(latitude.max(-pole).min(pole));
        },
    },
];

impl super::Live {
    /// The plan, with the wind that blows now as a disturbance at its begin.
    pub(super) fn plan_with_wind(&self) -> Plan {
        let plan = self.plan();
        if self.wind == Speed::ZERO {
            return plan.clone();
        }
        let text = format!(
            "{}\n[[disturb]]\nat = \"{}\"\nkind = \"wind\"\nspeed = \"{} m/s\"\nfrom = \"270 deg\"\n",
            Plan { disturb: Vec::new(), ..plan.clone() }.canonical_toml(),
            plan.night.begin.time,
            self.wind.metres_per_second(),
        );
        let with = scenario::read(&text)
            .unwrap_or_else(|complaints| unreachable!("a plan and a wind make a plan: {complaints:?}"));
        Plan { disturb: plan.disturb.iter().cloned().chain(with.disturb).collect(), ..plan.clone() }
    }
}
