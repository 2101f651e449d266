//! Keeping out of the circle round the Sun, by belief, on the whole way.

use crate::Controller;
use crate::requests::in_degrees;
use kinematics::AxisAngles;
use kinematics::frames;
use kinematics::path::Path;
use protocol::{Fields, Refusal, RefusalKind};
use units::{Angle, Span};

impl Controller {
    /// Holds that dials moving along paths stay out of the circle from `from` to `to`.
    ///
    /// Each step is as long as the tube would need to the circle if it went straight there with both axes at their full rate.
    pub(crate) fn clear_of_sun(&self, paths: [&Path; 2], from: Span, to: Span) -> Result<(), Refusal> {
        if self.sun_that_counts(from).is_none() && self.sun_that_counts(to).is_none() {
            return Ok(());
        }
        if !self.belief.aligned() {
            let sentence =
                "it is day and the mount was never aligned: it can't know where the Sun is for its tube";
            return Err(Refusal::new(RefusalKind::NearSun, sentence));
        }
        let fastest = self.settings.limits.iter().map(|axis| axis.rate.radians()).sum::<f64>();
        // A hundredth of a degree is as good as the edge.
        let least = Angle::from_degrees(0.01);
        let mut at = from;
        loop {
            if let Some(sun) = self.sun_that_counts(at) {
                let dials = AxisAngles { first: paths[0].position(at), second: paths[1].position(at) };
                let direction = self.belief.model().direction_for(dials);
                let separation = frames::separation(&direction, &sun);
                let room = separation - self.settings.sun_radius;
                if room < Angle::ZERO {
                    let sentence = format!(
                        "{:.1} s from now the tube would be {} from the Sun; {} are allowed",
                        (at - from).seconds(),
                        in_degrees(separation),
                        in_degrees(self.settings.sun_radius)
                    );
                    return Err(Refusal::new(RefusalKind::NearSun, sentence));
                }
                if at >= to {
                    return Ok(());
                }
                at = to.min(at + Span::from_seconds_up(room.max(least).radians() / fastest));
            } else if at >= to {
                return Ok(());
            } else {
                at = to.min(at + Span::from_whole_seconds(1));
            }
        }
    }

    pub(crate) fn sun(&mut self, radius: Option<Angle>, now: Span) -> Fields {
        if let Some(radius) = radius {
            self.settings.sun_radius = radius;
        }
        let sun = self.belief.sun(now);
        let direction = self.belief.model().direction_for(self.motion.dials(now));
        let yes = |yes| if yes { "yes" } else { "no" };
        Fields::new()
            .degrees("radius", self.settings.sun_radius)
            .degrees("separation", frames::separation(&direction, &sun))
            .text("up", yes(frames::horizontal(&sun).1 > Angle::ZERO))
            .text("override", yes(self.settings.sun_override))
    }
}
