//! What many nights share: the sky as seen from the Earth's centre.

use sky::Geocentre;
use std::sync::Arc;
use units::{Instant, Span};

/// Geocentric places over a stretch of time, made once and used by any number of nights, from any number of threads.
///
/// It changes no bit of any result: a night that it doesn't cover makes its own.
#[derive(Clone, Debug)]
pub struct Almanac {
    begin: Instant,
    end: Instant,
    geocentre: Arc<Geocentre>,
}

impl Almanac {
    /// For nights within a stretch. Room is left for clocks that are some hours off.
    pub fn over(begin: Instant, end: Instant) -> Self {
        let room = Span::from_whole_seconds(3 * 3_600);
        let (begin, end) = (begin - room, end + room);
        Self { begin, end, geocentre: Arc::new(Geocentre::new(begin, end)) }
    }

    /// The shared places, if they cover a stretch.
    pub(crate) fn covering(&self, begin: Instant, end: Instant) -> Option<Arc<Geocentre>> {
        (self.begin <= begin && end <= self.end).then(|| Arc::clone(&self.geocentre))
    }
}
