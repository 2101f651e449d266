//! Files of rows: whole or not at all, and saying of themselves what they are.
//!
//! ```text
//! nightbench nights 1
//! {"title": …, "plan_digest": …, "version": …, "shard": [3, 10], "from": 300, "count": 100, "bytes": 41200}
//! the rows, as many bytes
//! SHA-256 of everything above, in hexadecimal
//! ```

use crate::about::About;
use crate::row::NightRow;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// The first line of every such file.
const MARK: &str = "nightbench nights 1";
/// A head longer than this is none.
const HEAD_MOST: usize = 1 << 20;
/// A file larger than this is none of ours: a shard of that size would take days to play.
const BYTES_MOST: u64 = 8 << 30;

/// A file of rows, read and found whole.
#[derive(Clone, Debug)]
pub struct RowsFile {
    /// What the sweep is of.
    pub about: About,
    /// Which shard of how many this is; `None` for a part of an unfinished one.
    pub shard: Option<(u64, u64)>,
    /// Which nights are in it, counted from the first of the sweep.
    pub range: Range<u64>,
    rows: Vec<u8>,
}

/// Why a file can't be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Damage {
    /// It can't be read.
    #[error("it can't be read ({0})")]
    Unreadable(String),
    /// It doesn't begin as such a file does.
    #[error("it is no file of nights")]
    Foreign,
    /// Its hash isn't that of its bytes: it is cut short or changed.
    #[error("its content isn't what was written: it was cut short or changed")]
    Changed,
    /// Its rows aren't those that its head tells of.
    #[error("its rows aren't those that its head tells of")]
    Inconsistent,
}

impl RowsFile {
    /// The bytes of a file of rows.
    pub fn bytes(about: &About, shard: Option<(u64, u64)>, range: &Range<u64>, rows: &[u8]) -> Vec<u8> {
        let mut head = about.json();
        if let Value::Object(map) = &mut head {
            map.insert("shard".to_owned(), shard.map_or(Value::Null, |(index, of)| json!([index, of])));
            map.insert("from".to_owned(), json!(range.start));
            map.insert("count".to_owned(), json!(range.end - range.start));
            map.insert("bytes".to_owned(), json!(rows.len()));
        }
        let mut bytes = format!("{MARK}\n{head}\n").into_bytes();
        bytes.extend_from_slice(rows);
        let hash = hexadecimal(&bytes);
        bytes.extend_from_slice(hash.as_bytes());
        bytes.push(b'\n');
        bytes
    }

    /// Reads a file and checks it whole.
    ///
    /// # Errors
    /// [`Damage`].
    pub fn open(path: &Path) -> Result<Self, Damage> {
        let unreadable = |error: std::io::Error| Damage::Unreadable(error.to_string());
        let length = std::fs::metadata(path).map_err(unreadable)?.len();
        if length > BYTES_MOST {
            return Err(Damage::Foreign);
        }
        Self::read(std::fs::read(path).map_err(unreadable)?)
    }

    /// As [`RowsFile::open`], from bytes.
    ///
    /// # Errors
    /// [`Damage`].
    pub fn read(mut bytes: Vec<u8>) -> Result<Self, Damage> {
        let rest = bytes.strip_prefix(MARK.as_bytes()).and_then(|rest| rest.strip_prefix(b"\n"));
        let rest = rest.ok_or(Damage::Foreign)?;
        let head = rest.iter().take(HEAD_MOST).position(|byte| *byte == b'\n').ok_or(Damage::Changed)?;
        let begin = bytes.len() - rest.len() + head + 1;
        // The hash and its line end.
        let end = bytes.len().checked_sub(65).filter(|end| *end >= begin).ok_or(Damage::Changed)?;
        let hash = format!("{}\n", hexadecimal(&bytes[..end]));
        if bytes[end..] != *hash.as_bytes() {
            return Err(Damage::Changed);
        }
        let head: Value = serde_json::from_slice(&rest[..head]).map_err(|_| Damage::Inconsistent)?;
        let whole = |key: &str| head.get(key).and_then(Value::as_u64).ok_or(Damage::Inconsistent);
        let (from, count) = (whole("from")?, whole("count")?);
        let shard = match head.get("shard") {
            Some(Value::Array(pair)) => match pair.as_slice() {
                [index, of] => Some((
                    index.as_u64().ok_or(Damage::Inconsistent)?,
                    of.as_u64().ok_or(Damage::Inconsistent)?,
                )),
                _ => return Err(Damage::Inconsistent),
            },
            _ => None,
        };
        let about = About::read(&head).ok_or(Damage::Inconsistent)?;
        bytes.truncate(end);
        let file =
            Self { about, shard, range: from..from.saturating_add(count), rows: bytes.split_off(begin) };
        let mut expected = file.range.clone();
        let in_order = file
            .rows()
            .all(|row| expected.next().is_some_and(|index| row.number == file.about.first_night + index));
        if in_order && expected.is_empty() { Ok(file) } else { Err(Damage::Inconsistent) }
    }

    /// Its rows in the order of their numbers.
    pub fn rows(&self) -> impl Iterator<Item = NightRow> {
        let mut left = self.rows.as_slice();
        let (cases, inputs) = (self.about.cases.len(), self.about.inputs.len());
        std::iter::from_fn(move || NightRow::read(&mut left, cases, inputs))
    }

    /// What it says of itself, its rows let go.
    pub(crate) fn without_rows(self) -> Self {
        Self { rows: Vec::new(), ..self }
    }

    /// The rows as they stand in the file.
    pub(crate) fn raw(&self) -> &[u8] {
        &self.rows
    }
}

fn hexadecimal(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The name of a shard's file.
pub fn shard_name(index: u64, of: u64) -> String {
    format!("shard-{index:06}-of-{of:06}.nights")
}

/// The name of a part of an unfinished sweep or shard.
pub(crate) fn part_name(range: &Range<u64>) -> String {
    format!("part-{:012}-{:012}.nights", range.start, range.end)
}

/// Files of rows in a folder by the beginning of their names, sorted; an unreadable folder has none.
pub(crate) fn files_in(folder: &Path, prefix: &str) -> std::io::Result<Vec<PathBuf>> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if name.starts_with(prefix) && name.ends_with(".nights") {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::about::CaseAbout;
    use crate::row::tests::made_up;

    pub(crate) fn about(nights: u64, cases: usize) -> About {
        About {
            title: "A sweep".to_owned(),
            digest: "0".repeat(64),
            version: "1".to_owned(),
            maths_fingerprint: "f".to_owned(),
            first_night: 100,
            nights,
            tracking: true,
            cases: (0..cases)
                .map(|index| CaseAbout {
                    label: format!("case {index}"),
                    strategy: format!("case {index}"),
                    levels: Vec::new(),
                    expected: vec!["expect.in_field = \">= 50%\"".to_owned()],
                })
                .collect(),
            inputs: vec![("setup.lean_north".to_owned(), "deg".to_owned()); 2],
        }
    }

    pub(crate) fn rows(range: Range<u64>, cases: usize) -> Vec<u8> {
        let mut bytes = Vec::new();
        for index in range {
            made_up(100 + index, cases).write(&mut bytes);
        }
        bytes
    }

    #[test]
    fn a_file_reads_back_and_every_cut_and_change_is_found() {
        let about = about(10, 2);
        let bytes = RowsFile::bytes(&about, Some((1, 5)), &(2..4), &rows(2..4, 2));
        let file = RowsFile::read(bytes.clone()).unwrap();
        assert_eq!((&file.about, file.shard, file.range.clone()), (&about, Some((1, 5)), 2..4));
        assert_eq!(file.rows().map(|row| row.number).collect::<Vec<_>>(), [102, 103]);
        for at in 0..bytes.len() {
            assert!(RowsFile::read(bytes[..at].to_vec()).is_err(), "cut at {at}");
            let mut changed = bytes.clone();
            changed[at] ^= 1;
            assert!(RowsFile::read(changed).is_err(), "changed at {at}");
        }
        let short = RowsFile::bytes(&about, None, &(2..5), &rows(2..4, 2));
        assert_eq!(RowsFile::read(short).unwrap_err(), Damage::Inconsistent);
    }
}
