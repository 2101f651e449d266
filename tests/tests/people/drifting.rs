//! Stars that drift, since the polar axis is off by degrees: every one of them is found and centred.

/// A night with perfect gears whose polar axis stands `azimuth` degrees too far east.
fn night(care: &str, azimuth: f64, eyepiece: (u32, u32), seed: u64) -> String {
    let (focal_length, apparent) = eyepiece;
    format!(
        "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"4 h\"\nseed = {seed}\n\
         [site]\nlatitude = \"40.5 deg\"\nlongitude = \"-4.5 deg\"\nheight = \"440 m\"\n\
         [tube]\naperture = \"150 mm\"\nfocal_length = \"1500 mm\"\n\
         eyepieces = [{{ name = \"one\", focal_length = \"{focal_length} mm\", apparent_field = \"{apparent} deg\" }}]\n\
         [mount]\nkind = \"german-equatorial\"\ngrade = \"perfect\"\n\
         [setup]\ncare = \"{care}\"\npolar_azimuth_error = \"{azimuth} deg\"\n\
         [alignment]\nmethod = \"two-star\"\nstars = [\"Regulus\", \"Aldebaran\"]\n\
         [[observe]]\ntarget = \"Capella\"\n"
    )
}

#[test]
fn every_care_centres_stars_with_the_polar_axis_off_by_degrees() {
    // True fields of 37 and 105 arcminutes.
    let eyepieces = [(18, 52), (40, 70)];
    let azimuths = [-8.0, -6.0, -4.5, -4.0, -2.0, 2.0, 4.0, 5.0, 6.0, 8.0];
    for care in ["perfect", "careful", "usual", "hurried"] {
        for (index, azimuth) in azimuths.into_iter().enumerate() {
            for eyepiece in eyepieces {
                let plan = scenario::read(&night(care, azimuth, eyepiece, index as u64)).expect("no fault");
                let outcome = bench::prepare(&plan).expect("it can be played").measure();
                let words = format!("{care}, {azimuth} deg, eyepiece {eyepiece:?}");
                let stars: Vec<&str> = outcome.sightings.iter().map(|row| row.star.as_str()).collect();
                assert_eq!(stars, ["Regulus", "Aldebaran"], "{words}");
                // Four searches' worth would be two hundred; a hand that never comes to an end presses hundreds of times.
                let presses = outcome.evening.alignment_presses;
                assert!(presses < 130, "{words}: {presses} presses");
                if care == "perfect" {
                    // Half an arcsecond along each axis.
                    let worst =
                        outcome.sightings.iter().map(|row| row.centring_miss.arcsec()).fold(0.0, f64::max);
                    assert!(worst <= 0.5 * 2.0_f64.sqrt() + 0.01, "{words}: {worst} arcsec");
                }
            }
        }
    }
}
