//! Verbs by which the mount learns where it points.

use super::{SEQ, ValueKind, Verb, field, key};
use crate::refusal::RefusalKind;
use crate::reply::EventKind;
use crate::request::{AlignMethod, Estimator, KeptAlignment, MovedPart, Purpose, RankedBy, Replaced, Yes};

/// `align`
pub(super) const ALIGN: Verb = Verb {
    name: "align",
    purpose: "Begin an alignment, or show how far it is.",
    notes: "`align method=…` forgets what was sighted before and begins anew; the pointing stays as it was until the first sighting. One star gives the zeros of both \
            dials, two stars a rotation, three stars or more the full model. With `estimator` more than two stars may be used for a rotation alone, or \
            two for the full model. `align method=none` forgets the alignment. `moon-or-planet` takes the Moon or a planet, which show in twilight, for the zeros of both \
            dials; stars may follow. The mount keeps its latest complete alignment over a loss of power, or the one that [`keep`](#keep) says: `method=resume` takes it \
            up again, which is right as long as the mount was at its home position when the power went, and nobody has moved it since. `at_home=no` warns that it wasn't: then \
            it is right only if the tube was put to its home marks by hand before the power came back.",
    topic: "",
    keys: &[
        key("method", ValueKind::Word(AlignMethod::WORDS), "how many stars at least"),
        key(
            "estimator",
            ValueKind::Word(Estimator::WORDS),
            "rotation with two stars, else full-model, if left out",
        ),
    ],
    reply: &[
        field("method", "none, one-star, two-star, many-star, moon-or-planet or resume"),
        field("needed", "sightings that the method needs"),
        field("taken", "sightings so far"),
        field(
            "at_home",
            "no if the power last went while the tube was away from home, else yes (with method=resume)",
        ),
    ],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::NoAlignment],
};

/// `propose`
pub(super) const PROPOSE: Verb = Verb {
    name: "propose",
    purpose: "Propose a star for the next sighting.",
    notes: "Bright, well placed, not near the pole of the first axis, the zenith, the Sun, the Moon, or a star sighted before. Nothing moves; to \
            accept it, go there and sight it. `next=yes` asks for another one. For the bolts of the polar axis a star near the meridian serves, low to middling in altitude; its \
            drift tells the azimuth of the axis near the meridian and the equator, the altitude six hours to the side.",
    topic: "",
    keys: &[
        key("next", ValueKind::Word(Yes::WORDS), "the last proposal won't do"),
        key(
            "for",
            ValueKind::Word(Purpose::WORDS),
            "what the star is to serve: sighting if left out, or the polar axis",
        ),
    ],
    reply: &[
        field("star", "its name"),
        field("azimuth", "where the mount believes it to be, deg from north through east"),
        field("altitude", "and how high, deg"),
        field("solution", "direct or through-pole"),
        field("hour", "its hour angle, deg west of the meridian"),
    ],
    events: &[],
    refusals: &[RefusalKind::NoStar, RefusalKind::WrongKind],
};

/// `questions`
pub(super) const QUESTIONS: Verb = Verb {
    name: "questions",
    purpose: "Ask what may have been entered wrongly, if the first sightings don't fit what is expected of the mount.",
    notes: "Each possible slip is tried: an hour, a zone, a date, the sign of the longitude or the latitude, a home mark. Several often explain the same stars, so the \
            answer is a question and never an assertion. `count=0`: nothing is to be asked, or nothing explains them.",
    topic: "",
    keys: &[key("entry", ValueKind::Count, "number of the explanation, the likeliest is 1")],
    reply: &[
        field("stars", "how many sightings it rests on"),
        field(
            "west",
            "how far west of where they should be the stars stand on average, deg, or none if they fit",
        ),
        field("count", "how many explanations there are"),
        field("slip", "what may have been entered wrongly (with entry)"),
        field("share", "its share of the probability (with entry)"),
    ],
    events: &[],
    refusals: &[RefusalKind::OutOfRange],
};

/// `verify`
pub(super) const VERIFY: Verb = Verb {
    name: "verify",
    purpose: "Hold a star that stands in the middle of the eyepiece against the model, without taking it as a sighting.",
    notes: "From two stars on the mount says whether they are shifted together, as by a knock, and what moved: then `moved` opens that part again and keeps what was \
            learnt of the rest. The latest four are kept until the next sighting.",
    topic: "",
    keys: &[key("name", ValueKind::Text, "the star")],
    reply: &[
        field("star", "its name in the catalogue"),
        field("disagreement", "from where the model expects it, arcmin"),
        field(
            "verdict",
            "fits, doubtful (one sound sighting in a hundred looks like it) or unbelievable (one in a thousand)",
        ),
        field("likelier", "the star that stands where the tube points, if that is another one, else none"),
        field("moved", "first-axis, second-axis, base, or nothing"),
        field("size", "by about how much, arcmin"),
    ],
    events: &[],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::Parked,
        RefusalKind::NoAlignment,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
    ],
};

/// `moved`
pub(super) const MOVED: Verb = Verb {
    name: "moved",
    purpose: "Tell that a part of the mount was moved; the verified stars become the sightings of a new fit.",
    notes: "What was learnt of the other parts is kept: after a kick at the tripod the cone, the skew and the declination zero.",
    topic: "",
    keys: &[key("part", ValueKind::Word(MovedPart::WORDS), "what was moved")],
    reply: &[field("part", "what is open again"), field("taken", "sightings of the new fit")],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::NoAlignment, RefusalKind::UnfitSighting],
};

/// `polar-axis`
pub(super) const POLAR_AXIS: Verb = Verb {
    name: "polar-axis",
    purpose: "Show where the polar axis stands, by the model.",
    notes: "Of the elevated end, with what a leaning base adds: positive too high, and too far east. The uncertainties say how far to trust it.",
    topic: "",
    keys: &[],
    reply: &[
        field("altitude", "how much too high, arcmin"),
        field("azimuth", "how much too far east, as an angle about the vertical, arcmin"),
        field("altitude_sigma", "uncertainty of the altitude, arcmin"),
        field("azimuth_sigma", "uncertainty of the azimuth, arcmin"),
        field("distance", "from the axis to the pole on the sky, arcmin"),
    ],
    events: &[],
    refusals: &[RefusalKind::WrongKind, RefusalKind::NoAlignment],
};

/// `polar-offset`
pub(super) const POLAR_OFFSET: Verb = Verb {
    name: "polar-offset",
    purpose: "Go where a star would stand if the polar axis were right and all else as the model says.",
    notes: "The star then stands beside the middle by the image of the polar error. Bring it to the middle with the altitude and azimuth bolts alone, no key \
            touched, then send `polar-done`.",
    topic: "",
    keys: &[key("name", ValueKind::Text, "the star"), SEQ],
    reply: &[
        field("job", "its number"),
        field("seconds", "until it arrives"),
        field("solution", "direct or through-pole"),
        field("away", "how far from the middle the star will stand, arcmin"),
    ],
    events: &[EventKind::Arrived, EventKind::Stopped],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::Parked,
        RefusalKind::WrongKind,
        RefusalKind::NoAlignment,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::Unreachable,
        RefusalKind::BadPlace,
        RefusalKind::NearSun,
    ],
};

/// `polar-done`
pub(super) const POLAR_DONE: Verb = Verb {
    name: "polar-done",
    purpose: "Tell that a star was brought to the middle with the bolts.",
    notes: "The axis is believed to be at the pole from now on, but for what centring and locking the bolts leave; what was learnt of the axes, the tube and the cone \
            stays. Locking shifts the axis: sight `sightings` stars anew, then look at `polar-axis`; two passes are normal.",
    topic: "",
    keys: &[key("name", ValueKind::Text, "the star")],
    reply: &[
        field("corrected", "by how far the bolts moved the axis, as the model has it, arcmin"),
        field("sightings", "how many stars are to be sighted anew: 1, or 2 after more than half a degree"),
    ],
    events: &[],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::Parked,
        RefusalKind::WrongKind,
        RefusalKind::NoAlignment,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::BadPlace,
    ],
};

/// `next-star`
pub(super) const NEXT_STAR: Verb = Verb {
    name: "next-star",
    purpose: "Rank the stars by what sighting each of them would buy over the whole sky.",
    notes: "The mount reckons how far off its go-tos are expected to be, over 500 places of the sky, as things are and with one star more. `entry=1` is the             best star, `entry=2` the second. `usual` is what the rule of thumb would take: a bright star on the other side. Nothing moves.",
    topic: "",
    keys: &[
        key("entry", ValueKind::Count, "place in the ranking; 1 if left out"),
        key(
            "criterion",
            ValueKind::Word(RankedBy::WORDS),
            "whether the mean or the largest expected miss is to fall; average if left out",
        ),
    ],
    reply: &[
        field("star", "its name"),
        field("azimuth", "where the mount believes it to be, deg from north through east"),
        field("altitude", "and how high, deg"),
        field("solution", "direct or through-pole"),
        field("before", "expected miss over the sky as things are, root mean square, arcmin"),
        field("after", "the same after this star was sighted, arcmin"),
        field("worst_before", "expected miss at the worst place as things are, arcmin"),
        field("worst_after", "the same after this star was sighted, arcmin"),
        field("minutes", "what slew, finding and centring take, min"),
        field("slew", "how far the axis turns that has farther to go, deg"),
        field("turns_over", "yes if the tube has to change sides"),
        field("count", "how many stars are ranked"),
        field("usual", "the star of the rule of thumb"),
        field("usual_after", "expected miss over the sky after that one, arcmin"),
    ],
    events: &[],
    refusals: &[RefusalKind::OutOfRange, RefusalKind::NoStar],
};

/// `sight`
pub(super) const SIGHT: Verb = Verb {
    name: "sight",
    purpose: "Take the dials of now as the sighting of a star that stands in the middle of the eyepiece.",
    notes: "The model is fitted anew at once. A sighting that the mount can't believe is refused; `anyway=yes` makes it take one that merely disagrees with its \
            model. With `replaces` an earlier sighting goes. `flanks=different` warns that the sightings rest on different flanks of the gears, so that they disagree by \
            the play there is: those on the less usual flank count for less. An axis whose play is taken up (`take-up`) doesn't matter.",
    topic: "",
    keys: &[
        key("name", ValueKind::Text, "the star"),
        key(
            "replaces",
            ValueKind::Word(Replaced::WORDS),
            "which earlier sighting it replaces; none if left out",
        ),
        key("anyway", ValueKind::Word(Yes::WORDS), "take it although it disagrees"),
    ],
    reply: &[
        field("star", "its name in the catalogue"),
        field("taken", "sightings so far"),
        field("needed", "sightings that the method needs"),
        field("done", "yes once the method has all it needs"),
        field("disagreement", "from where the model expected the star, arcmin"),
        field(
            "flanks",
            "alike, different or unknown: whether this sighting and the earlier ones were come to in the same sense by both axes",
        ),
    ],
    events: &[],
    refusals: &[
        RefusalKind::Busy,
        RefusalKind::Parked,
        RefusalKind::UnknownTarget,
        RefusalKind::BelowHorizon,
        RefusalKind::NoAlignment,
        RefusalKind::UnfitSighting,
        RefusalKind::Suspicious,
    ],
};

/// `sightings`
pub(super) const SIGHTINGS: Verb = Verb {
    name: "sightings",
    purpose: "Count the sightings, or show one.",
    notes: "",
    topic: "",
    keys: &[key("entry", ValueKind::Count, "number of the sighting, the oldest is 1")],
    reply: &[
        field("count", "how many there are"),
        field("star", "its name (with entry)"),
        field("utc", "when it was taken, by the mount's clock (with entry)"),
        field("east", "boresight by the model minus star, arcsec (with entry)"),
        field("north", "and towards the north, arcsec (with entry)"),
        field(
            "first_axis",
            "in which sense the first axis came to it, further than the play is wide: growing, falling or unknown (with entry)",
        ),
        field("second_axis", "and the second axis (with entry)"),
    ],
    events: &[],
    refusals: &[RefusalKind::OutOfRange],
};

/// `forget`
pub(super) const FORGET: Verb = Verb {
    name: "forget",
    purpose: "Take a sighting back; the model is fitted anew.",
    notes: "",
    topic: "",
    keys: &[key("entry", ValueKind::Count, "number of the sighting")],
    reply: &[field("star", "whose sighting went"), field("taken", "sightings that are left")],
    events: &[],
    refusals: &[RefusalKind::Busy, RefusalKind::OutOfRange, RefusalKind::UnfitSighting],
};

/// `keep`
pub(super) const KEEP: Verb = Verb {
    name: "keep",
    purpose: "Show which alignment outlasts a loss of power, or say which one shall.",
    notes: "Usually it is the latest complete one: whenever a method has all the stars that it needs, the mount keeps what it has made of them. `alignment=this` keeps what the \
            mount believes at this moment, complete or not, and holds it: whatever is sighted later, and be it the wrong star, leaves it alone. `latest` goes back to the usual way, from \
            the next complete alignment on. `none` clears what was kept, and goes back to the usual way; what the mount believes now stays as it is. `align method=resume` takes up what is \
            kept, at the latitude for which it was made.",
    topic: "",
    keys: &[key("alignment", ValueKind::Word(KeptAlignment::WORDS), "which one is to be kept")],
    reply: &[
        field("alignment", "none, one-star, two-star or many-star: what made the one that is kept"),
        field("sightings", "how many it rests on"),
        field("latitude", "of the site for which it was made, deg, or none"),
        field("held", "yes if later ones leave it alone"),
    ],
    events: &[],
    refusals: &[RefusalKind::NoAlignment],
};

/// `model`
pub(super) const MODEL: Verb = Verb {
    name: "model",
    purpose: "Show what the mount believes about its own geometry.",
    notes: "Without `term`: the method and the names of the terms. With `term`: one of them.",
    topic: "",
    keys: &[key("term", ValueKind::Text, "name of a term, such as \"cone error\"")],
    reply: &[
        field("method", "none, one-star, two-star or many-star: what made it"),
        field("sightings", "how many it rests on"),
        field("residual", "root mean square of what the sightings leave, arcsec, or none"),
        field("terms", "names of its terms, with commas between"),
        field("value", "what the term is believed to be, arcsec (with term)"),
        field("sigma", "its uncertainty, arcsec, or none (with term)"),
        field("determined", "yes if the stars tell it (with term)"),
    ],
    events: &[],
    refusals: &[RefusalKind::BadValue],
};
