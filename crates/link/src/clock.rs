//! Wall time made into a device's time, or a device's time left to its clients.

use tokio::time::{Duration, Instant as Wall};
use units::{Instant, Span};

/// What lets a device's time pass.
#[derive(Clone, Copy, Debug)]
pub struct Clock(Kind);

#[derive(Clone, Copy, Debug)]
enum Kind {
    /// It begins at an instant of the device's and runs `speed` times as fast as the wall's; at speed zero it stands.
    Wall(WallClock),
    /// The device's clients, by what they ask of it.
    Stepped,
}

#[derive(Clone, Copy, Debug)]
struct WallClock {
    origin: Wall,
    begin: Instant,
    speed: f64,
}

impl Clock {
    /// Starts one now that follows the wall's, `speed` times as fast.
    ///
    /// # Panics
    /// If `speed` is negative or no number: whoever reads it from a user says so first.
    pub fn start(begin: Instant, speed: f64) -> Self {
        assert!(speed.is_finite() && speed >= 0.0, "a clock runs forward");
        Self(Kind::Wall(WallClock { origin: Wall::now(), begin, speed }))
    }

    /// One that stands still: the device's time passes by its clients' requests alone.
    pub fn stepped() -> Self {
        Self(Kind::Stepped)
    }

    /// How many times as fast as the wall's it runs; lines that are paced beside a stepped clock are so by the wall's.
    pub fn speed(&self) -> f64 {
        match self.0 {
            Kind::Wall(clock) => clock.speed,
            Kind::Stepped => 1.0,
        }
    }

    /// The device's present instant by the wall; none where its clients step it.
    pub fn now(&self) -> Option<Instant> {
        match self.0 {
            Kind::Wall(clock) => Some(clock.now()),
            Kind::Stepped => None,
        }
    }

    /// When on the wall an instant of the device's will have come, if it comes by itself. At most a day ahead: look again then.
    pub(crate) fn wall_at(&self, instant: Instant) -> Option<Wall> {
        match self.0 {
            Kind::Wall(clock) => Some(clock.wall_at(instant)),
            Kind::Stepped => None,
        }
    }
}

impl WallClock {
    fn now(&self) -> Instant {
        self.begin + Span::from_seconds(self.origin.elapsed().as_secs_f64() * self.speed)
    }

    fn wall_at(&self, instant: Instant) -> Wall {
        const LONGEST_SECONDS: f64 = 86_400.0;
        if self.speed == 0.0 {
            return Wall::now() + Duration::from_secs_f64(LONGEST_SECONDS);
        }
        let seconds = (instant.since(self.begin).seconds() / self.speed).max(0.0);
        let ahead = seconds - self.origin.elapsed().as_secs_f64();
        // Up to the next nanosecond, else the instant might not have come when the timer fires.
        let wait = Duration::from_secs_f64(ahead.clamp(0.0, LONGEST_SECONDS)) + Duration::from_nanos(1);
        Wall::now() + wait
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test(start_paused = true)]
    async fn ten_wall_seconds_are_forty_at_fourfold_speed() {
        let clock = Clock::start(Instant::J2000_TAI, 4.0);
        tokio::time::advance(Duration::from_secs(10)).await;
        assert_eq!(clock.now().unwrap().since(Instant::J2000_TAI).seconds(), 40.0);
        let due = clock.wall_at(Instant::J2000_TAI + Span::from_whole_seconds(48)).unwrap();
        // Two wall seconds, to the nanosecond that is added for rounding.
        assert!((due - Wall::now()).as_secs_f64() - 2.0 < 1e-8);
    }

    #[tokio::test(start_paused = true)]
    async fn a_clock_of_speed_zero_stands() {
        let clock = Clock::start(Instant::J2000_TAI, 0.0);
        tokio::time::advance(Duration::from_secs(10)).await;
        assert_eq!(clock.now(), Some(Instant::J2000_TAI));
        let due = clock.wall_at(Instant::J2000_TAI + Span::from_whole_seconds(1)).expect("it may go on");
        assert!(due - Wall::now() > Duration::from_secs(3600));
    }
}
