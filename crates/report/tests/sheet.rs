//! `report.html`: well-formed, complete in itself, every drawing named and described.

mod common;

use bench::{ExpectedMiss, GearPeriod, Outcome, PlayLoop, Zone};
use common::{at, empty, eventful};
use report::night_html;
use units::{Angle, Span};

/// Elements that have no end tag (HTML Living Standard, 13.1.2).
const VOID: [&str; 4] = ["meta", "input", "br", "!doctype"];

/// The eventful night with a scene, so that every drawing is there.
fn drawn() -> Outcome {
    let mut outcome = eventful();
    let scene = &mut outcome.scene;
    (scene.begin, scene.end, scene.latitude) = (at(0.0), at(18_000.0), Angle::from_degrees(40.5));
    scene.skyline =
        (0..=180).map(|step| (bench::SKYLINE_STEP * f64::from(step), Angle::from_degrees(12.0))).collect();
    let ring =
        [0.0, 120.0, 240.0, 0.0].map(|azimuth| (Angle::from_degrees(azimuth), Angle::from_degrees(88.0)));
    scene.zones = vec![Zone { name: "the zenith", inside: true, ring: ring.to_vec() }];
    scene.expected = [(10.0, 30.0, 4.0), (200.0, 60.0, 9.0)]
        .map(|(azimuth, altitude, miss)| ExpectedMiss {
            place: (Angle::from_degrees(azimuth), Angle::from_degrees(altitude)),
            p68: Angle::from_arcmin(miss),
        })
        .to_vec();
    scene.sighted = vec![("Capella".to_owned(), (Angle::from_degrees(299.0), Angle::from_degrees(76.0)))];
    scene.periods = vec![GearPeriod { gear: "worm".to_owned(), lasts: Span::from_whole_seconds(10) }];
    scene.loops = vec![PlayLoop {
        axis: "hour",
        play: Angle::from_arcsec(100.0),
        points: vec![(Angle::ZERO, Angle::ZERO), (Angle::from_arcsec(250.0), Angle::from_arcsec(150.0))],
    }];
    outcome
}

/// Every element is closed in its order; gives the names of all.
fn elements(page: &str) -> Vec<String> {
    let (mut open, mut all) = (Vec::new(), Vec::new());
    let mut rest = page;
    while let Some(begin) = rest.find('<') {
        let end = begin + rest[begin..].find('>').expect("a tag ends");
        let tag = &rest[begin + 1..end];
        rest = &rest[end + 1..];
        let name: String =
            tag.trim_start_matches('/').chars().take_while(|c| !c.is_whitespace() && *c != '/').collect();
        let name = name.to_ascii_lowercase();
        if tag.starts_with('/') {
            assert_eq!(open.pop().as_ref(), Some(&name), "</{name}> closes what was opened last");
        } else {
            all.push(name.clone());
            if !tag.ends_with('/') && !VOID.contains(&name.as_str()) {
                open.push(name);
            }
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    all
}

/// The values of an attribute, wherever it stands.
fn values<'a>(page: &'a str, attribute: &str) -> Vec<&'a str> {
    let start = format!(" {attribute}=\"");
    page.split(start.as_str()).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn a_full_and_an_empty_night_are_well_formed() {
    for outcome in [drawn(), empty()] {
        let page = night_html(&outcome);
        let names = elements(&page);
        assert_eq!(names[0], "!doctype");
        assert!(!names.iter().any(|name| {
            ["script", "link", "img", "iframe", "object", "image", "use"].contains(&name.as_str())
        }));
        let ids = values(&page, "id");
        let mut once = ids.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(ids.len(), once.len(), "an id names one thing");
    }
}

#[test]
fn nothing_is_fetched() {
    let page = night_html(&drawn());
    for outside in ["http:", "https:", "//", "url(", "@import", "src="] {
        assert!(!page.contains(outside), "`{outside}` is in the page");
    }
    // The numbers of the figures are in the page itself; those of the dwell are in the files.
    let links = values(&page, "href");
    assert_eq!(links.len(), 7);
    assert!(links.iter().all(|link| link.starts_with("data:text/csv;charset=utf-8,")), "{links:?}");
    assert!(page.contains("Numbers: samples.csv and samples.parquet, dwell 0."));
}

#[test]
fn every_drawing_has_a_title_a_description_and_a_caption() {
    let page = night_html(&drawn());
    let names = elements(&page);
    let count = |name: &str| names.iter().filter(|found| *found == name).count();
    // Sky, expected misses, three eyepieces, misses, budget, dwell, its spectrum, play.
    assert_eq!(count("svg"), 10);
    assert_eq!(count("desc"), count("svg"));
    // One more title: the page's own.
    assert_eq!(count("title"), count("svg") + 1);
    assert_eq!(count("figure"), 8);
    assert!(
        page.contains(
            "within 4.0′ where it is best (in the north, 30° up) and within 9.0′ where it is worst"
        )
    );
    assert!(page.contains("Dotted rings bound where the mount doesn't go: the zenith."));
    assert_eq!(count("figcaption"), count("figure"));
    let ids = values(&page, "id");
    for named in values(&page, "aria-labelledby").iter().flat_map(|both| both.split(' ')) {
        assert!(ids.contains(&named), "{named}");
    }
    for caption in page.split("<figcaption>").skip(1) {
        let caption = caption.split("</figcaption>").next().unwrap();
        let caption = caption.split(" <").next().unwrap();
        assert!(caption.len() > 20 && caption.ends_with('.'), "{caption}");
        assert!(!caption.contains("NaN") && !caption.contains("inf"), "{caption}");
    }
}

#[test]
fn hostile_names_stay_text() {
    let mut outcome = drawn();
    let name = "<script>alert(1)</script>\"'&\u{1b}[2J\u{202e}";
    outcome.title = name.to_owned();
    outcome.gotos[0].target = name.to_owned();
    outcome.dwells[0].target = name.to_owned();
    outcome.faults[0].detail = name.to_owned();
    let page = night_html(&outcome);
    elements(&page);
    assert!(!page.contains("<script"));
    assert!(!page.contains('\u{1b}') && !page.contains('\u{202e}'));
}

#[test]
fn every_ink_has_its_colour_in_every_theme() {
    let page = night_html(&drawn());
    let style = page.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    for ink in ["paper", "line", "soft", "faint", "shade", "first", "second", "good", "bad"] {
        // The screen's light and dark, the three that the reader can pick, and paper.
        assert_eq!(style.matches(&format!("--{ink}: ")).count(), 6, "{ink}");
    }
}
