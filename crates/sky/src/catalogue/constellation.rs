//! The 88 constellations: their codes, names and genitives.

/// A constellation as the International Astronomical Union names it (list of 1922, Latin genitives for star names).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Constellation {
    /// The three-letter code, such as `Ori`.
    pub code: &'static str,
    /// The name, such as `Orion`.
    pub name: &'static str,
    /// The genitive, as in "alpha Orionis".
    pub genitive: &'static str,
}

const fn entry(code: &'static str, name: &'static str, genitive: &'static str) -> Constellation {
    Constellation { code, name, genitive }
}

/// All of them, by name.
pub const CONSTELLATIONS: [Constellation; 88] = [
    entry("And", "Andromeda", "Andromedae"),
    entry("Ant", "Antlia", "Antliae"),
    entry("Aps", "Apus", "Apodis"),
    entry("Aqr", "Aquarius", "Aquarii"),
    entry("Aql", "Aquila", "Aquilae"),
    entry("Ara", "Ara", "Arae"),
    entry("Ari", "Aries", "Arietis"),
    entry("Aur", "Auriga", "Aurigae"),
    entry("Boo", "Bootes", "Bootis"),
    entry("Cae", "Caelum", "Caeli"),
    entry("Cam", "Camelopardalis", "Camelopardalis"),
    entry("Cnc", "Cancer", "Cancri"),
    entry("CVn", "Canes Venatici", "Canum Venaticorum"),
    entry("CMa", "Canis Major", "Canis Majoris"),
    entry("CMi", "Canis Minor", "Canis Minoris"),
    entry("Cap", "Capricornus", "Capricorni"),
    entry("Car", "Carina", "Carinae"),
    entry("Cas", "Cassiopeia", "Cassiopeiae"),
    entry("Cen", "Centaurus", "Centauri"),
    entry("Cep", "Cepheus", "Cephei"),
    entry("Cet", "Cetus", "Ceti"),
    entry("Cha", "Chamaeleon", "Chamaeleontis"),
    entry("Cir", "Circinus", "Circini"),
    entry("Col", "Columba", "Columbae"),
    entry("Com", "Coma Berenices", "Comae Berenices"),
    entry("CrA", "Corona Australis", "Coronae Australis"),
    entry("CrB", "Corona Borealis", "Coronae Borealis"),
    entry("Crv", "Corvus", "Corvi"),
    entry("Crt", "Crater", "Crateris"),
    entry("Cru", "Crux", "Crucis"),
    entry("Cyg", "Cygnus", "Cygni"),
    entry("Del", "Delphinus", "Delphini"),
    entry("Dor", "Dorado", "Doradus"),
    entry("Dra", "Draco", "Draconis"),
    entry("Equ", "Equuleus", "Equulei"),
    entry("Eri", "Eridanus", "Eridani"),
    entry("For", "Fornax", "Fornacis"),
    entry("Gem", "Gemini", "Geminorum"),
    entry("Gru", "Grus", "Gruis"),
    entry("Her", "Hercules", "Herculis"),
    entry("Hor", "Horologium", "Horologii"),
    entry("Hya", "Hydra", "Hydrae"),
    entry("Hyi", "Hydrus", "Hydri"),
    entry("Ind", "Indus", "Indi"),
    entry("Lac", "Lacerta", "Lacertae"),
    entry("Leo", "Leo", "Leonis"),
    entry("LMi", "Leo Minor", "Leonis Minoris"),
    entry("Lep", "Lepus", "Leporis"),
    entry("Lib", "Libra", "Librae"),
    entry("Lup", "Lupus", "Lupi"),
    entry("Lyn", "Lynx", "Lyncis"),
    entry("Lyr", "Lyra", "Lyrae"),
    entry("Men", "Mensa", "Mensae"),
    entry("Mic", "Microscopium", "Microscopii"),
    entry("Mon", "Monoceros", "Monocerotis"),
    entry("Mus", "Musca", "Muscae"),
    entry("Nor", "Norma", "Normae"),
    entry("Oct", "Octans", "Octantis"),
    entry("Oph", "Ophiuchus", "Ophiuchi"),
    entry("Ori", "Orion", "Orionis"),
    entry("Pav", "Pavo", "Pavonis"),
    entry("Peg", "Pegasus", "Pegasi"),
    entry("Per", "Perseus", "Persei"),
    entry("Phe", "Phoenix", "Phoenicis"),
    entry("Pic", "Pictor", "Pictoris"),
    entry("Psc", "Pisces", "Piscium"),
    entry("PsA", "Piscis Austrinus", "Piscis Austrini"),
    entry("Pup", "Puppis", "Puppis"),
    entry("Pyx", "Pyxis", "Pyxidis"),
    entry("Ret", "Reticulum", "Reticuli"),
    entry("Sge", "Sagitta", "Sagittae"),
    entry("Sgr", "Sagittarius", "Sagittarii"),
    entry("Sco", "Scorpius", "Scorpii"),
    entry("Scl", "Sculptor", "Sculptoris"),
    entry("Sct", "Scutum", "Scuti"),
    entry("Ser", "Serpens", "Serpentis"),
    entry("Sex", "Sextans", "Sextantis"),
    entry("Tau", "Taurus", "Tauri"),
    entry("Tel", "Telescopium", "Telescopii"),
    entry("Tri", "Triangulum", "Trianguli"),
    entry("TrA", "Triangulum Australe", "Trianguli Australis"),
    entry("Tuc", "Tucana", "Tucanae"),
    entry("UMa", "Ursa Major", "Ursae Majoris"),
    entry("UMi", "Ursa Minor", "Ursae Minoris"),
    entry("Vel", "Vela", "Velorum"),
    entry("Vir", "Virgo", "Virginis"),
    entry("Vol", "Volans", "Volantis"),
    entry("Vul", "Vulpecula", "Vulpeculae"),
];

impl Constellation {
    /// By its three-letter code, in any case; `Se1` and `Se2`, the two parts of Serpens, are Serpens.
    pub fn by_code(code: &str) -> Option<&'static Self> {
        Self::index(code).map(|index| &CONSTELLATIONS[usize::from(index)])
    }

    /// Its place in [`CONSTELLATIONS`].
    pub(super) fn index(code: &str) -> Option<u8> {
        let code = if code == "Se1" || code == "Se2" { "Ser" } else { code };
        Self::position(|one| one.code.eq_ignore_ascii_case(code))
    }

    /// Its place in [`CONSTELLATIONS`] by squeezed code, name or genitive.
    pub(super) fn index_spelled(squeezed_text: &str) -> Option<u8> {
        Self::position(|one| {
            one.code.eq_ignore_ascii_case(squeezed_text)
                || same_letters(one.name, squeezed_text)
                || same_letters(one.genitive, squeezed_text)
        })
    }

    fn position(fits: impl FnMut(&Self) -> bool) -> Option<u8> {
        CONSTELLATIONS.iter().position(fits).and_then(|found| u8::try_from(found).ok())
    }
}

/// Whether a name of the table, blanks and case aside, is this squeezed text.
fn same_letters(name: &str, squeezed_text: &str) -> bool {
    let letters = name.bytes().filter(|byte| *byte != b' ').map(|byte| byte.to_ascii_lowercase());
    letters.eq(squeezed_text.bytes())
}
