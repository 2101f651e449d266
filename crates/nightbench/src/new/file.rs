//! The scenario that the answers make, with comments for who changes it by hand.

use super::answers::Answers;
use super::suggest;
use std::fmt::Write as _;

/// The whole file.
pub fn text(answers: &Answers) -> String {
    let mut out = String::new();
    // Writing to a text can't fail.
    let _ = head(&mut out, answers);
    let _ = machine(&mut out, answers);
    let _ = targets(&mut out, answers);
    out
}

fn head(out: &mut String, answers: &Answers) -> std::fmt::Result {
    let [latitude, longitude, height] = &answers.place;
    write!(
        out,
        "# A night of your own. Play it with `nightbench night FILE`; every key can be changed, and whatever isn't written
# is drawn from the seed with the spread of the mount's grade and of the person's care.
format = 1

[night]
title = \"My evening\"
begin = {}
length = \"5 h\"
# Another seed is another night with the same mount and the same person.
seed = 1

[site]
latitude = \"{latitude}\"
longitude = \"{longitude}\"
height = \"{height}\"
# The skyline: nothing below is gone to.
horizon = \"10 deg\"

",
        answers.begin
    )
}

fn machine(out: &mut String, answers: &Answers) -> std::fmt::Result {
    let (aperture, focal_length) = answers.tube;
    write!(
        out,
        "[tube]
aperture = \"{aperture} mm\"
focal_length = \"{focal_length} mm\"
# The first eyepiece is the one in which stars are sighted: take the widest.
eyepieces = [
"
    )?;
    for (number, (focal, field)) in answers.eyepieces.iter().enumerate() {
        let name = if number == 0 { "first".to_owned() } else { format!("number {}", number + 1) };
        writeln!(
            out,
            "    {{ name = \"{name}\", focal_length = \"{focal} mm\", apparent_field = \"{field} deg\" }},"
        )?;
    }
    write!(
        out,
        "]

[mount]
kind = \"{}\"
# worn, mid-range or tuned: how much play, how large the waves of the gears, how square the tube sits.
grade = \"{}\"

[setup]
# hurried, usual or careful: how level the base, how near the axis to the pole, how good the marks.
care = \"{}\"

[observer]
# What is done when a target isn't in the field: go-on, search, sight-nearby, replace-sighting, start-over.
when_missed = \"search\"

[alignment]
# none, one-star, two-star or many-star; the mount proposes the stars.
method = \"two-star\"
stars = \"auto\"
",
        answers.kind, answers.grade, answers.care
    )
}

fn targets(out: &mut String, answers: &Answers) -> std::fmt::Result {
    let suggested;
    let names = if answers.targets.is_empty() {
        suggested = suggest::targets(answers);
        out.push_str(
            "\n# Suggested: they stand well an hour after the begin, those that set first at the head.",
        );
        &suggested
    } else {
        &answers.targets
    };
    for name in names {
        write!(out, "\n[[observe]]\ntarget = \"{name}\"\n")?;
        if answers.visitors > 0 {
            write!(out, "visitors = {}\nper_visitor = \"45 s\"\n", answers.visitors)?;
        }
    }
    Ok(())
}
