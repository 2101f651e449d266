//! A fingerprint of everything that a request could have changed.

use crate::Controller;
use std::fmt::Write;
use units::{Fnv, Span};

impl Controller {
    /// A fingerprint of the whole state: equal before and after a line that was refused. Caches are left out.
    pub fn state_digest(&self) -> u64 {
        let mut fingerprint = Fnv::EMPTY;
        let Self {
            settings,
            first: _,
            belief,
            motion,
            alignment,
            correction,
            first_centring,
            job,
            jobs,
            log,
            sessions,
            track_axes,
            parked,
            powered,
            stuck_until,
            power_on,
            left_home,
        } = self;
        let station = belief.station();
        let model = (belief.model().method(), belief.model().parameters());
        let believed = (belief.instant(Span::ZERO), station.site(), station.air(), model);
        // Writing into a number can't fail.
        let _ = write!(
            fingerprint,
            "{settings:?}{believed:?}{motion:?}{alignment:?}{job:?}{jobs:?}{log:?}{sessions:?}"
        );
        let _ = write!(
            fingerprint,
            "{correction:?}{first_centring:?}{track_axes:?}{parked}{powered}{stuck_until:?}{power_on}{left_home}"
        );
        fingerprint.value()
    }
}
