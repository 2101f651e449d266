//! The course of a dwell's error in one line of eighth blocks.

use super::style::TableStyle;
use super::texts::angle;
use bench::Sample;
use units::{Angle, maths};

const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// Room for the words behind the bars.
const WORDS: usize = 24;

/// How far the tube had moved against the target since the dwell's begin, and how far at most; `None` where the terminal can't show it or there
/// is nothing to show.
pub(super) fn line(samples: &[Sample], dwell: usize, width: usize, style: TableStyle) -> Option<String> {
    let from = samples.partition_point(|sample| sample.dwell < dwell);
    let to = samples.partition_point(|sample| sample.dwell <= dwell);
    let samples = samples.get(from..to).filter(|samples| samples.len() > 1 && style.unicode)?;
    let off = |sample: &Sample| maths::hypot(sample.error_east.radians(), sample.error_north.radians());
    let greatest = samples.iter().map(off).fold(0.0, f64::max);
    let bars = (width.saturating_sub(WORDS)).clamp(1, 60).min(samples.len());
    let text: String = (0..bars)
        .map(|bar| {
            let part = &samples[bar * samples.len() / bars..(bar + 1) * samples.len() / bars];
            let high = part.iter().map(off).fold(0.0, f64::max);
            let step = if greatest > 0.0 { (high / greatest * 7.0 + 0.5) as usize } else { 0 };
            BARS[step.min(7)]
        })
        .collect();
    Some(format!("{text} up to {}", angle(Angle::from_radians(greatest), style)))
}
