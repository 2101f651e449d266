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
            Choice::Line(pattern) => matches(pattern, line),
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
        if let Choice::Line(pattern) = &self.choice {
            let mut struck = vec![false; line.len()];
            if matches(pattern, line) && !line.is_empty() {
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

/// Whether a line matches a pattern in which `*` stands for any text, whatever the case; its end is not looked at.
pub fn matches(pattern: &str, line: &[u8]) -> bool {
    let end = line.iter().rposition(|byte| !matches!(byte, b'\r' | b'\n')).map_or(0, |last| last + 1);
    let line = line[..end].to_ascii_lowercase();
    let pattern = pattern.to_ascii_lowercase();
    let mut parts = pattern.as_bytes().split(|byte| *byte == b'*');
    let first = parts.next().unwrap_or_default();
    let Some(mut rest) = line.strip_prefix(first) else { return false };
    let mut parts: Vec<&[u8]> = parts.collect();
    let Some(last) = parts.pop() else { return rest.is_empty() };
    for part in parts.into_iter().filter(|part| !part.is_empty()) {
        let Some(at) = rest.windows(part.len()).position(|window| window == part) else { return false };
        rest = &rest[at + part.len()..];
    }
    rest.ends_with(last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kinds::Kind;
    use units::{Instant, Streams};

    fn chooser(choice: Choice, correlation: f64, burst: u32) -> Chooser {
        let order = Order { correlation, burst, ..Order::new(Kind::Loss, Instant::J2000_TAI) };
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
    fn patterns() {
        for (pattern, line, expected) in [
            ("goto*", "GOTO name=Regulus\n", true),
            ("@* goto*", "@17 goto name=Regulus\r\n", true),
            ("*regulus*", "goto name=Regulus", true),
            ("goto", "goto name=Regulus", false),
            ("status", "status\n", true),
            ("*", "", true),
            ("a*b*c", "a-b-c", true),
            ("a*b*c", "acb", false),
        ] {
            assert_eq!(matches(pattern, line.as_bytes()), expected, "{pattern} {line}");
        }
    }
}
