//! A part of a sweep that one machine plays: `3/10` is the fourth of ten.

use std::ops::Range;

/// One of several parts of a sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    /// Which one, from 0.
    pub index: u64,
    /// Of how many.
    pub of: u64,
}

/// Variables that array engines set, with what counts from zero in them; and our own, which goes before them.
const INDEX_VARIABLES: [&str; 3] = ["NIGHTBENCH_SHARD", "SLURM_ARRAY_TASK_ID", "JOB_COMPLETION_INDEX"];

/// The word that stands for the index of an array engine: `array/10`.
const ARRAY: &str = "array";

/// A shard that isn't one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShardError {
    /// The text isn't two numbers.
    #[error(
        "`{0}` is no shard; write its number from 0 and how many there are, such as 3/10, or array/10 in an array job"
    )]
    NoShard(String),
    /// There is no such shard.
    #[error("there is no shard {0} of {1}; with {1} shards they are 0/{1} to {2}/{1}{3}")]
    Beyond(u64, u64, u64, String),
    /// No engine has set an index.
    #[error("no array engine has set the shard's number; write it, such as 3/{0}, or set NIGHTBENCH_SHARD=3")]
    NoIndex(u64),
    /// Two have, and differ.
    #[error(
        "{0} and {1} are both set and differ; unset one of them, or write the shard's number, such as 3/{2}"
    )]
    TwoIndices(String, String, u64),
}

impl Shard {
    /// Reads a text such as `3/10` or `array/10`. `variable` gives the value of an environment variable, `offset` is added to
    /// the index that an engine gives (an array that begins with 1 takes -1).
    ///
    /// # Errors
    /// [`ShardError`].
    pub fn read(
        text: &str,
        offset: i64,
        variable: impl Fn(&str) -> Option<String>,
    ) -> Result<Self, ShardError> {
        let no_shard = || ShardError::NoShard(text.chars().take(40).collect());
        let (index, of) = text.split_once('/').ok_or_else(no_shard)?;
        let of: u64 = of.trim().parse().ok().filter(|of| *of > 0).ok_or_else(no_shard)?;
        let index = match index.trim() {
            ARRAY => from_engine(of, variable)?,
            given => given.parse::<i64>().map_err(|_| no_shard())?,
        };
        let index = index.saturating_add(offset);
        match u64::try_from(index) {
            Ok(index) if index < of => Ok(Self { index, of }),
            _ => {
                let shown = index.max(0) as u64;
                let hint =
                    if shown == of { "; does your array begin with 1? Add --shard-offset -1" } else { "" };
                Err(ShardError::Beyond(shown, of, of - 1, hint.to_owned()))
            }
        }
    }

    /// Its nights of so many: whole numbers that follow each other without gap from shard to shard.
    pub fn range(&self, nights: u64) -> Range<u64> {
        let at = |index: u64| (u128::from(index) * u128::from(nights) / u128::from(self.of)) as u64;
        at(self.index)..at(self.index + 1)
    }
}

fn from_engine(of: u64, variable: impl Fn(&str) -> Option<String>) -> Result<i64, ShardError> {
    let set: Vec<(&str, String)> =
        INDEX_VARIABLES.iter().filter_map(|name| Some((*name, variable(name)?))).collect();
    let Some((name, value)) = set.first() else { return Err(ShardError::NoIndex(of)) };
    if let Some((other, _)) = set.iter().find(|(_, other)| other != value) {
        return Err(ShardError::TwoIndices((*name).to_owned(), (*other).to_owned(), of));
    }
    value.trim().parse().map_err(|_| ShardError::NoShard(format!("{name}={value}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, set: &[(&str, &str)]) -> Result<Shard, ShardError> {
        Shard::read(text, 0, |name| {
            set.iter().find(|(other, _)| *other == name).map(|(_, value)| (*value).to_owned())
        })
    }

    #[test]
    fn shards_by_hand_and_by_engine() {
        assert_eq!(read("3/10", &[]), Ok(Shard { index: 3, of: 10 }));
        assert_eq!(read("array/10", &[("SLURM_ARRAY_TASK_ID", "9")]), Ok(Shard { index: 9, of: 10 }));
        let both = [("SLURM_ARRAY_TASK_ID", "9"), ("NIGHTBENCH_SHARD", "8")];
        assert!(matches!(read("array/10", &both), Err(ShardError::TwoIndices(..))));
        assert_eq!(read("3/10", &both), Ok(Shard { index: 3, of: 10 }), "what is written goes before");
        let agree = [("SLURM_ARRAY_TASK_ID", "8"), ("JOB_COMPLETION_INDEX", "8")];
        assert_eq!(read("array/10", &agree), Ok(Shard { index: 8, of: 10 }));
        assert_eq!(read("array/10", &[]), Err(ShardError::NoIndex(10)));
        for bad in ["", "3", "3/0", "-/3", "a/b", "3/10/2", "3.5/4"] {
            assert!(matches!(read(bad, &[]), Err(ShardError::NoShard(_))), "{bad}");
        }
        let beyond = read("5/4", &[]).unwrap_err().to_string();
        assert_eq!(beyond, "there is no shard 5 of 4; with 4 shards they are 0/4 to 3/4");
        assert!(read("4/4", &[]).unwrap_err().to_string().contains("--shard-offset -1"));
        assert_eq!(Shard::read("4/4", -1, |_| None), Ok(Shard { index: 3, of: 4 }));
    }

    #[test]
    fn shards_part_the_nights_without_gap_or_overlap() {
        for (nights, of) in [(10, 3), (7, 10), (1, 1), (1_000_000_000_000, 7), (0, 4)] {
            let mut next = 0;
            for index in 0..of {
                let range = Shard { index, of }.range(nights);
                assert_eq!(range.start, next);
                next = range.end;
            }
            assert_eq!(next, nights);
        }
    }
}
