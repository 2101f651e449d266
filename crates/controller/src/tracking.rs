//! Tracking: the base motions that follow the sky.

use crate::Controller;
use crate::follower::{Course, Follower};
use crate::motion::Base;
use crate::motors::Motors;
use crate::target::Target;
use kinematics::path::Path;
use kinematics::{AxisAngles, Branch, Kind};
use protocol::{Fields, Rate, Refusal, RefusalKind, TrackAxes, TrackEntry};
use sky::{Body, Source};
use std::sync::Arc;
use units::{Angle, AngularRate, Span};

/// The mean Sun: a turn in 24 hours.
const SOLAR: AngularRate = AngularRate::from_arcsec(15.0);
/// Minutes in a turn with the stars as refraction lets them move on the average (E. S. King, A Manual of Celestial
/// Photography, 1931).
const REFRACTION_AVERAGED_MINUTES: f64 = 1436.46;

/// The steady rate of the hour axis, by the computer's own clock; the Moon's is not steady.
pub(crate) fn hour_rate(rate: Rate) -> AngularRate {
    match rate {
        Rate::Off | Rate::Lunar => AngularRate::ZERO,
        Rate::Sidereal => AngularRate::SIDEREAL,
        Rate::Solar => SOLAR,
        Rate::RefractionAveraged => {
            AngularRate::from_radians(Angle::TURN.radians() / (REFRACTION_AVERAGED_MINUTES * 60.0))
        }
        Rate::Custom { hour, .. } => hour,
    }
}

/// The steady rate of the declination axis.
pub(crate) fn declination_rate(rate: Rate, branch: Branch) -> AngularRate {
    match rate {
        Rate::Custom { declination, .. } => declination * declination_sense(branch),
        _ => AngularRate::ZERO,
    }
}

/// The solution to which dials belong.
pub(crate) fn branch_of_dials(dials: AxisAngles) -> Branch {
    if dials.second.wrapped_signed().abs() <= Angle::QUARTER { Branch::Direct } else { Branch::ThroughPole }
}

/// +1 where the declination dial grows northward, −1 through the pole.
pub(crate) fn declination_sense(branch: Branch) -> f64 {
    match branch {
        Branch::Direct => 1.0,
        Branch::ThroughPole => -1.0,
    }
}

impl Controller {
    pub(crate) fn track(
        &mut self,
        entry: &TrackEntry,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        if *entry != TrackEntry::default() {
            self.idle()?;
            let (rate, axes) =
                (entry.rate.unwrap_or(self.motion.rate), entry.axes.unwrap_or(self.track_axes));
            if rate != Rate::Off {
                self.not_parked()?;
            }
            self.tracking_fits(rate, axes)?;
            let base = self.base_from(rate, axes, now)?;
            self.track_axes = axes;
            self.begin_motion(base, [None, None], now, motors);
        }
        Ok(Fields::new().text("rate", self.motion.rate.word()).text("axes", self.track_axes.word()))
    }

    fn tracking_fits(&self, rate: Rate, axes: TrackAxes) -> Result<(), Refusal> {
        if axes == TrackAxes::One && self.settings.kind == Kind::AltAzimuth {
            let sentence =
                "an alt-azimuth mount has no hour axis to turn by itself; it tracks with axes=both";
            return Err(Refusal::new(RefusalKind::WrongKind, sentence));
        }
        if axes == TrackAxes::Both && rate == Rate::RefractionAveraged {
            let sentence = "both axes follow refraction as it is; take rate=sidereal, or axes=one";
            return Err(Refusal::new(RefusalKind::ConflictingKeys, sentence));
        }
        Ok(())
    }

    /// The base motion of a rate from where the axes were ordered to be at `now`.
    pub(crate) fn base_from(&self, rate: Rate, axes: TrackAxes, now: Span) -> Result<Base, Refusal> {
        let dials = self.motion.dials(now);
        let branch = branch_of_dials(dials);
        if rate == Rate::Off {
            let paths = [Path::hold(now, dials.first), Path::hold(now, dials.second)];
            return Ok(Base { paths, rate, axes, follower: None });
        }
        if axes == TrackAxes::Both {
            let target = self.target_here(rate, dials, now);
            return self.following(Course::Model { target, branch }, dials, rate, axes, now);
        }
        let sense = declination_sense(branch);
        if rate == Rate::Lunar {
            let track = Arc::new(self.belief.track(&Source::Body(Body::Moon)));
            return self.following(Course::Rates { track, sense }, dials, rate, axes, now);
        }
        let second = declination_rate(rate, branch);
        let paths =
            [Path::steady(now, dials.first, hour_rate(rate)), Path::steady(now, dials.second, second)];
        Ok(Base { paths, rate, axes, follower: None })
    }

    /// What both axes follow at a rate, if it stands where the tube points now.
    pub(crate) fn target_here(&self, rate: Rate, dials: AxisAngles, now: Span) -> Target {
        let direction = self.belief.model().direction_for(dials);
        let here = Target::at(&direction, &self.belief, now);
        let slower = AngularRate::SIDEREAL - hour_rate(rate);
        match rate {
            Rate::Lunar => {
                let moon = Arc::new(self.belief.track(&Source::Body(Body::Moon)));
                Target::of(moon).moved_to(&direction, &self.belief, now)
            }
            Rate::Custom { declination, .. } => here.drifting(slower, declination, now),
            Rate::Solar => here.drifting(slower, AngularRate::ZERO, now),
            Rate::Off | Rate::Sidereal | Rate::RefractionAveraged => here,
        }
    }

    /// Follows a course with the dials that hold now; what the course differs from them stays as it is.
    pub(crate) fn following(
        &self,
        course: Course,
        dials: AxisAngles,
        rate: Rate,
        axes: TrackAxes,
        now: Span,
    ) -> Result<Base, Refusal> {
        let here = [dials.first, dials.second];
        let (mut follower, mut paths) = Follower::begin(course, here, &self.belief, now)
            .map_err(|short| Refusal::new(RefusalKind::Unreachable, short.to_string()))?;
        let shift = [0, 1].map(|axis| here[axis] - paths[axis].position(now));
        follower.shift(shift);
        for (path, by) in paths.iter_mut().zip(shift) {
            *path = path.shifted(Span::ZERO, by);
        }
        Ok(Base { paths, rate, axes, follower: Some(follower) })
    }

    /// What is followed is from now on the place where the tube stands, by what is believed now: after a nudge, and when the clock
    /// or the site was changed. What is laid over goes on.
    pub(crate) fn follow_from_here(&mut self, now: Span, motors: &mut impl Motors) {
        let Some(follower) = &self.motion.follower else { return };
        let base = &self.motion.base;
        let dials = AxisAngles { first: base[0].position(now), second: base[1].position(now) };
        let course = match &follower.course {
            Course::Model { target, branch } => {
                let direction = self.belief.model().direction_for(dials);
                let target = target.moved_to(&direction, &self.belief, now);
                Course::Model { target, branch: *branch }
            }
            Course::Rates { .. } => follower.course.clone(),
        };
        // There is a way to where the tube already points; were there none, the old base goes on.
        if let Ok(base) = self.following(course, dials, self.motion.rate, self.motion.axes, now) {
            let over = self.motion.over.clone();
            self.begin_motion(base, over, now, motors);
        }
    }

    /// Makes more of the base motion if it is due.
    pub(crate) fn extend_base(&mut self, now: Span, motors: &mut impl Motors) {
        let motion = &mut self.motion;
        let Some(follower) = motion.follower.as_mut().filter(|one| !one.ended && one.renew_at() <= now)
        else {
            return;
        };
        follower.extend(&mut motion.base, &self.belief, now);
        let (watched_from, happening) = (motion.watched_from, motion.happening);
        self.send(now, motors);
        self.motion.watched_from = watched_from;
        self.motion.happening = happening;
    }
}
