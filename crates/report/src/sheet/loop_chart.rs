//! Play as a loop: where the wheel was for each place of its motor.

use super::axes::{Axes, Scale};
use super::pen::{Ink, Picture};
use super::words::angle;
use bench::PlayLoop;
use maud::Markup;

const SIZE: (f64, f64) = (460.0, 300.0);

/// The chart of one axis and its caption.
pub(super) fn chart(play: &PlayLoop) -> (Markup, String) {
    let widest =
        play.points.iter().map(|(motor, axis)| (motor.arcsec() - axis.arcsec()).abs()).fold(0.0, f64::max);
    let caption = format!(
        "Driven out, back and out again, the {} axis stays behind its motor by up to {:.1}″: at each turn the motor runs through a play of {} \
         before the wheel follows.",
        play.axis,
        widest,
        angle(play.play)
    );
    let pairs: Vec<(f64, f64)> =
        play.points.iter().map(|(motor, axis)| (motor.arcsec(), axis.arcsec())).collect();
    let range = |value: fn(&(f64, f64)) -> f64| {
        pairs
            .iter()
            .map(value)
            .fold((0.0_f64, 0.0_f64), |(low, high), value| (low.min(value), high.max(value)))
    };
    let (across, up) = (range(|pair| pair.0), range(|pair| pair.1));
    let axes = Axes::new(
        SIZE,
        Scale::even(across.0, across.1, 6.0, "motor, arcsec of the axis"),
        Scale::even(up.0, up.1, 5.0, "axis, arcsec"),
    );
    let title = format!("Play of the {} axis", play.axis);
    let picture =
        Picture { id: &format!("play-{}", play.axis), size: SIZE, title: &title, description: &caption };
    let markup = picture.drawn(|pen| {
        axes.draw(pen);
        axes.series(pen, &pairs, Ink::First, 1.6);
        if let Some((motor, axis)) = pairs.first() {
            pen.circle(axes.place(*motor, *axis), 3.0, Ink::Line, 1.2);
        }
    });
    (markup, caption)
}
