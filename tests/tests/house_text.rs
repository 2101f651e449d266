//! The project speaks of itself alone: no machine's paths, no package hosts, no unfinished work, no dead links.

use tests::{hold, text_of, top, tracked_files};

/// Words in two parts, so that this file does not find itself.
const NEVER: &[(&str, &str, &str)] = &[
    ("/wo", "rk/", "a path of some machine"),
    ("/ro", "ot/", "a path of some machine"),
    ("/ho", "me/", "a path of some machine"),
    ("/Us", "ers/", "a path of some machine"),
    ("/tmp", "/target", "a path of some machine"),
    ("pypi", ".org", "a package host"),
    ("python", "hosted.org", "a package host"),
    ("static.", "crates.io", "a package host"),
    ("index.", "crates.io", "a package host"),
    ("npm", "js.org", "a package host"),
    ("proxy.", "golang.org", "a package host"),
    ("sha", "red/", "a folder that isn't part of the project"),
    ("design", ".md", "a page that isn't part of the project"),
    ("physics", ".md", "a page that isn't part of the project; say `the manual's physics page`"),
    ("originality", ".md", "a page that isn't part of the project"),
    ("robustness", ".md", "a page that isn't part of the project"),
    ("crates", ".md", "a page that isn't part of the project"),
    ("TO", "DO", "unfinished work"),
    ("FIX", "ME", "unfinished work"),
    ("to", "do!(", "unfinished work"),
    ("unimple", "mented!(", "unfinished work"),
];

/// The same, whatever the case, and only where no letter or digit touches them.
const NEVER_WORDS: &[(&str, &str, &str)] = &[
    ("hel", "per", "name what it does"),
    ("hel", "pers", "name what they do"),
    ("sub", "agent", "name what it does"),
];

/// The lock file names the registry that cargo itself writes there; a manual's page may have the name of an absent one.
fn is_exempt(name: &str, found: &str) -> bool {
    name == "Cargo.lock" || (name.starts_with("docs/") && found.ends_with(".md"))
}

fn complaints_about(name: &str, text: &str) -> Vec<String> {
    let mut complaints = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let mut complain =
            |found: &str, why: &str| complaints.push(format!("{name}:{}: `{found}`: {why}", index + 1));
        for (one, other, why) in NEVER {
            let found = format!("{one}{other}");
            if line.contains(&found) && !is_exempt(name, &found) {
                complain(&found, why);
            }
        }
        let lower = without_names_of_libraries(line).to_lowercase();
        for (one, other, why) in NEVER_WORDS {
            let found = format!("{one}{other}");
            if has_word(&lower, &found) {
                complain(&found, why);
            }
        }
        if names_an_issue(&lower) {
            complain("issue", "a number that means nothing to a reader; say what it was about");
        }
    }
    complaints
}

/// A line without the names that a library gave to what is ours to fill in.
fn without_names_of_libraries(line: &str) -> String {
    let editing = format!("rustyline::{}{}", "Hel", "per");
    let setting = format!("set_{}{}(", "hel", "per");
    line.replace(&editing, "").replace(&setting, "")
}

/// Whether a word stands in a line, alone or as a part of a name.
fn has_word(line: &str, word: &str) -> bool {
    line.split(|c: char| !c.is_alphanumeric()).any(|part| part == word)
}

/// Whether a line speaks of an issue by its number.
fn names_an_issue(lower: &str) -> bool {
    ["issue ", "issues ", "issue #"].iter().any(|start| {
        lower.match_indices(start).any(|(at, _)| {
            lower[at + start.len()..].trim_start_matches('#').starts_with(|c: char| c.is_ascii_digit())
        })
    })
}

/// Data that others wrote is quoted as it stands.
fn is_quoted_data(name: &str) -> bool {
    name.ends_with(".csv") || name.ends_with("_coefficients.txt")
}

#[test]
fn files_speak_of_the_project_alone() {
    let complaints: Vec<String> = tracked_files()
        .iter()
        .filter(|name| !is_quoted_data(name))
        .flat_map(|name| complaints_about(name, &text_of(name)))
        .collect();
    hold("Words that don't belong here", &complaints);
}

#[test]
fn text_files_end_their_lines_alike() {
    let mut complaints = Vec::new();
    for name in tracked_files() {
        let ours = [".rs", ".py", ".md", ".toml", ".sh"].iter().any(|ending| name.ends_with(ending));
        if !ours || name.starts_with("fixtures/") {
            continue;
        }
        let text = text_of(&name);
        if text.contains('\r') {
            complaints.push(format!("{name}: carriage returns"));
        }
        if !text.is_empty() && !text.ends_with('\n') {
            complaints.push(format!("{name}: no newline at its end"));
        }
        for (index, line) in text.lines().enumerate().filter(|(_, line)| line.ends_with([' ', '\t'])) {
            complaints.push(format!("{name}:{}: blanks at the end of `{}`", index + 1, line.trim_end()));
        }
    }
    hold("Line endings", &complaints);
}

/// The targets of a page's links to files, as `](target)`, without their fragments.
fn links(text: &str) -> Vec<&str> {
    text.match_indices("](")
        .filter_map(|(at, _)| text[at + 2..].split_once(')').map(|(target, _)| target))
        .map(|target| target.split('#').next().unwrap_or_default())
        .filter(|target| !target.is_empty() && !target.contains("://") && !target.starts_with("mailto:"))
        .collect()
}

#[test]
fn links_lead_somewhere() {
    let mut complaints = Vec::new();
    for name in
        // A preface in the source is part of a page under docs/, where its links are held.
        tracked_files().into_iter().filter(|name| {
            name.ends_with(".md") && !name.starts_with("fixtures/") && !name.ends_with("/preface.md")
        })
    {
        let folder = top().join(&name).parent().expect("a file lies in a folder").to_path_buf();
        for target in links(&text_of(&name)) {
            if !folder.join(target).exists() {
                complaints.push(format!("{name}: the link to {target} leads nowhere"));
            }
        }
    }
    hold("Links", &complaints);
}

#[test]
fn every_page_of_the_manual_is_on_its_map() {
    let map = text_of("docs/README.md");
    let mapped = links(&map);
    let complaints: Vec<String> = tracked_files()
        .iter()
        .filter_map(|name| name.strip_prefix("docs/"))
        .filter(|page| page.ends_with(".md") && *page != "README.md" && !mapped.contains(page))
        .map(|page| format!("docs/{page}: docs/README.md doesn't lead to it"))
        .collect();
    hold("The map of the manual", &complaints);
}

#[test]
fn the_rules_find_what_they_are_for() {
    assert_eq!(links("[a](b.md#c), [d](https://e), [f](#g)"), ["b.md"]);
    let word = concat!("iss", "ue");
    assert!(names_an_issue(&format!("see {word} 7")) && names_an_issue(&format!("{word}s #12")));
    assert!(!names_an_issue(&format!("an {word} of size 7")));
    assert_eq!(complaints_about("a.rs", &format!("x\n{}rk/y", "/wo")).len(), 1);
    assert_eq!(complaints_about("a.rs", &format!("a {}per.", "Hel")).len(), 1);
    assert!(complaints_about("a.rs", "a whelper").is_empty());
}
