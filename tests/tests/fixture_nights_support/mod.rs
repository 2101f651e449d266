//! Reads named results out of the outcome of a fixture night.

pub mod gears;

use bench::{Outcome, Sample};
use tests::mount::night;
use tests::text_of;
use units::maths;

/// A result that is a number.
pub type Number = fn(&Outcome) -> f64;
/// What a mount says, in part.
pub type Said = Option<&'static str>;

/// Plays a night of the folder.
pub fn play(name: &str) -> Outcome {
    night(&text_of(&format!("fixtures/nights/{name}.toml"))).measure()
}

/// What a bad night is told: a line for each complaint with its key, and a line with what would do.
pub fn refusal(text: &str) -> String {
    let complaints = match scenario::read(text).and_then(|plan| bench::prepare(&plan)) {
        Ok(_) => return "nothing: it is taken\n".to_owned(),
        Err(complaints) => complaints,
    };
    complaints.iter().map(|one| format!("{}: {}\n  {}\n", one.key, one.problem, one.expected)).collect()
}

/// The miss of a target towards the east, arcseconds.
pub fn east(outcome: &Outcome, target: usize) -> f64 {
    outcome.gotos[target].look.as_ref().map_or(f64::NAN, |look| look.miss_east.arcsec())
}

/// The same towards the north.
pub fn north(outcome: &Outcome, target: usize) -> f64 {
    outcome.gotos[target].look.as_ref().map_or(f64::NAN, |look| look.miss_north.arcsec())
}

fn samples(outcome: &Outcome, dwell: usize) -> Vec<&Sample> {
    outcome.samples.iter().filter(|sample| sample.dwell == dwell).collect()
}

/// Peak to peak in the worse direction, from the samples themselves.
pub fn swing(outcome: &Outcome, dwell: usize) -> f64 {
    let of = |part: fn(&Sample) -> f64| {
        let (least, most) = samples(outcome, dwell)
            .into_iter()
            .map(part)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), value| {
                (least.min(value), most.max(value))
            });
        most - least
    };
    of(|sample| sample.error_east.arcsec()).max(of(|sample| sample.error_north.arcsec()))
}

/// The index of the sample after the greatest step towards east or west.
fn after_the_jump(samples: &[&Sample]) -> usize {
    let step = |i: usize| (samples[i].error_east - samples[i - 1].error_east).arcsec().abs();
    (1..samples.len()).max_by(|a, b| step(*a).total_cmp(&step(*b))).expect("the dwell has samples")
}

/// The greatest step of the image between two samples, towards the east, arcseconds.
pub fn jump(outcome: &Outcome, dwell: usize) -> f64 {
    let samples = samples(outcome, dwell);
    let at = after_the_jump(&samples);
    (samples[at].error_east - samples[at - 1].error_east).arcsec()
}

/// The first sample after it.
pub fn jump_at(outcome: &Outcome, dwell: usize) -> &Sample {
    let samples = samples(outcome, dwell);
    samples[after_the_jump(&samples)]
}

/// How far the image has moved since the dwell's begin, in the last sample up to so many seconds after what first struck,
/// arcseconds.
pub fn moved_after(outcome: &Outcome, dwell: usize, seconds: f64) -> f64 {
    let struck = outcome.faults.first().map(|fault| fault.at).expect("something strikes in this night");
    let found = samples(outcome, dwell).into_iter().rfind(|sample| (sample.at - struck).seconds() <= seconds);
    found.map_or(f64::NAN, |sample| {
        let (east, north) = (sample.error_east.arcsec(), sample.error_north.arcsec());
        (east * east + north * north).sqrt()
    })
}

/// The period of the sinusoid that leaves the least squares of a dwell's error towards the east, seconds: a search over a
/// grid of 0.02 s round what half a turn more or less would be.
pub fn period(outcome: &Outcome, dwell: usize) -> f64 {
    let samples = samples(outcome, dwell);
    let begin = samples[0].at;
    let points: Vec<(f64, f64)> =
        samples.iter().map(|sample| ((sample.at - begin).seconds(), sample.error_east.arcsec())).collect();
    let left = |period: f64| {
        let turned = |t: f64| maths::sincos(maths::TAU * t / period);
        // Normal equations of a constant, a sine and a cosine.
        let mut normal = nalgebra::Matrix3::zeros();
        let mut right = nalgebra::Vector3::zeros();
        for (t, value) in &points {
            let (s, c) = turned(*t);
            let terms = nalgebra::Vector3::new(1.0, s, c);
            normal += terms * terms.transpose();
            right += terms * *value;
        }
        let solved = normal.lu().solve(&right).expect("three terms are determined");
        let squares = points.iter().map(|(t, value)| {
            let (s, c) = turned(*t);
            let rest = value - solved.dot(&nalgebra::Vector3::new(1.0, s, c));
            rest * rest
        });
        squares.sum::<f64>()
    };
    let candidates = (0..=10_000).map(|i| 500.0 + 0.02 * f64::from(i));
    candidates
        .map(|period| (period, left(period)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .expect("there are some")
        .0
}

/// How far the polar axis stands after a pass from where the draw of locking the bolts alone would leave it, arcminutes: the longer
/// of altitude and azimuth. `sigma` is that of the locking.
pub fn beside_its_draw(outcome: &Outcome, pass: usize, sigma: f64) -> f64 {
    let mut stream = units::Streams::new(outcome.seed).stream("locking the bolts", pass as u64);
    let drawn = [sigma * stream.normal(), sigma * stream.normal()];
    let Some(row) = outcome.polar.get(pass) else { return f64::NAN };
    let left = [row.after.0.arcmin() - drawn[0], row.after.1.arcmin() - drawn[1]];
    left[0].abs().max(left[1].abs())
}
