//! The questions, and what is made of an answer.

use sky::catalogue::Catalogue;
use sky::time::{Utc, instant_from_utc};
use sky::{Air, Site};
use units::{Angle, Instant, Length, Quantity, Span};

/// One question.
pub struct Question {
    /// The option that answers it.
    pub option: &'static str,
    /// As it is asked.
    pub words: &'static str,
    /// What an empty answer means.
    pub usual: &'static str,
    /// Takes an answer, or says what is wrong with it and what to write.
    pub take: fn(&mut Answers, &str) -> Result<(), String>,
}

/// All questions in their order.
pub const QUESTIONS: [Question; 8] = [
    Question {
        option: "--where",
        words: "Where will you stand (latitude, longitude, height)?",
        usual: "40.5 deg, -4.5 deg, 440 m",
        take: Answers::take_place,
    },
    Question {
        option: "--when",
        words: "When does the evening begin (with the offset from UTC)?",
        usual: "2027-03-06T20:30:00+01:00",
        take: Answers::take_instant,
    },
    Question {
        option: "--mount",
        words: "Which kind of mount (german-equatorial, fork-equatorial, alt-azimuth)?",
        usual: "german-equatorial",
        take: |answers, text| {
            answers.kind = word(text, &["german-equatorial", "fork-equatorial", "alt-azimuth"])?;
            Ok(())
        },
    },
    Question {
        option: "--age",
        words: "How old and how loose is it (tight, usual, loose)?",
        usual: "usual",
        take: |answers, text| {
            answers.grade = match word(text, &["tight", "usual", "loose"])? {
                "tight" => "tuned",
                "loose" => "worn",
                _ => "mid-range",
            };
            Ok(())
        },
    },
    Question {
        option: "--tube",
        words: "Which tube and eyepieces (aperture/focal length in mm, then focal length in mm/apparent field in degrees)?",
        usual: "150/1500 25/50 18/52",
        take: Answers::take_tube,
    },
    Question {
        option: "--care",
        words: "How carefully do you set up (hurried, usual, careful)?",
        usual: "usual",
        take: |answers, text| {
            answers.care = word(text, &["hurried", "usual", "careful"])?;
            Ok(())
        },
    },
    Question {
        option: "--visitors",
        words: "How many visitors come to each target?",
        usual: "0",
        take: |answers, text| {
            answers.visitors = text
                .parse()
                .ok()
                .filter(|count| *count <= 1000)
                .ok_or_else(|| format!("`{text}` is no number of visitors; write one from 0 to 1000"))?;
            Ok(())
        },
    },
    Question {
        option: "--targets",
        words: "Which targets (names with commas between, or suggest)?",
        usual: "suggest",
        take: Answers::take_targets,
    },
];

/// What was answered. It is whole once every question has been.
#[derive(Debug, Default)]
pub struct Answers {
    /// Latitude, longitude and height as they are to stand in the file.
    pub place: [String; 3],
    pub site: Option<Site>,
    /// As a TOML offset date-time.
    pub begin: String,
    pub instant: Option<Instant>,
    pub kind: &'static str,
    pub grade: &'static str,
    /// Aperture and focal length, millimetres.
    pub tube: (f64, f64),
    /// Focal length in millimetres and apparent field in degrees.
    pub eyepieces: Vec<(f64, f64)>,
    pub care: &'static str,
    pub visitors: u64,
    /// Names; empty for a suggestion.
    pub targets: Vec<String>,
}

impl Answers {
    fn take_place(&mut self, text: &str) -> Result<(), String> {
        let expected = "write a latitude, a longitude and a height, such as `40.5 deg, -4.5 deg, 440 m`";
        let mut parts = text.split(',').map(str::trim);
        let (Some(latitude), Some(longitude)) = (parts.next(), parts.next()) else {
            return Err(format!("`{text}` is no place; {expected}"));
        };
        let height = parts.next().unwrap_or("0 m");
        if parts.next().is_some() {
            return Err(format!("`{text}` has too many parts; {expected}"));
        }
        let site = Site::new(quantity(latitude)?, quantity(longitude)?, quantity::<Length>(height)?)
            .map_err(|error| format!("{error}; {expected}"))?;
        let degrees = |angle: Angle| angle.text_in("deg");
        self.place = [degrees(site.latitude()), degrees(site.longitude()), site.height().text_in("m")];
        self.site = Some(site);
        Ok(())
    }

    fn take_instant(&mut self, text: &str) -> Result<(), String> {
        let expected = "write it as `2027-03-06T20:30:00+01:00`";
        let spaced = text.trim().replace(' ', "T");
        let (instant, begin) =
            instant(&spaced).ok_or_else(|| format!("`{text}` is no instant; {expected}"))?;
        self.begin = begin;
        self.instant = Some(instant);
        Ok(())
    }

    fn take_tube(&mut self, text: &str) -> Result<(), String> {
        let expected = "write aperture/focal length, then each eyepiece as focal length/apparent field: \
                        `150/1500 25/50 18/52`";
        let pair = |part: &str| -> Option<(f64, f64)> {
            let (first, second) = part.split_once('/')?;
            let number = |text: &str| {
                text.trim().parse::<f64>().ok().filter(|value| *value > 0.0 && value.is_finite())
            };
            Some((number(first)?, number(second)?))
        };
        let pairs: Option<Vec<(f64, f64)>> = text.split_whitespace().map(pair).collect();
        match pairs.as_deref() {
            Some([tube, eyepieces @ ..]) if !eyepieces.is_empty() => {
                self.tube = *tube;
                self.eyepieces = eyepieces.to_vec();
                Ok(())
            }
            _ => Err(format!("`{text}` can't be read; {expected}")),
        }
    }

    fn take_targets(&mut self, text: &str) -> Result<(), String> {
        self.targets.clear();
        if text.eq_ignore_ascii_case("suggest") {
            return Ok(());
        }
        for name in text.split(',').map(str::trim).filter(|name| !name.is_empty()) {
            let entry = Catalogue::embedded().find(name).map_err(|missing| missing.to_string())?;
            self.targets.push(entry.name);
        }
        if self.targets.is_empty() {
            return Err("there is no name in it; write names with commas between, or `suggest`".to_owned());
        }
        Ok(())
    }

    /// The air over the place, as nobody measured it.
    pub fn air(&self) -> Air {
        Air::standard(self.site.map_or(Length::ZERO, |site| site.height()))
    }
}

fn quantity<Q: Quantity>(text: &str) -> Result<Q, String> {
    Q::parse(text).map_err(|error| format!("`{text}`: {}; {}", error.problem, error.remedy))
}

fn word(text: &str, words: &[&'static str]) -> Result<&'static str, String> {
    let found = words.iter().find(|word| word.eq_ignore_ascii_case(text));
    found.copied().ok_or_else(|| format!("`{text}` is none of them; write {}", words.join(", ")))
}

/// An instant with its offset from UTC (RFC 3339), and the same text as the file has it.
fn instant(text: &str) -> Option<(Instant, String)> {
    let (local, offset, minutes) = match text.strip_suffix(['Z', 'z']) {
        Some(local) => (local, "Z".to_owned(), 0),
        None => {
            let at = text.len().checked_sub(6).filter(|at| text.is_char_boundary(*at))?;
            let (local, offset) = text.split_at(at);
            let sign = match offset.as_bytes()[0] {
                b'+' => 1,
                b'-' => -1,
                _ => return None,
            };
            let (hours, minutes) = offset[1..].split_once(':')?;
            let (hours, minutes) = (hours.parse::<i64>().ok()?, minutes.parse::<i64>().ok()?);
            if hours > 26 || minutes > 59 {
                return None;
            }
            (local, offset.to_owned(), sign * (60 * hours + minutes))
        }
    };
    // Seconds may be left out by people; the file has them.
    let local = if local.matches(':').count() == 1 { format!("{local}:00") } else { local.to_owned() };
    let utc = Utc::parse(&format!("{local}Z")).ok()?;
    let instant = instant_from_utc(&utc).ok()? - Span::from_whole_seconds(60 * minutes);
    Some((instant, format!("{local}{offset}")))
}
