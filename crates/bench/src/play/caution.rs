//! What a reader must be told before taking a night outside.

use crate::measured::SUN_COUNTS_ABOVE;
use crate::outcome::GotoRow;
use crate::prepare::Prepared;
use kinematics::frames;
use units::Angle;

/// How near the Sun a tube may come while the Sun is up (common practice, no source).
const EXCLUSION: Angle = Angle::from_degrees(20.0);

/// One line for every look that came near the Sun by day.
pub(super) fn near_the_sun(prepared: &Prepared, gotos: &[GotoRow]) -> Vec<String> {
    let mut lines = Vec::new();
    for row in gotos {
        let Some(look) = &row.look else { continue };
        let sun = prepared.sun(look.at);
        let boresight = frames::direction(look.boresight.0, look.boresight.1);
        let apart = frames::separation(&sun, &boresight);
        if frames::horizontal(&sun).1 > SUN_COUNTS_ABOVE && apart < EXCLUSION {
            lines.push(format!(
                "{}: the tube came within {:.1} deg of the Sun. Never point an instrument without a safe solar filter \
                 at or near the Sun.",
                row.target,
                apart.degrees()
            ));
        }
    }
    lines
}
