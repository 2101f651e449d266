//! An invented outcome with something in every part, and the comparison with a golden file.
#![allow(dead_code)] // each test file uses its own part

use bench::{
    BudgetRow, CorrectionRow, DoubtRow, DwellRow, EveningAccount, FaultRow, GotoOutcome, GotoRow, Left, Look,
    ModelBelief, MountKind, OpenTerm, Outcome, PeriodicRow, PlayRow, PolarRow, Predicted, Sample, SetupRow,
    SightingRow, Summary, TermBelief, Verdict,
};
use std::path::Path;
use units::{Angle, AngularRate, Instant, Span};

/// Seconds of TAI from J2000.0 to 2027-03-06T19:30:00 UTC: 9926 days and 7.5 h, and 37 s of leap seconds.
const BEGIN: i64 = 9_926 * 86_400 + 7 * 3_600 + 1_800 + 37;

pub fn at(seconds: f64) -> Instant {
    Instant::J2000_TAI + Span::from_whole_seconds(BEGIN) + Span::from_seconds(seconds)
}

fn degrees(first: f64, second: f64) -> (Angle, Angle) {
    (Angle::from_degrees(first), Angle::from_degrees(second))
}

fn look(seconds: f64, miss: f64, in_field: bool) -> Look {
    Look {
        at: at(seconds),
        target: degrees(195.25, 42.125),
        boresight: degrees(195.5, 42.25),
        dials: degrees(-350.062_5, 95.390_625),
        axes: degrees(-350.0, 95.5),
        solution: "through-pole",
        tube_side: "east",
        miss: Angle::from_arcsec(miss),
        miss_east: Angle::from_arcsec(miss * 0.6),
        miss_north: Angle::from_arcsec(miss * -0.8),
        in_field,
        slew: Span::from_seconds(41.25),
        predicted: Some(Predicted {
            rms: Angle::from_arcmin(8.0),
            p68: Angle::from_arcmin(8.5),
            p95: Angle::from_arcmin(14.0),
        }),
    }
}

fn target(name: &str, outcome: GotoOutcome, look: Option<Look>) -> GotoRow {
    GotoRow {
        target: name.to_owned(),
        outcome,
        refusal: None,
        icrs: degrees(83.822_083_33, -5.391_111_11),
        true_field: Angle::from_arcmin(37.44),
        look,
    }
}

fn targets() -> Vec<GotoRow> {
    let mut refused = target("Canopus", GotoOutcome::Refused, None);
    refused.refusal = Some("31 below-horizon \"the target is 3.2 deg below the horizon\"".to_owned());
    vec![
        target("M 42", GotoOutcome::Arrived, Some(look(70.5, 503.2, true))),
        target(
            "the great spiral in Andromeda and its companions",
            GotoOutcome::Arrived,
            Some(look(1_200.0, 1_790.4, false)),
        ),
        target("星団 by the gate", GotoOutcome::Arrived, Some(look(1_300.000_000_5, 0.021_3, true))),
        refused,
        target("\u{1b}[31mPolaris\u{202e}", GotoOutcome::Unreachable, None),
        target("Vega", GotoOutcome::NightOver, None),
    ]
}

fn dwells() -> Vec<DwellRow> {
    vec![DwellRow {
        target: "M 42, \"the sword\"".to_owned(),
        begin: at(80.0),
        length: Span::from_whole_seconds(1_080),
        drift: AngularRate::from_arcsec(1.25 / 60.0),
        rms: Angle::from_arcsec(4.2),
        peak_to_peak: Angle::from_arcsec(13.0),
        in_field: Span::from_whole_seconds(900),
        field_rotation: Angle::from_degrees(-0.14),
    }]
}

fn samples() -> Vec<Sample> {
    let sample = |step: f64| Sample {
        dwell: 0,
        at: at(80.0 + step),
        target: degrees(195.25 + step * 0.004, 42.125),
        boresight: degrees(195.5 + step * 0.004, 42.25),
        error_east: Angle::from_arcsec(step * 0.02),
        error_north: Angle::from_arcsec(-step * 0.01),
        dials: degrees(-350.062_5 + step * 0.004, 95.390_625),
        axes: degrees(-350.0 + step * 0.004, 95.5),
    };
    (0..40).map(|second| sample(f64::from(second))).collect()
}

/// A night in which everything happened.
pub fn eventful() -> Outcome {
    Outcome {
        title: "First open evening on the school field, with a title that is longer than a line".to_owned(),
        seed: 7,
        scenario_digest: "0123456789abcdef".repeat(4),
        maths_fingerprint: "5d376717".to_owned(),
        kind: MountKind::GermanEquatorial,
        equipment: vec![("tube.aperture".to_owned(), "150 mm".to_owned())],
        setup: vec![
            SetupRow {
                name: "polar axis, altitude".to_owned(),
                set: Angle::from_arcmin(15.0),
                total: Angle::from_arcmin(33.0),
            },
            SetupRow {
                name: "cone error".to_owned(),
                set: Angle::from_arcmin(5.0),
                total: Angle::from_arcmin(5.0),
            },
        ],
        summary: Summary {
            targets: 6,
            in_field: Some(2.0 / 6.0),
            visitors_served: 12,
            miss_median: Some(Angle::from_arcsec(503.2)),
            miss_p68: Some(Angle::from_arcsec(966.6)),
            miss_p95: Some(Angle::from_arcsec(1_661.68)),
            miss_rms: Some(Angle::from_arcsec(1_073.8)),
            tracking_rms: Some(Angle::from_arcsec(4.2)),
            tracking_peak_to_peak: Some(Angle::from_arcsec(13.0)),
            drift_median: Some(AngularRate::from_arcsec(1.25 / 60.0)),
            alignment: Span::from_seconds(252.5),
        },
        sightings: vec![
            sighting("Capella", 10.0, Some(Angle::from_arcsec(11.5))),
            sighting("Regulus", 40.0, None),
        ],
        model: Some(model()),
        polar: vec![polar()],
        correction: Some(correction()),
        plays: vec![play("hour", false), play("declination", true)],
        gotos: targets(),
        dwells: dwells(),
        samples: samples(),
        faults: vec![FaultRow {
            at: at(4_500.0),
            kind: "knock".to_owned(),
            detail: "the hour axis turned by 3.0′".to_owned(),
        }],
        verdicts: vec![
            verdict("in_field", ">= 90 %", "33 %", false),
            verdict("tracking_rms", "<= 20 arcsec", "4.2 arcsec", true),
        ],
        cautions: vec![
            "Never look at or near the Sun through an instrument without a proper filter over its front; cover the \
             finder by day."
                .to_owned(),
        ],
        budget: vec![
            BudgetRow {
                cause: "polar axis, azimuth".to_owned(),
                in_field_without: Some(5.0 / 6.0),
                miss_median_without: Some(Angle::from_arcsec(301.0)),
                in_field_alone: Some(3.0 / 6.0),
                miss_median_alone: Some(Angle::from_arcsec(288.5)),
            },
            BudgetRow { cause: "level".to_owned(), ..BudgetRow::default() },
        ],
        evening: EveningAccount { doubts: doubts(), ..EveningAccount::default() },
        scene: Default::default(),
        advice: [
            "The polar axis's azimuth cost you most: without it 5 of 6 targets would have been in the field instead \
             of 2."
                .to_owned(),
            "Levelling better would have changed nothing.".to_owned(),
        ],
    }
}

fn doubts() -> Vec<DoubtRow> {
    let row = |seconds, asked: &str, answer, right| DoubtRow {
        at: at(seconds),
        asked: asked.to_owned(),
        answer,
        right,
    };
    vec![
        row(
            400.0,
            "Alnilam stands 81.4 arcmin from where the model expects it",
            "took the star that the mount named",
            Some(true),
        ),
        row(
            900.0,
            "do two stars stand beside their places together?",
            "held two stars against the mount: nothing has moved",
            None,
        ),
    ]
}

fn sighting(star: &str, seconds: f64, residual: Option<Angle>) -> SightingRow {
    SightingRow {
        star: star.to_owned(),
        at: at(seconds),
        first_miss: Angle::from_arcmin(48.0),
        centring_miss: Angle::from_arcsec(75.0),
        residual: residual.map(|length| Left {
            length,
            east: length * 0.6,
            north: length * -0.8,
            weight: 1.0,
        }),
    }
}

fn periodic(rms: f64, peak_to_peak: f64) -> PeriodicRow {
    PeriodicRow { rms: Angle::from_arcsec(rms), peak_to_peak: Angle::from_arcsec(peak_to_peak) }
}

fn correction() -> CorrectionRow {
    CorrectionRow {
        star: Some("Regulus".to_owned()),
        begin: Some(at(600.0)),
        end: Some(at(2_753.0)),
        turns: 4,
        result: "kept".to_owned(),
        refusal: None,
        corrections: 187,
        amplitude: Angle::from_arcsec(14.625),
        index_mark: false,
        played: true,
        kept_at_end: false,
        plays_at_end: false,
        uncorrected: periodic(10.875, 31.25),
        before: Some(periodic(10.875, 31.25)),
        left: Some(periodic(3.5, 11.5)),
        left_at_end: periodic(10.875, 31.25),
    }
}

fn play(axis: &'static str, held_by_load: bool) -> PlayRow {
    let measured = if held_by_load { 1.5 } else { 181.375 };
    PlayRow {
        axis,
        star: Some("Procyon".to_owned()),
        rounds: 3,
        measured: Some(Angle::from_arcsec(measured)),
        scatter: Some(Angle::from_arcsec(2.75)),
        take_up: Some(Angle::from_arcsec(measured)),
        refusal: None,
        gap: Some(Angle::from_arcsec(150.5)),
        held_by_load,
        gap_least: Angle::from_arcsec(112.5),
        gap_greatest: Angle::from_arcsec(187.5),
    }
}

fn polar() -> PolarRow {
    PolarRow {
        star: "Procyon".to_owned(),
        at: at(900.0),
        before: (Angle::from_arcmin(25.0), Angle::from_arcmin(-40.0)),
        believed: Some((Angle::from_arcmin(24.0), Angle::from_arcmin(-42.5))),
        after: (Angle::from_arcmin(-1.5), Angle::from_arcmin(2.25)),
        turns: (0.5, 0.75),
    }
}

fn model() -> ModelBelief {
    ModelBelief {
        terms: vec![TermBelief {
            name: "hour home mark".to_owned(),
            value: Angle::from_arcmin(-18.0),
            sigma: Some(Angle::from_arcmin(1.5)),
            truth: Angle::from_arcmin(-17.0),
        }],
        not_determined: vec![OpenTerm {
            belief: TermBelief {
                name: "cone error".to_owned(),
                value: Angle::ZERO,
                sigma: Some(Angle::from_arcmin(10.0)),
                truth: Angle::from_arcmin(4.0),
            },
            reason: "two stars give a rotation and one number more; sight a third star".to_owned(),
            deciding: Some(("Capella".to_owned(), Angle::from_arcmin(3.0))),
        }],
        sightings_used: 2,
        residual_rms: Angle::from_arcsec(11.5),
    }
}

fn verdict(key: &str, expected: &str, found: &str, held: bool) -> Verdict {
    Verdict { key: key.to_owned(), expected: expected.to_owned(), found: found.to_owned(), held }
}

/// A night in which nothing was to be seen, with a mount on a level base.
pub fn empty() -> Outcome {
    Outcome {
        title: String::new(),
        seed: 0,
        scenario_digest: "0".repeat(64),
        maths_fingerprint: "5d376717".to_owned(),
        kind: MountKind::AltAzimuth,
        equipment: Vec::new(),
        setup: Vec::new(),
        summary: Summary::default(),
        sightings: Vec::new(),
        model: None,
        polar: Vec::new(),
        correction: None,
        plays: Vec::new(),
        gotos: Vec::new(),
        dwells: Vec::new(),
        samples: Vec::new(),
        faults: Vec::new(),
        verdicts: Vec::new(),
        cautions: Vec::new(),
        budget: Vec::new(),
        evening: Default::default(),
        scene: Default::default(),
        advice: [String::new(), String::new()],
    }
}

/// Holds a text against `tests/golden/NAME`; a text that differs is left in the target folder, to be looked at and
/// copied if it is right.
pub fn holds_golden(name: &str, text: &str) {
    let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    let expected = std::fs::read_to_string(&golden).unwrap_or_default();
    if text != expected {
        let left = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        std::fs::write(&left, text).unwrap();
        let line = text.lines().zip(expected.lines()).position(|(a, b)| a != b).map(|at| at + 1);
        panic!("{name} differs from line {line:?}; what came out is in {}", left.display());
    }
}
