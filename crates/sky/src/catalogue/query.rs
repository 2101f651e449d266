//! What somebody may have meant by the text of a target.

use super::constellation::Constellation;

/// The Greek letters in order: symbol, word.
const GREEK: [(char, &str); 24] = [
    ('α', "alpha"),
    ('β', "beta"),
    ('γ', "gamma"),
    ('δ', "delta"),
    ('ε', "epsilon"),
    ('ζ', "zeta"),
    ('η', "eta"),
    ('θ', "theta"),
    ('ι', "iota"),
    ('κ', "kappa"),
    ('λ', "lambda"),
    ('μ', "mu"),
    ('ν', "nu"),
    ('ξ', "xi"),
    ('ο', "omicron"),
    ('π', "pi"),
    ('ρ', "rho"),
    ('σ', "sigma"),
    ('τ', "tau"),
    ('υ', "upsilon"),
    ('φ', "phi"),
    ('χ', "chi"),
    ('ψ', "psi"),
    ('ω', "omega"),
];

/// The longest text that is looked at; longer ones name nothing.
const LONGEST: usize = 120;

/// A catalogue whose members have plain numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Numbered {
    Messier,
    Ngc,
    Ic,
    Hr,
    Hip,
}

/// Spellings of the numbered catalogues, squeezed.
const NUMBERED: [(&str, Numbered); 6] = [
    ("messier", Numbered::Messier),
    ("m", Numbered::Messier),
    ("ngc", Numbered::Ngc),
    ("ic", Numbered::Ic),
    ("hr", Numbered::Hr),
    ("hip", Numbered::Hip),
];

/// A star's letter in its constellation. `component` 0 means that none was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Bayer {
    /// 1 for alpha to 24 for omega.
    pub letter: u8,
    pub component: u8,
}

impl Bayer {
    /// Reads a designation of the tables: a letter in words or its first three letters, with or without a component
    /// (`alpha 1`, `alp1`, `mu`).
    pub(super) fn parse(text: &str) -> Option<Self> {
        let letters = text.bytes().take_while(u8::is_ascii_alphabetic).count();
        let (word, component) = text.split_at(letters);
        let component = component.trim_start();
        let component = if component.is_empty() { 0 } else { component.parse().ok()? };
        let fits = |greek: &str| greek == word || (word.len() == 3 && greek.starts_with(word));
        let index = GREEK.iter().position(|(_, greek)| fits(greek))?;
        Some(Self { letter: u8::try_from(index + 1).ok()?, component })
    }

    /// The letter in words, with its component: `alpha`, `mu 1`.
    pub(super) fn words(self) -> String {
        let word = GREEK[usize::from(self.letter) - 1].1;
        if self.component == 0 { word.to_owned() } else { format!("{word} {}", self.component) }
    }
}

/// The text without blanks, punctuation, case and accents; Greek letters in words, raised digits as digits.
pub(super) fn squeezed(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().take(LONGEST).flat_map(char::to_lowercase) {
        match c {
            'a'..='z' | '0'..='9' => out.push(c),
            '⁰' => out.push('0'),
            '¹' => out.push('1'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '⁴'..='⁹' => out.extend(char::from_digit(c as u32 - '⁰' as u32, 10)),
            '₀'..='₉' => out.extend(char::from_digit(c as u32 - '₀' as u32, 10)),
            _ => out.push_str(spelled(c)),
        }
    }
    out
}

/// Letters beyond ASCII in ASCII; nothing for what is no letter.
fn spelled(c: char) -> &'static str {
    match c {
        // The sign for a millionth is another character than the letter mu.
        'µ' => "mu",
        'ς' => "sigma",
        'ϵ' => "epsilon",
        'ϑ' => "theta",
        'ϕ' => "phi",
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => "a",
        'ç' => "c",
        'è' | 'é' | 'ê' | 'ë' => "e",
        'ì' | 'í' | 'î' | 'ï' => "i",
        'ñ' => "n",
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' => "o",
        'ù' | 'ú' | 'û' | 'ü' => "u",
        _ => GREEK.iter().find(|(symbol, _)| *symbol == c).map_or("", |(_, word)| word),
    }
}

/// A number in one of the numbered catalogues: `m42`, `ngc869`, `hip27989`.
pub(super) fn numbered(squeezed_text: &str) -> Option<(Numbered, u32)> {
    NUMBERED.iter().find_map(|(prefix, catalogue)| {
        let number = squeezed_text.strip_prefix(prefix)?.parse().ok()?;
        Some((*catalogue, number))
    })
}

/// A Bayer designation with the place of its constellation in the table: `alphaori`, `alp1centauri`.
pub(super) fn bayer(squeezed_text: &str) -> Option<(Bayer, u8)> {
    letters_at_start(squeezed_text).find_map(|(letter, rest)| {
        let digits = digits_at_start(rest);
        let component = if digits == 0 { 0 } else { rest[..digits].parse().ok()? };
        let constellation = Constellation::index_spelled(&rest[digits..])?;
        Some((Bayer { letter, component }, constellation))
    })
}

/// A Flamsteed number with the place of its constellation in the table: `58ori`.
pub(super) fn flamsteed(squeezed_text: &str) -> Option<(u16, u8)> {
    let digits = digits_at_start(squeezed_text);
    let number = squeezed_text[..digits].parse().ok().filter(|number| *number > 0)?;
    Some((number, Constellation::index_spelled(&squeezed_text[digits..])?))
}

/// A catalogue identifier with leading zeros of its numbers dropped, so that `C 14` is `C014`.
pub(super) fn without_leading_zeros(squeezed_text: &str) -> String {
    let mut out = String::with_capacity(squeezed_text.len());
    let mut in_number = false;
    for c in squeezed_text.chars() {
        if c == '0' && !in_number {
            continue;
        }
        in_number = c.is_ascii_digit();
        out.push(c);
    }
    out
}

fn digits_at_start(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// Every way in which a text can begin with a Greek letter: the letter's number and what follows it. The whole word
/// comes before the three-letter form, so that `theta…` isn't read as `the` and a rest.
fn letters_at_start(squeezed_text: &str) -> impl Iterator<Item = (u8, &str)> {
    GREEK.iter().zip(1u8..).flat_map(move |((_, word), letter)| {
        let short = &word[..word.len().min(3)];
        let other = match *word {
            "theta" => "tet",
            "xi" => "ksi",
            "lambda" => "lamda",
            _ => "",
        };
        [*word, short, other]
            .into_iter()
            .filter(|spelling| !spelling.is_empty())
            .filter_map(move |spelling| Some((letter, squeezed_text.strip_prefix(spelling)?)))
    })
}
