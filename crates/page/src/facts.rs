//! What a lesson may ask about the mount: names, units, and how each is found.
//!
//! Numbers are sizes: a drift to the south of 3″ a minute is 3. What grows while one acts (how far a motor went, what an error
//! came to) is reckoned from the begin of the present step.

use bench::live::{CourseMoment, Live, Picture};
use units::{Angle, maths};

/// A fact that a lesson may name.
#[derive(Debug)]
pub struct Fact {
    /// Its name in a lesson file.
    pub name: &'static str,
    /// The unit of its number; none for a word.
    pub unit: Option<&'static str>,
    /// What it is.
    pub meaning: &'static str,
}

macro_rules! facts {
    ($($name:literal, $unit:expr, $meaning:literal;)*) => {
        /// All facts, as the manual lists them.
        pub static FACTS: &[Fact] = &[$(Fact { name: $name, unit: $unit, meaning: $meaning }),*];
    };
}

facts! {
    "state", None, "what the mount says it does: `resting`, `tracking`, `nudging`, `slewing`, `stopping` or `parked`";
    "target", None, "what it was sent to last and reached, by its name in the catalogue; `none`";
    "method", None, "the method of alignment: `none`, `one-star`, `two-star` or `many-star`";
    "first-contact", None, "which flank of the first axis's worm touches the wheel: `driving`, `leading` or `none`";
    "second-contact", None, "the same of the second axis";
    "tube-side", None, "on which side of the pier the tube hangs: `west`, `east` or `none`";
    "seconds", Some("s"), "the mount's time since the step began";
    "arrivals", Some(""), "go-tos that arrived since the step began";
    "sightings", Some(""), "stars sighted in the present alignment";
    "first-motor-moved", Some("arcsec"), "how far the first axis's dial is from where it was when the step began";
    "second-motor-moved", Some("arcsec"), "the same of the second axis";
    "first-axis-moved", Some("arcsec"), "how far the first axis itself is from where it was when the step began";
    "second-axis-moved", Some("arcsec"), "the same of the second axis";
    "first-crossings", Some(""), "how often the first axis's wheel came to lie against its other flank since the step began";
    "second-crossings", Some(""), "the same of the second axis";
    "first-play", Some("arcsec"), "the gap of the first axis's gear, as it is here";
    "second-play", Some("arcsec"), "the same of the second axis";
    "first-take-up", Some("arcsec"), "by how much the mount lets the first motor run on when it turns back";
    "second-take-up", Some("arcsec"), "the same of the second axis";
    "first-rate", Some("arcsec/s"), "how fast the first axis's dial goes, over the last ten seconds";
    "worm-period", Some("s"), "the time of one turn of the first axis's worm while it follows the stars";
    "miss", Some("arcmin"), "how far the tube points beside the target";
    "miss-east", Some("arcmin"), "its part to the east or west";
    "miss-north", Some("arcmin"), "its part to the north or south";
    "drift-east", Some("arcsec/min"), "how fast the target drifts to the east or west: a straight line through the errors of the last three minutes, or of as many as the step has";
    "drift-north", Some("arcsec/min"), "the same to the north or south";
    "swing-east", Some("arcsec"), "from the least to the greatest error to the east or west since the step began";
    "swing-north", Some("arcsec"), "the same to the north or south";
    "altitude", Some("deg"), "how high the tube points";
    "clock-off", Some("s"), "how far the mount's clock is off";
    "belief-gap", Some("arcmin"), "how far the tube points beside where the mount believes it to point";
}

/// The manual's page of lesson files, with all facts and errors.
pub fn reference_page() -> String {
    let mut page = include_str!("facts/preface.md").to_owned();
    page.push_str("| fact | unit | what it is |\n|---|---|---|\n");
    for fact in FACTS {
        let unit = match fact.unit {
            None => "a word",
            Some("") => "a count",
            Some(unit) => unit,
        };
        page.push_str(&format!("| `{}` | {unit} | {} |\n", fact.name, fact.meaning));
    }
    page.push_str("\n## Errors\n\n");
    page.push_str(
        "Not every kind of mount has all of them.\n\n| error | unit | least | most |\n|---|---|---|---|\n",
    );
    for trim in bench::live::TRIMS {
        page.push_str(&format!(
            "| `{}` | {} | {} | {} |\n",
            trim.name,
            trim.unit.text(),
            trim.least,
            trim.most
        ));
    }
    page
}

/// A fact by its name.
///
/// # Errors
/// A sentence that proposes the nearest name.
pub(crate) fn find(name: &str) -> Result<&'static Fact, String> {
    let found = FACTS.iter().find(|fact| fact.name == name);
    found.ok_or_else(|| unknown("a fact", name, FACTS.iter().map(|fact| fact.name)))
}

/// That there is nothing of a name, and what may have been meant.
pub(crate) fn unknown(what: &str, name: &str, known: impl Iterator<Item = &'static str>) -> String {
    let known: Vec<&str> = known.collect();
    let shown: String = name.chars().take(40).collect();
    match units::nearest(name, known.iter().copied()) {
        Some(near) => format!("`{shown}` is not {what} that there is; did you mean `{near}`?"),
        None => format!("`{shown}` is not {what} that there is; there are {}", known.join(", ")),
    }
}

/// What a fact is at the moment.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value {
    Word(String),
    Number(f64),
    /// There is nothing to measure yet.
    Nothing,
}

/// How everything stood when a step began.
#[derive(Clone, Debug)]
pub(crate) struct Mark {
    pub(crate) picture: Picture,
    arrivals: u64,
    crossings: [u64; 2],
    moment: u64,
}

impl Mark {
    pub(crate) fn now(live: &mut Live) -> Self {
        Self {
            picture: live.picture(),
            arrivals: live.arrivals(),
            crossings: live.crossings(),
            moment: live.course(0).last().map_or(0, |moment| moment.number),
        }
    }
}

/// Everything that facts are found from.
pub(crate) struct Evidence<'a> {
    pub(crate) live: &'a mut Live,
    pub(crate) now: &'a Picture,
    pub(crate) mark: &'a Mark,
}

impl Evidence<'_> {
    /// A fact that the list has.
    pub(crate) fn value(&mut self, name: &str) -> Value {
        let word = |text: &str| Value::Word(text.to_owned());
        match name {
            "state" => field(&self.now.told.status, "state").map_or(Value::Nothing, word),
            "method" => field(&self.now.told.alignment, "method").map_or(Value::Nothing, word),
            "target" => word(self.now.target.as_ref().map_or("none", |target| target.name.as_str())),
            "first-contact" => word(self.now.plays[0].contact),
            "second-contact" => word(self.now.plays[1].contact),
            "tube-side" => word(self.now.tube_side),
            _ => self.number(name).map_or(Value::Nothing, |number| Value::Number(number.abs())),
        }
    }

    fn number(&mut self, name: &str) -> Option<f64> {
        let (now, then) = (self.now, &self.mark.picture);
        let moved = |now: Angle, then: Angle| Some((now - then).arcsec());
        match name {
            "seconds" => Some((now.now - then.now).seconds()),
            "arrivals" => Some((self.live.arrivals() - self.mark.arrivals) as f64),
            "sightings" => field(&now.told.alignment, "taken").and_then(|text| text.parse().ok()),
            "first-motor-moved" => moved(now.dials.0, then.dials.0),
            "second-motor-moved" => moved(now.dials.1, then.dials.1),
            "first-axis-moved" => moved(now.axes.0, then.axes.0),
            "second-axis-moved" => moved(now.axes.1, then.axes.1),
            "first-crossings" => Some((self.live.crossings()[0] - self.mark.crossings[0]) as f64),
            "second-crossings" => Some((self.live.crossings()[1] - self.mark.crossings[1]) as f64),
            "first-play" => Some(now.plays[0].gap.arcsec()),
            "second-play" => Some(now.plays[1].gap.arcsec()),
            "first-take-up" => self.take_up(0),
            "second-take-up" => self.take_up(1),
            "first-rate" => self.first_rate(),
            "worm-period" => Some(self.live.worm_period()),
            "altitude" => Some(now.truth.1.degrees()),
            "clock-off" => self.live.clock_off().map(units::Span::seconds),
            "belief-gap" => Some(maths::hypot(now.gap.0.arcmin(), now.gap.1.arcmin())),
            _ => self.of_the_target(name),
        }
    }

    fn of_the_target(&self, name: &str) -> Option<f64> {
        let (east, north) = self.now.target.as_ref()?.error;
        match name {
            "miss" => Some(maths::hypot(east.arcmin(), north.arcmin())),
            "miss-east" => Some(east.arcmin()),
            "miss-north" => Some(north.arcmin()),
            "drift-east" => self.drift(|error| error.0),
            "drift-north" => self.drift(|error| error.1),
            "swing-east" => self.swing(|error| error.0),
            "swing-north" => self.swing(|error| error.1),
            _ => None,
        }
    }

    /// Errors since the step began, as seconds and arcseconds.
    fn errors(&self, part: impl Fn((Angle, Angle)) -> Angle) -> Vec<(f64, f64)> {
        let since = self.mark.picture.now;
        let moments = self.live.course(self.mark.moment);
        moments
            .filter_map(|CourseMoment { at, error, .. }| {
                error.map(|error| ((*at - since).seconds(), part(error).arcsec()))
            })
            .collect()
    }

    /// The slope of the straight line of least squares through at least half a minute of errors, in arcseconds a minute.
    fn drift(&self, part: impl Fn((Angle, Angle)) -> Angle) -> Option<f64> {
        const LEAST: f64 = 30.0;
        const MOST: f64 = 180.0;
        let errors = self.errors(part);
        let last = errors.last()?.0;
        let recent: Vec<(f64, f64)> = errors.into_iter().filter(|(at, _)| last - at <= MOST).collect();
        if last - recent.first()?.0 < LEAST {
            return None;
        }
        let count = recent.len() as f64;
        let mean = |of: fn(&(f64, f64)) -> f64| recent.iter().map(of).sum::<f64>() / count;
        let (at, error) = (mean(|pair| pair.0), mean(|pair| pair.1));
        let both: f64 = recent.iter().map(|(a, e)| (a - at) * (e - error)).sum();
        let squares: f64 = recent.iter().map(|(a, _)| (a - at) * (a - at)).sum();
        Some(both / squares * 60.0)
    }

    fn swing(&self, part: impl Fn((Angle, Angle)) -> Angle) -> Option<f64> {
        let errors = self.errors(part);
        let most = errors.iter().map(|(_, error)| *error).reduce(f64::max)?;
        let least = errors.iter().map(|(_, error)| *error).reduce(f64::min)?;
        Some(most - least)
    }

    fn take_up(&mut self, axis: usize) -> Option<f64> {
        let words = self.now.kind.axis_words();
        let name = if axis == 0 { words.0 } else { words.1 };
        let answer = self.live.ask("take-up");
        let text = field(&answer, &format!("{name}_axis"))?;
        text.strip_suffix("deg")?.parse::<f64>().ok().map(|degrees| degrees * 3600.0)
    }

    fn first_rate(&self) -> Option<f64> {
        let last = self.live.course(0).last()?;
        let earlier = self.live.course(last.number.saturating_sub(11)).next()?;
        let seconds = (last.at - earlier.at).seconds();
        (seconds > 0.0).then(|| (last.dials.0 - earlier.dials.0).arcsec() / seconds)
    }
}

/// The value of a key in a line of the mount's.
pub(crate) fn field<'l>(line: &'l str, key: &str) -> Option<&'l str> {
    line.split(' ').find_map(|pair| pair.strip_prefix(key)?.strip_prefix('='))
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_manuals_page_is_fresh() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/lesson-files.md");
        let page = std::fs::read_to_string(path).unwrap_or_default();
        assert!(page == super::reference_page(), "make it anew: cargo run -p page --example facts");
    }

    /// The lesson that the page gives as an example is one.
    #[test]
    fn the_manuals_example_can_be_read() {
        let preface = include_str!("facts/preface.md");
        let (_, after) = preface.split_once("```toml\n").expect("an example");
        let (example, _) = after.split_once("```\n").expect("its end");
        crate::Lesson::read("a-first-reversal", example).expect("a good lesson");
    }
}
