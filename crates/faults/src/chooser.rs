//! Which units a fault strikes.

use crate::order::{Choice, Order};
use units::Stream;

/// Decides for one unit after another whether an order strikes it.
///
/// A chance with correlation is a chain of two states (struck, spared): after a struck unit the chance is p + c(1 − p),
/// after a spared one p(1 − c). In the long run it is p, and neighbours are correlated by c (Gilbert, "Capacity of a
/// burst-noise channel", Bell System Technical Journal 39 (1960) 1253).
#[derive(Clone, Debug)]
pub struct Chooser {
    choice: Choice,
    correlation: f64,
    burst: u32,
    stream: Stream,
    count: u64,
    last: Option<bool>,
    left: u32,
}

impl Chooser {
    /// That of an order; `usual` is the choice of an order that has none.
    pub fn new(order: &Order, usual: Choice, stream: Stream) -> Self {
        Self {
            choice: order.choice.clone().unwrap_or(usual),
            correlation: order.correlation,
            burst: order.burst.max(1),
            stream,
            count: 0,
            last: None,
            left: 0,
        }
    }

    /// Whether the next unit is struck; `line` is the line that it is, or stands in.
    pub fn strikes(&mut self, line: &[u8]) -> bool {
        self.count += 1;
        if self.left > 0 {
            self.left -= 1;
            return true;
        }
        let struck = match &self.choice {
            Choice::Every(n) => self.count.is_multiple_of((*n).max(1)),
            Choice::Nth(n) => self.count == *n,
            Choice::Line(part) => stands_in(part, line),
            Choice::Chance(p) => {
                let chance = match self.last {
                    None => *p,
                    Some(true) => p + self.correlation * (1.0 - p),
                    Some(false) => p * (1.0 - self.correlation),
                };
                let struck = self.stream.chance(chance);
                self.last = Some(struck);
                struck
            }
        };
        if struck {
            self.left = self.burst - 1;
        }
        struck
    }

    /// Which of the bytes of a line are struck.
    pub(crate) fn struck_bytes(&mut self, line: &[u8]) -> Vec<bool> {
        if let Choice::Line(part) = &self.choice {
            let mut struck = vec![false; line.len()];
            if stands_in(part, line) && !line.is_empty() {
                let first = self.stream.below(line.len() as u64) as usize;
                let end = (first + self.burst as usize).min(line.len());
                struck[first..end].fill(true);
            }
            return struck;
        }
        line.iter().map(|_| self.strikes(line)).collect()
    }

    /// A draw for what a strike does.
    pub(crate) fn stream(&mut self) -> &mut Stream {
        &mut self.stream
    }
}

/// Whether a text stands in a line, whatever the case.
fn stands_in(part: &str, line: &[u8]) -> bool {
    part.is_empty() || line.windows(part.len()).any(|window| window.eq_ignore_ascii_case(part.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::Kind;
    use units::{Instant, Streams};

    fn chooser(choice: Choice, correlation: f64, burst: u32) -> Chooser {
        let order = Order { correlation, burst, ..Order::new(Kind::LostReply, Instant::J2000_TAI) };
        Chooser::new(&order, choice, Streams::new(7).stream("test", 0))
    }

    fn drawn(mut chooser: Chooser, count: usize) -> Vec<bool> {
        (0..count).map(|_| chooser.strikes(b"x\n")).collect()
    }

    #[test]
    fn counts_and_bursts() {
        let struck = |choice, burst| {
            let all = drawn(chooser(choice, 0.0, burst), 9);
            all.iter().map(|struck| if *struck { 'x' } else { '.' }).collect::<String>()
        };
        assert_eq!(struck(Choice::Every(3), 1), "..x..x..x");
        assert_eq!(struck(Choice::Nth(4), 1), "...x.....");
        assert_eq!(struck(Choice::Nth(4), 3), "...xxx...");
        assert_eq!(struck(Choice::Chance(1.0), 1), "xxxxxxxxx");
        assert_eq!(struck(Choice::Chance(0.0), 5), ".........");
    }

    #[test]
    fn the_chance_stays_and_neighbours_are_as_much_alike_as_was_asked() {
        const COUNT: usize = 100_000;
        for (p, c) in [(0.2, 0.0), (0.2, 0.6), (0.05, 0.9)] {
            let all = drawn(chooser(Choice::Chance(p), c, 1), COUNT);
            let share = all.iter().filter(|struck| **struck).count() as f64 / COUNT as f64;
            let both = all.windows(2).filter(|pair| pair[0] && pair[1]).count() as f64 / COUNT as f64;
            let found = (both - share * share) / (share * (1.0 - share));
            // Five deviations of a share whose draws hang together by c over 100 000 draws.
            let sigma = (p * (1.0 - p) * (1.0 + c) / (1.0 - c) / COUNT as f64).sqrt();
            assert!((share - p).abs() < 5.0 * sigma, "{share} for {p} with {c}");
            // The deviation of an estimated correlation is below 1/√N·√(1/p): 0.014 at the smallest p; five of them.
            assert!((found - c).abs() < 0.07, "{found} for {c}");
        }
    }

    #[test]
    fn lines_with_a_text() {
        for (part, line, expected) in [
            ("goto", "@17 GOTO name=Regulus\n", true),
            ("Regulus", "goto name=regulus\n", true),
            ("goto", "status\n", false),
            ("", "status\n", true),
            ("status\n", "stat", false),
        ] {
            assert_eq!(stands_in(part, line.as_bytes()), expected, "{part} {line}");
        }
    }
}
