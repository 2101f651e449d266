//! The manual's page about the file.

use super::{KeyDoc, key_table};
use std::fmt::Write as _;

const HEAD: &str = "# The scenario file

One file describes one night: the place, the mount, what people did and what they look at. It is TOML. This page lists every key.
The program prints the same list into a JSON Schema, `scenario.schema.json` beside this page, which gives completion in editors.

- A quantity is a text with its unit: `\"40.5 deg\"`, `\"0.6 N m\"`. A bare number is refused where a unit is due, so that a
  mistake of units can't pass. Angles may also be written in parts: `\"5h35m17.3s\"`, `\"-5d23m28s\"`.
- A key that is left out takes what the column *left out* says. Nothing is ignored in silence: an unknown key is refused
  with the nearest right one, a key that means nothing for this kind of mount is refused, and so is one that isn't built yet.
- A file has at most 1 MiB; a night at most 100 000 000 samples.
- In a path, `[]` stands for any place of a list.

Required are `format`, `night.begin`, `night.length`, `site.latitude`, `site.longitude` and `mount.kind`:

```toml
format = 1

[night]
begin = 2027-03-06T20:30:00+01:00
length = \"5 h\"

[site]
latitude = \"40.5 deg\"
longitude = \"-4.5 deg\"

[mount]
kind = \"german-equatorial\"
```
";

const DISTURBANCES: &str = "
### Which keys a disturbance has

Beside `at` and `kind`; of those in the second column at least one must be there.

| kind | needed | may be there |
|---|---|---|
";

const DISTRIBUTIONS: &str = "
## Distributions

Where one value may stand, a distribution may: the value is then drawn anew for each night. A draw is decided by the night's
number (its seed) and by the path of its key, and by nothing else: all strategies of a sweep meet the same nights, and a
further distribution moves no other draw. `night` plays the night of one seed, `sweep` plays many.

| written | drawn |
|---|---|
| `{ normal = [\"0 deg\", \"0.7 deg\"] }` | by the normal law: mean, sigma |
| `{ uniform = [\"0 degC\", \"20 degC\"] }` | evenly: least, greatest |
| `{ log-normal = [\"100 arcsec\", 1.5] }` | median, and the factor of one sigma |
| `{ rayleigh = \"1 deg\" }` | the length of a vector of two normal components of this sigma |
| `{ truncated = { normal = [0.6, 0.2] }, from = 0.1, to = 0.95 }` | one of the laws above, as far as it lies between `from` and `to`; either may be left out |
| `{ choice = [\"0 h\", \"1 h\"], weights = [3, 1] }` | one of several values of any kind, distributions too; without `weights` each is as likely as the others |
| `{ bernoulli = [\"5 %\", \"1 h\", \"0 h\"] }` | a value with this chance, otherwise another; `{ bernoulli = \"5 %\" }` where `true` or `false` stands |
| `{ poisson = \"90 min\" }` | only for the `at` of a disturbance: it strikes at random moments, this long apart on the average, each time with draws of its own |

- A whole number is rounded. A distribution that yields impossible values in more than one night of 10¹² is refused with the
  share of such nights.
- Expectations, tables, `format` and `night.seed` can't be drawn. `[vary]` tells what differs between the cases of a sweep;
  each case is judged as a file of its own, and there are at most 200 of them.
- Where no distribution is written, `mount.grade` and `setup.care` draw as complete populations: `care = \"hurried\"`,
  `\"usual\"` or `\"careful\"` for the people, a grade for the mount.
";

/// The four axes have the same keys: one table serves all.
const LIKE_THE_HOUR_AXIS: [&str; 3] = ["mount.declination_axis", "mount.azimuth_axis", "mount.altitude_axis"];

/// The page in Markdown, made from [`key_table`].
pub fn reference_page() -> String {
    let mut page = HEAD.to_owned();
    let mut parents: Vec<&str> = Vec::new();
    for doc in key_table() {
        let parent = parent_of(doc);
        let repeated = LIKE_THE_HOUR_AXIS.iter().any(|axis| parent.starts_with(axis));
        if !repeated && !parents.contains(&parent) {
            parents.push(parent);
        }
    }
    for parent in parents {
        chapter(&mut page, parent);
        for doc in key_table().iter().filter(|doc| parent_of(doc) == parent) {
            row(&mut page, &doc.path[parent.len()..], doc);
        }
    }
    page.push_str(DISTURBANCES);
    for kind in crate::DisturbanceKind::ALL {
        let keys = kind.keys();
        let _ = writeln!(page, "| `{kind}` | {} | {} |", ticked(keys.needed), ticked(keys.allowed));
    }
    page.push_str(DISTRIBUTIONS);
    page
}

fn parent_of(doc: &KeyDoc) -> &str {
    doc.path.rsplit_once('.').map_or("", |(parent, _)| parent)
}

fn chapter(page: &mut String, parent: &str) {
    let mark = if parent.contains('.') { "###" } else { "##" };
    let title = if parent.is_empty() { "The file".to_owned() } else { format!("`{parent}`") };
    let _ = write!(page, "\n{mark} {title}\n\n");
    if parent == "mount.hour_axis" {
        page.push_str(
            "`mount.declination_axis`, and on an alt-azimuth mount `mount.azimuth_axis` and `mount.altitude_axis`, have the \
             same keys.\n\n",
        );
    }
    page.push_str("| key | value | from, to | left out | meaning |\n|---|---|---|---|---|\n");
}

fn row(page: &mut String, key: &str, doc: &KeyDoc) {
    let mut value = doc.kind.clone();
    if !doc.units.is_empty() {
        let _ = write!(value, " ({})", doc.units.join(", "));
    }
    let range = doc.range.map(|(low, high)| format!("{low}, {high}")).unwrap_or_default();
    let default = if doc.required { "**required**" } else { doc.default };
    let _ = writeln!(
        page,
        "| `{}` | {value} | {range} | {default} | {} |",
        key.trim_start_matches('.'),
        doc.meaning
    );
}

fn ticked(keys: &[&str]) -> String {
    keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ")
}
