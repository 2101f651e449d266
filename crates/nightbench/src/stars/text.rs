//! The ranking in words, for somebody at a terminal.

use bench::{StarAdvice, StarRow};
use std::fmt::Write as _;
use units::Angle;

/// The whole answer, with so many stars.
pub fn told(advice: &StarAdvice, list: usize) -> String {
    let mut text = String::new();
    let given = match advice.given.as_slice() {
        [] => "before the first star".to_owned(),
        [star] => format!("after {star}"),
        stars => format!("after {}", stars.join(", ")),
    };
    let _ = writeln!(
        text,
        "Expected miss over the sky {given}: {}, {} at the worst place.\n",
        miss(advice.rms),
        miss(advice.worst)
    );
    let _ = writeln!(
        text,
        "    {:<20} {:>9} {:>9} {:>8} {:>8} {:>8}  position",
        "next star", "then", "at worst", "minutes", "altitude", "azimuth"
    );
    for (place, row) in advice.rows.iter().take(list).enumerate() {
        let mark = if advice.by_thumb == Some(place) { '*' } else { ' ' };
        tell(&mut text, place, mark, row);
    }
    if let Some((place, row)) = advice.by_thumb.map(|place| (place, &advice.rows[place])) {
        if place >= list {
            tell(&mut text, place, '*', row);
        }
        let best = &advice.rows[0];
        let verdict = if place == 0 {
            "the best there is".to_owned()
        } else {
            format!("{} would leave {} instead", best.star, miss(best.rms))
        };
        let _ = writeln!(
            text,
            "\n* A bright star on the other side, as the rule of thumb goes: {} would leave {}; {verdict}.",
            row.star,
            miss(row.rms)
        );
    }
    text.push_str(
        "\nThe expected miss is the root of the mean square over the sky above 15 deg, both by what such a mount and\n\
         its owner are usually like and by the centring of this person; gears are in it.\n",
    );
    text
}

fn tell(text: &mut String, place: usize, mark: char, row: &StarRow) {
    let side = if row.turns_over { format!("{}, turns over", row.solution) } else { row.solution.to_owned() };
    let _ = writeln!(
        text,
        "{:>2}{mark} {:<20} {:>9} {:>9} {:>8.1} {:>7.0}° {:>7.0}°  {side}",
        place + 1,
        row.star,
        miss(row.rms),
        miss(row.worst),
        row.minutes,
        row.altitude.degrees(),
        row.azimuth.degrees(),
    );
}

fn miss(angle: Angle) -> String {
    if angle.arcmin() < 1.0 {
        format!("{:.1}\u{2033}", angle.arcsec())
    } else {
        format!("{:.1}\u{2032}", angle.arcmin())
    }
}
