//! Two ends of a serial line that disagree about its speed.

use units::Stream;

/// Bits of a character on the line: a start bit, eight data bits, a stop bit.
const FRAME_BITS: usize = 10;
/// A receiver looks for the start bit sixteen times in a bit (common practice, no source), so it finds the edge that late.
const EDGE_DOUBT_BITS: f64 = 1.0 / 16.0;

/// A receiver that samples at another speed than the sender's.
///
/// The line is taken bit by bit: it idles high, a low start bit begins a character, data bits follow with the lowest first,
/// a high stop bit ends it. The receiver waits for a low level, then samples in the middle of what it takes for the bits.
/// It hands on what it sampled, whether or not it found a stop bit. So a few per cent of difference do no harm, and twice
/// the speed makes the rubbish that everybody knows. Bytes that are handed in together follow each other without a gap.
#[derive(Clone, Debug)]
pub struct SpeedMismatch {
    stream: Stream,
}

impl SpeedMismatch {
    /// `stream` says how late each edge is noticed.
    pub fn new(stream: Stream) -> Self {
        Self { stream }
    }

    /// What is received of `bytes`, sent at one speed and received at another (both in bits per second).
    ///
    /// Equal speeds leave the bytes as they are and draw nothing.
    ///
    /// # Panics
    /// If a speed is zero.
    pub fn received(&mut self, bytes: &[u8], sent_at: u32, received_at: u32) -> Vec<u8> {
        assert!(sent_at > 0 && received_at > 0, "a line has a speed");
        if sent_at == received_at {
            return bytes.to_vec();
        }
        // Times are in the sender's bits.
        let sampled_bit = f64::from(sent_at) / f64::from(received_at);
        let end = (bytes.len() * FRAME_BITS) as f64;
        let mut out = Vec::with_capacity(bytes.len());
        let mut from = 0.0;
        while let Some(edge) = next_low(bytes, from).filter(|edge| *edge < end) {
            let start = edge + self.stream.uniform() * EDGE_DOUBT_BITS * sampled_bit;
            let sample = |bit: usize| level(bytes, start + (bit as f64 + 0.5) * sampled_bit);
            let byte = (0..8).fold(0_u8, |byte, bit| byte | (u8::from(sample(bit + 1)) << bit));
            out.push(byte);
            from = start + 9.5 * sampled_bit;
        }
        out
    }
}

/// The level of the line at a time: true is high.
fn level(bytes: &[u8], time: f64) -> bool {
    let bit = time as usize;
    match (bytes.get(bit / FRAME_BITS), bit % FRAME_BITS) {
        (None, _) | (_, 9) => true,
        (_, 0) => false,
        (Some(byte), place) => byte >> (place - 1) & 1 == 1,
    }
}

/// The first time from `from` on at which the line is low.
fn next_low(bytes: &[u8], from: f64) -> Option<f64> {
    if !level(bytes, from) {
        return Some(from);
    }
    let first = from as usize + 1;
    (first..bytes.len() * FRAME_BITS).map(|bit| bit as f64).find(|time| !level(bytes, *time))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Streams;

    fn received(sent_at: u32, received_at: u32) -> Vec<u8> {
        let stream = Streams::new(7).stream("line noise", 0);
        SpeedMismatch::new(stream).received(b"@17 status\n", sent_at, received_at)
    }

    #[test]
    fn equal_speeds_and_small_differences_do_no_harm() {
        // The last sample lies 9.5 bits after the edge: half a bit of room is 5 %, less the doubt of the edge.
        for received_at in [9600, 9450, 9750, 9300] {
            assert_eq!(received(9600, received_at), b"@17 status\n", "at {received_at}");
        }
    }

    #[test]
    fn other_speeds_make_rubbish_the_same_each_time() {
        for received_at in [300, 4800, 19200, 57600, 115_200] {
            let rubbish = received(9600, received_at);
            assert_ne!(rubbish, b"@17 status\n", "at {received_at}");
            assert_eq!(rubbish, received(9600, received_at));
        }
        // A slow receiver takes several characters for one, a fast one finds several in one.
        assert!(received(9600, 4800).len() < 11 && received(9600, 19200).len() > 11);
    }

    #[test]
    fn a_byte_at_double_speed_is_as_drawn_on_paper() {
        // `U` is 0101 0101: the line goes 0 1010 1010 1. Sampled every half bit, bits 1 to 8 of the first character
        // fall on line bits 0, 1, 1, 2, 2, 3, 3, 4: 0 1 1 0 0 1 1 0.
        let stream = Streams::new(1).stream("line noise", 0);
        let first = SpeedMismatch::new(stream).received(b"U", 9600, 19200)[0];
        assert_eq!(first, 0b0110_0110);
    }
}
