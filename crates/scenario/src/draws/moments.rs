//! Disturbances that come at random moments: `at = { poisson = "90 min" }`, one every 90 minutes on the average.

use super::{Draw, Drawing};
use crate::complaint::ComplaintKind;
use crate::plan::Night;
use crate::reader::{Node, Reader};
use crate::value::Value;
use crate::values::{Begin, TimeOfDay};
use toml::Spanned;
use toml::de::{DeTable, DeValue};
use units::Span;

/// More disturbances of one kind than this in a night are a mistake.
const EXPECTED_MOST: f64 = 1000.0;

/// From when to when moments are drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window {
    begin: Begin,
    length: Span,
}

impl Window {
    /// The night's, as far as it can be read; what can't be is complained of where the night itself is read.
    pub(crate) fn of(root: &DeTable, reader: &Reader) -> Option<Self> {
        let night = Node::new(root.get("night")?, "night".to_owned());
        let mut aside = reader.aside();
        let night = Night::read(&night, &mut aside)?;
        Some(Self { begin: night.begin, length: night.length })
    }

    fn is_longer_than_a_day(&self) -> bool {
        self.length > Span::DAY
    }

    /// The time of day at so much after the begin, below a day.
    fn time_of_day(&self, after: Span) -> TimeOfDay {
        const DAY: i64 = 86_400_000_000_000;
        let begin = &self.begin.time;
        let seconds =
            i64::from(begin.hour) * 3600 + i64::from(begin.minute) * 60 + i64::from(begin.second.min(59));
        let at =
            (seconds * 1_000_000_000 + i64::from(begin.nanosecond) + after.nanoseconds()).rem_euclid(DAY);
        let whole = at / 1_000_000_000;
        TimeOfDay {
            hour: (whole / 3600) as u8,
            minute: (whole / 60 % 60) as u8,
            second: (whole % 60) as u8,
            nanosecond: (at % 1_000_000_000) as u32,
        }
    }
}

impl Reader<'_> {
    /// Which of several, and when, an entry of a list is to be read: once and at its own time, unless its `at` comes at
    /// random moments.
    pub(crate) fn occurrences(
        &mut self,
        list: &str,
        entry: &Spanned<DeValue>,
        path: &str,
    ) -> Vec<Option<(u64, TimeOfDay)>> {
        let once = vec![None];
        let DeValue::Table(entry) = entry.get_ref() else { return once };
        let Some(at) = entry.get("at") else { return once };
        let DeValue::Table(law) = at.get_ref() else { return once };
        let (Some(every), true, Some(window)) = (law.get("poisson"), list == "disturb", self.window) else {
            return once;
        };
        let Drawing::Night(streams) = self.drawing.clone() else { return vec![Some((0, window.begin.time))] };
        let mut aside = self.aside();
        let every = Node::new(every, path.to_owned());
        let Some(every) = <Span as Value>::read(&every, &mut aside) else { return once };
        let mut stream = streams.stream(&format!("draw {path}.at"), 0);
        let mut moments = Vec::new();
        let mut gap = || Span::from_seconds(every.seconds() * stream.exponential());
        let mut after = gap();
        while after < window.length {
            moments.push(Some((moments.len() as u64, window.time_of_day(after))));
            after += gap();
        }
        moments
    }
}

impl<'n, 'i> Draw<'_, 'n, 'i> {
    /// The moment that [`Reader::occurrences`] drew for this reading of the entry.
    pub(super) fn moment<T: Value>(&self, parameters: &Node<'n, 'i>, reader: &mut Reader) -> Option<T> {
        let here = self.node.path.starts_with("disturb[") && self.node.path.ends_with("].at");
        let every = <Span as Value>::read(parameters, reader)?;
        let complain = |reader: &mut Reader, kind, problem: &str, expected: &str| {
            reader.at(self.node, kind, problem, expected);
        };
        if !here {
            let problem = "only the `at` of a disturbance comes at random moments";
            complain(reader, ComplaintKind::OutOfPlace, problem, "write another distribution, or one value");
            return None;
        }
        if every <= Span::ZERO {
            let problem = "the mean time between two moments isn't above zero";
            complain(reader, ComplaintKind::OutOfRange, problem, "write a time such as \"90 min\"");
            return None;
        }
        // Without a window, the night itself is complained of.
        let window = reader.window?;
        let count = window.length.seconds() / every.seconds();
        if window.is_longer_than_a_day() {
            let problem = "random moments are times of day, and this night is longer than a day";
            complain(reader, ComplaintKind::OutOfPlace, problem, "shorten the night, or write times of day");
            return None;
        }
        if count > EXPECTED_MOST {
            let least = window.length.seconds() / EXPECTED_MOST;
            let problem = format!("this would strike about {count:.0} times in a night");
            let expected = format!("write {} s or more between two", units::maths::ceil(least));
            complain(reader, ComplaintKind::TooMuch, &problem, &expected);
            return None;
        }
        reader.recipe(&self.node.path, &format!("poisson {}", crate::values::rounded(every.seconds())));
        let (_, time) = reader.occurrence?;
        T::from_time(time)
    }
}
