//! From a scenario file to a typed plan of a night, with a place kept for every key and every complaint.
//!
//! ```
//! let text = r#"
//! format = 1
//! [night]
//! begin = 2027-03-06T20:30:00+01:00
//! length = "5 h"
//! [site]
//! latitude = "40.5 deg"
//! longitude = "-4.5 deg"
//! [mount]
//! kind = "german-equatorial"
//! [mount.hour_axis]
//! backlash = "100 arcsecs"
//! "#;
//! let complaints = scenario::read(text).unwrap_err();
//! assert_eq!(complaints[0].key, "mount.hour_axis.backlash");
//! assert_eq!((complaints[0].line, complaints[0].column), (12, 17));
//! assert_eq!(complaints[0].expected, "did you mean `arcsec`?");
//! ```
//!
//! - [`read`], [`read_bytes`]: a [`Plan`], or every [`Complaint`] at once
//! - [`Study`]: a file of many nights, with distributions and `[vary]`: its cases, and the plan of each night of each case
//! - [`Plan`]: the sections as structs; [`Plan::complain`] for whoever finds a fault later; [`Plan::digest`]
//! - [`key_table`], [`schema`], [`reference_page`]: the same list of keys that drives the reading, for the
//!   manual and for editors
//!
//! The list of keys is the set of `section!` blocks in `plan`: a field there is a key of the file, with its type, its
//! bounds, its default in words and its meaning. There is no second list.
//!
//! **Absent here:** it runs nothing, opens no file, knows no default figure of a grade or of the person's care, and
//! doesn't know what is built: it accepts the whole vocabulary.
#![forbid(unsafe_code)]

mod canonical;
mod complaint;
mod draws;
mod plan;
mod reader;
mod schema;
mod study;
mod syntax;
mod value;
mod values;

pub use complaint::{Complaint, ComplaintKind};
pub use draws::DrawnValue;
pub use plan::*;
pub use reader::KeyPlace;
pub use schema::{KeyDoc, key_table, reference_page, schema};
pub use study::{CASES_MOST, Case, DrawnNight, Level, Study};
pub use values::{
    Begin, CalendarError, Comparison, Count, Horizon, Ratio, Sign, Stars, TargetName, TimeOfDay,
};

/// The largest file that is read, in bytes.
pub const BYTES_MOST: usize = 1 << 20;

/// Reads a scenario as one night: of the first case where the file has several, and drawn by the file's own seed where
/// it has distributions. [`Study`] reads all of them.
///
/// # Errors
/// All complaints at once (the first fifty, and a last one if there are more), in the order of the file.
pub fn read(text: &str) -> Result<Plan, Vec<Complaint>> {
    let study = Study::read(text)?;
    study.cases()[0].night(None).map(|night| night.plan)
}

/// Reads a scenario from the bytes of a file.
///
/// # Errors
/// As [`read`]; besides for more than [`BYTES_MOST`] bytes, and for bytes that are no UTF-8.
pub fn read_bytes(bytes: &[u8]) -> Result<Plan, Vec<Complaint>> {
    read(text_of(bytes)?)
}

/// The text of a file's bytes.
///
/// # Errors
/// A complaint for more than [`BYTES_MOST`] bytes, and for bytes that are no UTF-8.
pub fn text_of(bytes: &[u8]) -> Result<&str, Vec<Complaint>> {
    if bytes.len() > BYTES_MOST {
        return Err(vec![too_large(bytes.len())]);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(error) => {
            let good = error.valid_up_to();
            let before = std::str::from_utf8(&bytes[..good]).unwrap_or_default();
            let problem = format!("byte {} of the file is no UTF-8 text", good + 1);
            let expected = "save the file as UTF-8 text";
            let kind = ComplaintKind::NotText;
            Err(vec![Complaint::new(before, "", good..good, kind, problem, expected)])
        }
    }
}

fn too_large(length: usize) -> Complaint {
    let problem = format!("the file has {length} bytes; {BYTES_MOST} are the most");
    let expected = "a scenario is a page or two of text: is this the right file?";
    Complaint::new("", "", 0..0, ComplaintKind::NotText, problem, expected)
}
