//! What a reader must be told before taking a night outside.

use crate::outcome::GotoRow;
use crate::prepare::Prepared;
use kinematics::frames;
use sky::{Body, Source, Station};
use units::Angle;

/// How near the Sun a tube may come while the Sun is up (common practice, no source).
const EXCLUSION: Angle = Angle::from_degrees(20.0);
/// The Sun counts as up from here on: its limb and refraction bring light over a level horizon.
const SUN_IS_UP: Angle = Angle::from_degrees(-1.0);

/// One line for every look that came near the Sun by day.
pub(super) fn near_the_sun(prepared: &Prepared, gotos: &[GotoRow]) -> Vec<String> {
    let spec = &prepared.world;
    let station = Station::new(spec.site, spec.air, spec.ut1_minus_tai);
    let sun = spec.geocentre.track(&Source::Body(Body::Sun));
    let mut lines = Vec::new();
    for row in gotos {
        let Some(look) = &row.look else { continue };
        let direction = station.observe(&sun.cirs(look.at), look.at).refracted;
        let boresight = frames::direction(look.boresight.0, look.boresight.1);
        let apart = frames::separation(&direction, &boresight);
        if frames::horizontal(&direction).1 > SUN_IS_UP && apart < EXCLUSION {
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
