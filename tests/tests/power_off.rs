//! What a mount keeps over a loss of power, and what it doesn't: the list of the manual, line by line.

use tests::mount::Mount;

/// What is said before, the question, its field, and whether the answer is the same after the power was gone.
const LIST: &[(&[&str], &str, &str, bool)] = &[
    (&["site latitude=41deg height=500m pressure=900hPa"], "site", "latitude", true),
    (&["site latitude=41deg height=500m pressure=900hPa"], "site", "pressure", true),
    (&["guide-rate rate=5arcsec/s"], "guide-rate", "rate", true),
    (&["approach final=east-north overshoot=30arcmin"], "approach", "final", true),
    (&["take-up hour_axis=90arcsec"], "take-up", "hour_axis", true),
    (&["solution choice=direct"], "solution", "choice", true),
    (&["meridian policy=flip over_run=5deg"], "meridian", "policy", true),
    (&["limits lowest=5deg"], "limits", "lowest", true),
    (&["horizon level=15deg"], "horizon", "lowest", true),
    (&["sun radius=30deg"], "sun", "radius", true),
    (&["park", "(100 s)"], "status", "state", true),
    // A connection's own choices are the connection's.
    (&["events kind=arrived show=off"], "events", "silent", true),
    (&["controls action=take"], "controls", "holder", true),
    (&["track rate=sidereal"], "track", "rate", false),
    (&["track axes=both"], "track", "axes", false),
    (&["goto hour_axis=-80deg declination_axis=60deg", "(60 s)"], "axes", "hour_dial", false),
    (&["goto hour_axis=-80deg declination_axis=60deg", "(60 s)"], "jobs", "jobs", false),
    (&["nudge direction=north rate=2x", "(5 s)"], "errors", "count", false),
    (
        &["align method=one-star", "goto name=Regulus", "(60 s)", "sight name=Regulus"],
        "sightings",
        "count",
        false,
    ),
    (&["goto name=Regulus", "(60 s)", "sync name=Regulus"], "model", "method", false),
];

#[test]
fn the_list_is_true() {
    let mut complaints = Vec::new();
    for (before, question, field, kept) in LIST {
        let mut mount = Mount::of_the_shared_night();
        let usual = mount.field(question, field);
        mount.play(before);
        let told = mount.field(question, field);
        assert_ne!(told, usual, "{before:?} made no difference to {question} {field}");
        mount.play(&["fault kind=brown-out for=2s", "clock by=10s"]);
        let after = mount.field(question, field);
        let expected = if *kept { &told } else { &usual };
        // The log begins anew, with the loss itself.
        let expected = if *field == "count" && *question == "errors" { "1" } else { expected };
        if after != *expected {
            complaints.push(format!("{before:?}: {question} {field} is {after}, not {expected}"));
        }
    }
    tests::hold("what is kept over a loss of power", &complaints);
}

/// The clock has a battery: it runs on.
#[test]
fn the_clock_runs_on() {
    let mut mount = Mount::of_the_shared_night();
    mount.play(&["time utc=2027-03-06T20:00:00Z", "fault kind=brown-out for=2s", "clock by=10s"]);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T20:00:10.000Z");
}
