//! `night.json`: what a night came to, for programs.

mod writer;

use bench::{
    CorrectionRow, DwellRow, GotoRow, Look, ModelBelief, MountKind, Outcome, PeriodicRow, PlayRow, PolarRow,
    SightingRow, Summary, TermBelief,
};
use units::{Angle, Instant};
use writer::Writer;

/// The number of the file's format; it grows when a field changes its meaning or goes.
const FORMAT: u64 = 1;
/// Degrees are printed to 1e-8, which is 0.04 thousandths of an arcsecond.
pub(crate) const DEGREE_DECIMALS: u8 = 8;
/// Arcseconds are printed to 1e-4.
pub(crate) const ARCSEC_DECIMALS: u8 = 4;
/// The weight of a sighting, from 0 to 1.
const WEIGHT_DECIMALS: u8 = 4;
/// Turns of a bolt.
const TURN_DECIMALS: u8 = 4;
/// Seconds, and those of an instant, are printed to the microsecond.
pub(crate) const SECOND_DECIMALS: u8 = 6;

/// The bytes of `night.json`: the same for the same outcome, always.
///
/// Its fields are described by [`crate::night_schema`].
pub fn night_json(outcome: &Outcome) -> String {
    let mut json = Writer::new();
    json.object(|json| {
        json.key("format").count(FORMAT);
        json.key("title").string(&outcome.title);
        json.key("seed").count(outcome.seed);
        json.key("scenario_digest").string(&outcome.scenario_digest);
        json.key("version").string(env!("CARGO_PKG_VERSION"));
        json.key("maths_fingerprint").string(&outcome.maths_fingerprint);
        json.key("equipment").object(|json| {
            for (key, text) in &outcome.equipment {
                json.key(key).string(text);
            }
        });
        summary(json.key("summary"), &outcome.summary);
        json.key("sightings").list(&outcome.sightings, sighting);
        model(json.key("model"), outcome.model.as_ref());
        json.key("gotos").list(&outcome.gotos, |json, row| goto_row(json, row, outcome.kind));
        json.key("dwells").list(&outcome.dwells, dwell);
        events(json, outcome);
        // Fields beyond the first contract stand last, so that it stays a prefix of the file.
        json.key("setup").list(&outcome.setup, |json, row| {
            json.object(|json| {
                json.key("name").string(&row.name);
                degrees(json, "set_deg", Some(row.set));
                degrees(json, "total_deg", Some(row.total));
            });
        });
        json.key("advice").list(&outcome.advice, |json, line| json.string(line));
        json.key("polar").list(&outcome.polar, polar);
        correction(json.key("periodic_error_correction"), outcome.correction.as_ref());
        json.key("play_measured").list(&outcome.plays, play);
        json.key("doubts").list(&outcome.evening.doubts, |json, row| {
            json.object(|json| {
                instant(json, "utc", Some(row.at));
                json.key("asked").string(&row.asked);
                json.key("answer").string(row.answer);
                let right = row.right.map(|right| if right { "yes" } else { "no" });
                json.key("right").optional_string(right);
            });
        });
    });
    json.finish()
}

/// What struck, what was expected, what is to be told, and what each cause cost.
fn events(json: &mut Writer, outcome: &Outcome) {
    json.key("faults").list(&outcome.faults, |json, row| {
        json.object(|json| {
            instant(json, "utc", Some(row.at));
            json.key("kind").string(&row.kind);
            json.key("detail").string(&row.detail);
        });
    });
    json.key("verdicts").list(&outcome.verdicts, |json, verdict| {
        json.object(|json| {
            json.key("key").string(&verdict.key);
            json.key("expected").string(&verdict.expected);
            json.key("found").string(&verdict.found);
            json.key("held").boolean(verdict.held);
        });
    });
    json.key("cautions").list(&outcome.cautions, |json, line| json.string(line));
    json.key("budget").list(&outcome.budget, |json, row| {
        json.object(|json| {
            json.key("cause").string(&row.cause);
            json.key("in_field_without").optional_share(row.in_field_without);
            arcsec(json, "miss_median_without_arcsec", row.miss_median_without);
            json.key("in_field_alone").optional_share(row.in_field_alone);
            arcsec(json, "miss_median_alone_arcsec", row.miss_median_alone);
        });
    });
}

fn summary(json: &mut Writer, summary: &Summary) {
    json.object(|json| {
        json.key("targets").count(summary.targets as u64);
        json.key("in_field").optional_share(summary.in_field);
        json.key("visitors_served").count(summary.visitors_served);
        arcsec(json, "miss_median_arcsec", summary.miss_median);
        arcsec(json, "miss_p68_arcsec", summary.miss_p68);
        arcsec(json, "miss_p95_arcsec", summary.miss_p95);
        arcsec(json, "miss_rms_arcsec", summary.miss_rms);
        arcsec(json, "tracking_rms_arcsec", summary.tracking_rms);
        arcsec(json, "tracking_peak_to_peak_arcsec", summary.tracking_peak_to_peak);
        let drift = summary.drift_median.map(|rate| rate.arcsec() * 60.0);
        json.key("drift_median_arcsec_per_min").optional_number(drift, ARCSEC_DECIMALS);
        seconds(json, "alignment_seconds", Some(summary.alignment.seconds()));
    });
}

fn sighting(json: &mut Writer, row: &SightingRow) {
    json.object(|json| {
        json.key("star").string(&row.star);
        instant(json, "utc", Some(row.at));
        arcsec(json, "first_miss_arcsec", Some(row.first_miss));
        arcsec(json, "centring_miss_arcsec", Some(row.centring_miss));
        let left = row.residual;
        arcsec(json, "residual_arcsec", left.map(|left| left.length));
        arcsec(json, "residual_east_arcsec", left.map(|left| left.east));
        arcsec(json, "residual_north_arcsec", left.map(|left| left.north));
        json.key("weight").optional_number(left.map(|left| left.weight), WEIGHT_DECIMALS);
    });
}

fn model(json: &mut Writer, model: Option<&ModelBelief>) {
    let Some(model) = model else {
        json.null();
        return;
    };
    json.object(|json| {
        json.key("terms").list(&model.terms, |json, term| json.object(|json| believed(json, term)));
        json.key("sightings_used").count(model.sightings_used as u64);
        arcsec(json, "residual_rms_arcsec", Some(model.residual_rms));
        json.key("not_determined").list(&model.not_determined, |json, open| {
            json.object(|json| {
                believed(json, &open.belief);
                json.key("reason").string(&open.reason);
                let deciding = open.deciding.as_ref();
                json.key("deciding_star").optional_string(deciding.map(|(star, _)| star.as_str()));
                arcsec(json, "sigma_then_arcsec", deciding.map(|(_, sigma)| *sigma));
            });
        });
    });
}

fn polar(json: &mut Writer, row: &PolarRow) {
    json.object(|json| {
        json.key("star").string(&row.star);
        instant(json, "utc", Some(row.at));
        arcsec(json, "altitude_before_arcsec", Some(row.before.0));
        arcsec(json, "azimuth_before_arcsec", Some(row.before.1));
        arcsec(json, "altitude_believed_arcsec", row.believed.map(|axis| axis.0));
        arcsec(json, "azimuth_believed_arcsec", row.believed.map(|axis| axis.1));
        arcsec(json, "altitude_after_arcsec", Some(row.after.0));
        arcsec(json, "azimuth_after_arcsec", Some(row.after.1));
        json.key("altitude_turns").number(row.turns.0, TURN_DECIMALS);
        json.key("azimuth_turns").number(row.turns.1, TURN_DECIMALS);
    });
}

fn correction(json: &mut Writer, row: Option<&CorrectionRow>) {
    let Some(row) = row else {
        json.null();
        return;
    };
    json.object(|json| {
        json.key("star").optional_string(row.star.as_deref());
        instant(json, "begin_utc", row.begin);
        instant(json, "end_utc", row.end);
        json.key("turns").count(row.turns);
        json.key("result").string(&row.result);
        json.key("refusal").optional_string(row.refusal.as_deref());
        json.key("corrections").count(row.corrections);
        arcsec(json, "amplitude_arcsec", Some(row.amplitude));
        json.key("index_mark").boolean(row.index_mark);
        json.key("played").boolean(row.played);
        json.key("kept_at_end").boolean(row.kept_at_end);
        json.key("plays_at_end").boolean(row.plays_at_end);
        periodic(json, "uncorrected", Some(row.uncorrected));
        periodic(json, "before", row.before);
        periodic(json, "left", row.left);
        periodic(json, "left_at_end", Some(row.left_at_end));
    });
}

fn periodic(json: &mut Writer, when: &str, error: Option<PeriodicRow>) {
    arcsec(json, &format!("{when}_rms_arcsec"), error.map(|error| error.rms));
    arcsec(json, &format!("{when}_peak_to_peak_arcsec"), error.map(|error| error.peak_to_peak));
}

fn play(json: &mut Writer, row: &PlayRow) {
    json.object(|json| {
        json.key("axis").string(row.axis);
        json.key("star").optional_string(row.star.as_deref());
        json.key("rounds").count(row.rounds as u64);
        arcsec(json, "measured_arcsec", row.measured);
        arcsec(json, "scatter_arcsec", row.scatter);
        arcsec(json, "take_up_arcsec", row.take_up);
        json.key("refusal").optional_string(row.refusal.as_deref());
        arcsec(json, "true_play_arcsec", row.gap);
        json.key("held_by_load").boolean(row.held_by_load);
        arcsec(json, "true_play_least_arcsec", Some(row.gap_least));
        arcsec(json, "true_play_greatest_arcsec", Some(row.gap_greatest));
        arcsec(json, "too_long_arcsec", row.too_long());
        arcsec(json, "too_long_at_most_arcsec", row.too_long_at_most());
        arcsec(json, "too_short_at_most_arcsec", row.too_short_at_most());
    });
}

fn believed(json: &mut Writer, term: &TermBelief) {
    json.key("name").string(&term.name);
    arcsec(json, "value_arcsec", Some(term.value));
    arcsec(json, "sigma_arcsec", term.sigma);
    arcsec(json, "truth_arcsec", Some(term.truth));
}

fn goto_row(json: &mut Writer, row: &GotoRow, kind: MountKind) {
    let look = row.look.as_ref();
    json.object(|json| {
        json.key("target").string(&row.target);
        json.key("outcome").string(row.outcome.word());
        instant(json, "utc", look.map(|look| look.at));
        degrees(json, "icrs_ra_deg", Some(row.icrs.0));
        degrees(json, "icrs_dec_deg", Some(row.icrs.1));
        directions(json, look, kind);
        json.key("solution").optional_string(look.map(|look| look.solution));
        json.key("tube_side").optional_string(look.map(|look| look.tube_side));
        arcsec(json, "miss_arcsec", look.map(|look| look.miss));
        arcsec(json, "miss_east_arcsec", look.map(|look| look.miss_east));
        arcsec(json, "miss_north_arcsec", look.map(|look| look.miss_north));
        arcsec(json, "true_field_arcsec", Some(row.true_field));
        json.key("in_field").boolean(row.in_field());
        seconds(json, "slew_seconds", look.map(|look| look.slew.seconds()));
        json.key("refusal").optional_string(row.refusal.as_deref());
        let predicted = look.and_then(|look| look.predicted);
        arcsec(json, "predicted_rms_arcsec", predicted.map(|circle| circle.rms));
        arcsec(json, "predicted_p68_arcsec", predicted.map(|circle| circle.p68));
        arcsec(json, "predicted_p95_arcsec", predicted.map(|circle| circle.p95));
    });
}

/// Where the target stood, where the tube pointed, and both axes by dial and in truth.
fn directions(json: &mut Writer, look: Option<&Look>, kind: MountKind) {
    let (first, second) = kind.axis_words();
    degrees(json, "target_azimuth_deg", look.map(|look| look.target.0));
    degrees(json, "target_altitude_deg", look.map(|look| look.target.1));
    degrees(json, "boresight_azimuth_deg", look.map(|look| look.boresight.0));
    degrees(json, "boresight_altitude_deg", look.map(|look| look.boresight.1));
    degrees(json, &format!("{first}_dial_deg"), look.map(|look| look.dials.0));
    degrees(json, &format!("{second}_dial_deg"), look.map(|look| look.dials.1));
    degrees(json, &format!("{first}_axis_deg"), look.map(|look| look.axes.0));
    degrees(json, &format!("{second}_axis_deg"), look.map(|look| look.axes.1));
}

fn dwell(json: &mut Writer, row: &DwellRow) {
    json.object(|json| {
        json.key("target").string(&row.target);
        instant(json, "begin_utc", Some(row.begin));
        seconds(json, "seconds", Some(row.length.seconds()));
        json.key("drift_arcsec_per_min").number(row.drift.arcsec() * 60.0, ARCSEC_DECIMALS);
        arcsec(json, "rms_arcsec", Some(row.rms));
        arcsec(json, "peak_to_peak_arcsec", Some(row.peak_to_peak));
        seconds(json, "seconds_in_field", Some(row.in_field.seconds()));
        degrees(json, "field_rotation_deg", Some(row.field_rotation));
    });
}

fn degrees(json: &mut Writer, key: &str, value: Option<Angle>) {
    json.key(key).optional_number(value.map(Angle::degrees), DEGREE_DECIMALS);
}

fn arcsec(json: &mut Writer, key: &str, value: Option<Angle>) {
    json.key(key).optional_number(value.map(Angle::arcsec), ARCSEC_DECIMALS);
}

fn seconds(json: &mut Writer, key: &str, value: Option<f64>) {
    json.key(key).optional_number(value, SECOND_DECIMALS);
}

fn instant(json: &mut Writer, key: &str, at: Option<Instant>) {
    json.key(key).optional_string(at.map(|at| utc(at, SECOND_DECIMALS)).as_deref());
}

/// An instant of a night as civil time.
///
/// # Panics
/// Outside 1972 to 2100, where no night can be.
pub(crate) fn utc(at: Instant, decimals: u8) -> String {
    bench::utc_text(at, usize::from(decimals)).expect("a night lies within the years that have civil time")
}
