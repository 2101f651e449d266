//! Whether two results rest on the same mathematics.

use sky::{Air, Geocentre, Site, Source, StarPlace, Station};
use std::sync::{Arc, OnceLock};
use units::{Angle, Instant, Length, Span, maths};

/// Hash of a few function values, 16 hexadecimal digits: our own functions at arguments that need their range
/// reduction, and one place by the astrometry library, which takes the platform's functions.
///
/// Two results with different fingerprints may differ in their last digits without either being wrong.
pub fn maths_fingerprint() -> &'static str {
    static FINGERPRINT: OnceLock<String> = OnceLock::new();
    FINGERPRINT.get_or_init(|| {
        let mut hash = OFFSET_BASIS;
        for step in 1..=64 {
            let x = f64::from(step) * 1.618_033_988_749_895;
            for value in [
                maths::sin(x),
                maths::cos(x),
                maths::tan(x),
                maths::atan2(x, 7.0),
                maths::exp(-x),
                maths::ln(x),
            ] {
                hash = mixed(hash, value);
            }
        }
        for value in library_values() {
            hash = mixed(hash, value);
        }
        format!("{hash:016x}")
    })
}

/// Parameters of the 64-bit FNV-1a hash.
const OFFSET_BASIS: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

fn mixed(hash: u64, value: f64) -> u64 {
    value
        .to_bits()
        .to_le_bytes()
        .iter()
        .fold(hash, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(PRIME))
}

fn library_values() -> [f64; 3] {
    let instant = Instant::J2000_TAI + Span::DAY * 9_926;
    let geocentre = Arc::new(Geocentre::new(instant, instant));
    let star = Source::Star(StarPlace::fixed(Angle::from_degrees(83.0), Angle::from_degrees(-5.0)));
    let site = Site::new(Angle::from_degrees(40.5), Angle::from_degrees(-4.5), Length::from_metres(440.0))
        .unwrap_or_else(|error| unreachable!("a fixed site: {error}"));
    let station = Station::new(site, Air::standard(site.height()), Span::from_whole_seconds(-37));
    let observed = station.observe(&geocentre.track(&star).cirs(instant), instant).refracted;
    [observed.x, observed.y, observed.z]
}
