//! Nudges and guide corrections: motions laid over tracking.

use crate::Controller;
use crate::motion::{Over, OverKind};
use crate::motors::{Axis, Motors};
use crate::tracking::{branch_of_dials, declination_sense};
use alignment::Sense;
use kinematics::path::Path;
use kinematics::profile::stopping_from;
use kinematics::{AxisAngles, Kind, frames};
use nalgebra::Vector3;
use protocol::{Direction, Fields, NudgeEnd, NudgeRate, Refusal, RefusalKind};
use units::{Angle, AngularRate, Span};

impl Controller {
    pub(crate) fn nudge(
        &mut self,
        direction: Direction,
        rate: NudgeRate,
        end: NudgeEnd,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        let (span, held) = match end {
            NudgeEnd::For(span) => (span, false),
            NudgeEnd::Held(hold) => (hold.unwrap_or(self.settings.dead_man), true),
        };
        let speed = match rate {
            NudgeRate::Half => Some(AngularRate::SIDEREAL * 0.5),
            NudgeRate::Two => Some(AngularRate::SIDEREAL * 2.0),
            NudgeRate::Twenty => Some(AngularRate::SIDEREAL * 20.0),
            NudgeRate::Hundred => Some(AngularRate::SIDEREAL * 100.0),
            NudgeRate::Full => None,
        };
        let fields = self.lay_over(direction, speed, span, OverKind::Nudge { held }, now, motors)?;
        self.correction.interrupt();
        Ok(fields)
    }

    pub(crate) fn guide(
        &mut self,
        direction: Direction,
        span: Span,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        let nudged = |over: &Over| matches!(over.kind, OverKind::Nudge { .. });
        if self.motion.over.iter().flatten().any(nudged) {
            return Err(Refusal::new(RefusalKind::Busy, "a nudge is under way; await its end or release it"));
        }
        let planned = |controller: &Self| {
            let over = controller.motion.over[0].as_ref();
            over.map_or(Angle::ZERO, |over| over.path.position(over.ends()))
        };
        let before = planned(self);
        let rate = self.settings.guide_rate;
        let fields = self.lay_over(direction, Some(rate), span, OverKind::Guide, now, motors)?;
        if matches!(direction, Direction::East | Direction::West) {
            self.note_correction(planned(self) - before, now);
        }
        Ok(fields)
    }

    /// Lets go of all nudges and corrections.
    pub(crate) fn release(&mut self, now: Span, motors: &mut impl Motors) -> Fields {
        let limits = self.settings.limits;
        let mut ends = now;
        let mut any = false;
        for (over, limits) in self.motion.over.iter_mut().zip(&limits) {
            let Some(over) = over.as_mut().filter(|over| over.kind != OverKind::Slew) else { continue };
            if over.ends() > now {
                over.path = over.path.brought_to_rest(now, limits);
            }
            over.kind = OverKind::Nudge { held: false };
            ends = ends.max(over.ends());
            any = true;
        }
        if any {
            self.correction.interrupt();
            self.send(now, motors);
        }
        Fields::new().seconds("seconds", ends - now)
    }

    fn lay_over(
        &mut self,
        direction: Direction,
        speed: Option<AngularRate>,
        span: Span,
        kind: OverKind,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle_but_for_nudges()?;
        self.not_parked()?;
        let rates = self.axis_rates(direction, speed, now)?;
        let mut over = self.motion.over.clone();
        for (axis, rate) in rates.into_iter().enumerate() {
            if let Some(rate) = rate {
                over[axis] = Some(Over { path: self.pushed(axis, rate, span, now), kind });
            }
        }
        let ends = over.iter().flatten().map(Over::ends).fold(now, Span::max);
        self.within_limits(&over, now, ends)?;
        if kind != OverKind::Guide {
            self.motion.come.let_go = None;
            for (axis, rate) in rates.into_iter().enumerate() {
                if let Some(rate) = rate {
                    let turning = (self.motion.base[axis].rate(now) + rate).radians();
                    self.motion.come.senses[axis] = sense_of(turning);
                }
            }
        }
        self.motion.over = over;
        self.send(now, motors);
        Ok(Fields::new().seconds("seconds", ends - now))
    }

    /// What is over an axis from now on: from the present rate to another one, and back to nothing after `span`, within limits.
    fn pushed(&self, axis: usize, rate: AngularRate, span: Span, now: Span) -> Path {
        let limits = &self.settings.limits[axis];
        let rest = Path::hold(now, Angle::ZERO);
        let present = self.motion.over[axis].as_ref().map_or(&rest, |over| &over.path);
        let change = stopping_from(present.rate(now) - rate, present.acceleration(now), limits);
        let steady = Path::steady(now, present.position(now), rate);
        steady.sum(&change.shifted(now, Angle::ZERO)).brought_to_rest(now + span, limits)
    }

    /// The rate of each axis that turns; at full speed if none is given.
    fn axis_rates(
        &self,
        direction: Direction,
        speed: Option<AngularRate>,
        now: Span,
    ) -> Result<[Option<AngularRate>; 2], Refusal> {
        let alt_azimuth = self.settings.kind == Kind::AltAzimuth;
        let along = |axis: Axis, sense: f64| {
            // At full speed the base motion's own rate is left free.
            let base = self.motion.base[axis.index()].rate(now).abs();
            let full = self.settings.limits[axis.index()].rate - base;
            let rate = speed.map_or(full, |speed| speed.min(full)) * sense;
            match axis {
                Axis::First => [Some(rate), None],
                Axis::Second => [None, Some(rate)],
            }
        };
        let sense = declination_sense(branch_of_dials(self.motion.dials(now)));
        Ok(match direction {
            Direction::Up | Direction::Down | Direction::Left | Direction::Right if !alt_azimuth => {
                let sentence =
                    format!("an equatorial mount moves north, south, east or west, not {}", direction.word());
                return Err(Refusal::new(RefusalKind::WrongKind, sentence));
            }
            Direction::Up => along(Axis::Second, 1.0),
            Direction::Down => along(Axis::Second, -1.0),
            Direction::Right => along(Axis::First, 1.0),
            Direction::Left => along(Axis::First, -1.0),
            _ if alt_azimuth => self.rates_on_sky(direction, speed, now)?.map(Some),
            Direction::West => along(Axis::First, 1.0),
            Direction::East => along(Axis::First, -1.0),
            Direction::North => along(Axis::Second, sense),
            Direction::South => along(Axis::Second, -sense),
        })
    }

    /// The rates of both axes of an alt-azimuth mount for a direction on the sky, at the place where it points now.
    fn rates_on_sky(
        &self,
        direction: Direction,
        speed: Option<AngularRate>,
        now: Span,
    ) -> Result<[AngularRate; 2], Refusal> {
        let dials = self.motion.dials(now);
        let here = self.belief.model().direction_for(dials);
        let pole = self.belief.model().celestial_pole();
        let east = pole.cross(&here);
        let way: Vector3<f64> = match direction {
            Direction::East => east,
            Direction::West => -east,
            Direction::South => -here.cross(&east),
            _ => here.cross(&east),
        };
        // A minute of arc is near enough for a slope, and far above rounding.
        let step = Angle::from_arcmin(1.0);
        let there = (here + way.normalize() * step.radians()).normalize();
        let needed = self
            .belief
            .model()
            .dials_for(&there, branch_of_dials(dials))
            .map_err(|short| Refusal::new(RefusalKind::Unreachable, short.to_string()))?;
        let slopes = [needed.first - dials.first, needed.second - dials.second]
            .map(|difference| difference.wrapped_signed() / step);
        // The slower of what was asked for and what each axis can do beside its own motion.
        let fastest = (0..2)
            .map(|axis| {
                let room = self.settings.limits[axis].rate - self.motion.base[axis].rate(now).abs();
                room.radians() / slopes[axis].abs().max(1e-9)
            })
            .fold(speed.map_or(f64::INFINITY, AngularRate::radians), f64::min);
        Ok(slopes.map(|slope| AngularRate::from_radians(slope * fastest)))
    }

    /// Holds that a nudge stays within the mount's limits and clear of the Sun.
    fn within_limits(&self, over: &[Option<Over>; 2], now: Span, ends: Span) -> Result<(), Refusal> {
        let total = [0, 1].map(|axis| match &over[axis] {
            Some(over) => self.motion.base[axis].sum(&over.path),
            None => self.motion.base[axis].clone(),
        });
        let dials = AxisAngles { first: total[0].position(ends), second: total[1].position(ends) };
        let direction = self.belief.model().direction_for(dials);
        if let Some(limit) = self.beyond(dials, &direction) {
            let (_, altitude) = frames::horizontal(&direction);
            let sentence = format!(
                "this would end beyond the limit {limit}, at an altitude of {}",
                crate::requests::in_degrees(altitude)
            );
            return Err(Refusal::new(RefusalKind::BeyondLimit, sentence));
        }
        self.clear_of_sun([&total[0], &total[1]], now, ends)
    }
}

/// The sense in which an axis turns.
fn sense_of(turning: f64) -> Sense {
    if turning > 0.0 {
        Sense::Increasing
    } else if turning < 0.0 {
        Sense::Decreasing
    } else {
        Sense::Unknown
    }
}
