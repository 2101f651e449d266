//! A fingerprint of everything that a request could have changed.

use crate::Controller;
use std::fmt::Write;

/// The hash of Fowler, Noll and Vo, 64 bits, variant 1a (RFC 9923).
struct Fingerprint(u64);

impl Write for Fingerprint {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        for byte in text.bytes() {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        Ok(())
    }
}

impl Controller {
    /// A fingerprint of the whole state: equal before and after a line that was refused. Caches are left out.
    pub fn state_digest(&self) -> u64 {
        let mut fingerprint = Fingerprint(0xcbf2_9ce4_8422_2325);
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
        } = self;
        let station = belief.station();
        let model = (belief.model().method(), belief.model().parameters());
        let believed = (belief.instant(units::Span::ZERO), station.site(), station.air(), model);
        // Writing into a number can't fail.
        let _ = write!(
            fingerprint,
            "{settings:?}{believed:?}{motion:?}{alignment:?}{job:?}{jobs:?}{log:?}{sessions:?}"
        );
        let _ = write!(
            fingerprint,
            "{correction:?}{first_centring:?}{track_axes:?}{parked}{powered}{stuck_until:?}{power_on}"
        );
        fingerprint.0
    }
}
