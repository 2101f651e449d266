use super::*;

/// The canonical name of what a text finds.
fn found(text: &str) -> String {
    match Catalogue::embedded().find(text) {
        Ok(entry) => entry.name,
        Err(miss) => format!("{miss}"),
    }
}

#[test]
fn a_star_goes_by_many_names() {
    for text in [
        "Betelgeuse",
        "  betel GEUSE ",
        "alpha Ori",
        "alp Ori",
        "Alpha Orionis",
        "α Ori",
        "αOrionis",
        "α-orion",
        "58 Ori",
        "58 Orionis",
        "HR 2061",
        "hr2061",
        "HIP 27989",
    ] {
        assert_eq!(found(text), "Betelgeuse", "{text}");
    }
    for text in ["α¹ Cen", "alpha1 Cen", "alpha Centauri", "Rigil Kentaurus", "alp 1 Centauri"] {
        assert_eq!(found(text), "Rigil Kentaurus", "{text}");
    }
    assert_eq!(found("α² Centauri"), "Toliman");
    assert_eq!(found("μ Cephei"), "mu Cephei");
    // The sign for a millionth, which keyboards have, stands for the letter.
    assert_eq!(found("µ Cep"), "mu Cephei");
    assert_eq!(found("theta Ori"), found("θ¹ Ori"));
    assert_eq!(found("omicron Ceti"), "Mira");
    assert_eq!(found("sigma Octantis"), "sigma Octantis");
    assert_eq!(found("61 Cyg"), "61 Cygni");
    assert_eq!(found("delta Boötis"), found("del Boo"));
    assert_eq!(found("pole star"), "Polaris");
}

#[test]
fn deep_sky_objects_go_by_number_and_by_name() {
    for text in
        ["M 42", "m42", "Messier 42", "M042", "NGC 1976", "ngc1976", "Orion Nebula", "great orion nebula"]
    {
        assert_eq!(found(text), "M 42", "{text}");
    }
    for (text, name) in [
        ("pleiades", "M 45"),
        ("seven sisters", "M 45"),
        ("Andromeda Galaxy", "M 31"),
        ("dumbbell", "M 27"),
        ("cat's eye", "NGC 6543"),
        ("Cat’s Eye Nebula", "NGC 6543"),
        ("ic 434", "IC 434"),
        ("Flame Nebula", "NGC 2024"),
        ("double cluster", "Double Cluster"),
        ("C 14", "Double Cluster"),
        ("witch head", "NGC 1909"),
        ("omega centauri", "NGC 5139"),
        ("M 102", "M 102"),
    ] {
        assert_eq!(found(text), name, "{text}");
    }
}

#[test]
fn bodies_are_found() {
    for (text, body) in
        [("moon", Body::Moon), ("The Moon", Body::Moon), ("SUN", Body::Sun), ("Saturn", Body::Saturn)]
    {
        let entry = Catalogue::embedded().find(text).expect(text);
        assert!(matches!(entry.source, Source::Body(found) if found == body), "{text}");
        assert_eq!(entry.kind, Kind::Body);
        assert_eq!(entry.constellation, None);
    }
}

#[test]
fn a_miss_proposes_what_may_have_been_meant() {
    let miss = |text| Catalogue::embedded().find(text).expect_err(text);
    assert_eq!(miss("Betelguese").suggestions.first().map(String::as_str), Some("Betelgeuse"));
    assert_eq!(miss("Androm").suggestions.first().map(String::as_str), Some("Andromeda Galaxy"));
    assert_eq!(miss("alpha Oriniis").suggestions.first().map(String::as_str), Some("alpha Orionis"));
    assert_eq!(miss("zeta UMaj").suggestions.first().map(String::as_str), Some("zeta UMa"));
    assert_eq!(miss("Orion").suggestions.first().map(String::as_str), Some("Orion Nebula"));
    assert_eq!(
        miss("Butterflie").to_string().split(';').next(),
        Some("nothing in the catalogue is called `Butterflie`")
    );
    assert!(miss("M 111").to_string().contains("`M 42`"), "{}", miss("M 111"));
    for nothing in ["", " ", "m0", "the", "α", "12", "0 Ori", "HIP 99999999999999", "\u{0}"] {
        assert!(Catalogue::embedded().find(nothing).is_err(), "{nothing:?}");
    }
    let long = "x".repeat(10_000);
    assert_eq!(miss(&long).asked.chars().count(), 40);
}

#[test]
fn every_entry_is_found_by_its_own_name_and_names_are_unique() {
    let catalogue = Catalogue::embedded();
    let mut names = std::collections::BTreeSet::new();
    for entry in catalogue.all() {
        let again = catalogue.find(&entry.name).unwrap_or_else(|miss| panic!("{miss}"));
        assert_eq!(again.designations, entry.designations, "{}", entry.name);
        assert!(names.insert(squeezed(&entry.name)), "{} stands twice", entry.name);
        assert!(entry.name.is_ascii(), "{}", entry.name);
        assert!(entry.kind == Kind::Body || entry.constellation.is_some(), "{}", entry.name);
    }
    // Rows of the tables, and nine bodies.
    assert_eq!(names.len(), 8_841 + 1_024 + 9);
}

#[test]
fn both_star_tables_are_joined_whole() {
    let joined = Catalogue::embedded().stars.iter().filter(|row| row.hr > 0).count();
    assert_eq!(joined, 8_277, "the tables must have the same order");
}

#[test]
fn untrusted_stars_are_not_offered_for_alignment() {
    let catalogue = Catalogue::embedded();
    assert_eq!(catalogue.stars().filter(|star| !star.alignment_fit).count(), 24);
    let bright: Vec<&Entry> = catalogue.stars_to(1.0).collect();
    assert_eq!(bright.len(), 15);
    assert!(bright.windows(2).all(|pair| pair[0].magnitude <= pair[1].magnitude));
}

#[test]
fn rows_are_read_as_they_stand() {
    let entry = Catalogue::embedded().find("Arcturus").expect("is there");
    let Source::Star(place) = entry.source else { panic!("a star") };
    assert!((place.ra.degrees() - 213.915_300_3).abs() < 1e-12);
    assert!((place.dec.degrees() - 19.182_409_2).abs() < 1e-12);
    assert!((place.pm_dec.arcsec() + 2.000_08).abs() < 1e-12);
    assert!((place.parallax.arcsec() - 0.088_83).abs() < 1e-12);
    assert_eq!(entry.designations, ["alpha Bootis", "16 Bootis", "HR 5340", "HIP 69673"]);
    let nebula = Catalogue::embedded().find("M 57").expect("is there");
    assert_eq!(nebula.kind.words(), "planetary nebula");
    assert_eq!(nebula.designations, ["NGC 6720", "Ring Nebula"]);
    assert_eq!(nebula.constellation.map(|one| one.genitive), Some("Lyrae"));
    let size = nebula.size.expect("is there");
    assert!((size.0.arcmin() - 1.27).abs() < 1e-12 && size.0 == size.1);
    let globular = Catalogue::embedded().find("M 5").expect("is there");
    assert_eq!(
        globular.constellation.map(|one| one.name),
        Some("Serpens"),
        "the table's Se1 is the head of Serpens"
    );
}
