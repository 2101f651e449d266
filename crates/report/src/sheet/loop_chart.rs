//! Play as a loop: where the wheel was for each place of its motor.

use super::axes::{Axes, Scale};
use super::numbers::{Drawn, csv};
use super::pen::{Ink, Picture};
use super::words::angle;
use bench::PlayLoop;
use units::Angle;

const SIZE: (f64, f64) = (460.0, 300.0);

/// The chart of one axis and its caption.
pub(super) fn chart(play: &PlayLoop) -> Drawn {
    let caption = caption(play);
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
    let rows = pairs.iter().map(|(motor, axis)| [motor, axis].map(|value| format!("{value:.4}")).to_vec());
    Drawn::new(markup, caption, csv(&["motor_arcsec", "axis_arcsec"], rows))
}

/// What the loop shows: how far apart the ways out and back lie once the first stroke has taken up the play.
fn caption(play: &PlayLoop) -> String {
    let behind =
        play.points.iter().skip(play.points.len() / 3).map(|(motor, axis)| motor.arcsec() - axis.arcsec());
    let (least, most) =
        behind.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), one| (least.min(one), most.max(one)));
    let width = Angle::from_arcsec((most - least).max(0.0));
    if width < play.play * 0.5 {
        return format!(
            "Driven out, back and out again, the {} axis follows its motor at once, though the gear has a play of {}: \
             the weight on the axis holds the teeth together.",
            play.axis,
            angle(play.play)
        );
    }
    format!(
        "Driven out, back and out again, the {} axis takes two ways that lie {} apart: at each turn the motor runs \
         through a play of {} before the wheel follows.",
        play.axis,
        angle(width),
        angle(play.play)
    )
}
