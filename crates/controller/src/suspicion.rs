//! Suspicion: what was entered wrongly, which star it really is, and whether the mount was knocked.

use crate::Controller;
use crate::motors::Motors;
use alignment::{Moved, Priors, Sighting, Verdict, identities, questions, visible_stars};
use protocol::{Fields, MovedPart, Refusal, RefusalKind, Seen};
use units::{Angle, Span};

/// How many verified stars are kept.
const VERIFIED_MOST: usize = 4;
/// Stars down to this magnitude are taken for one another.
const MISTAKEN_FOR: f64 = 3.5;
/// A star with this share of the probability is named in place of the one that was said.
const LIKELIER: f64 = 0.5;

impl Controller {
    /// What may have been entered wrongly, by the sightings so far.
    pub(crate) fn questions(&self, entry: Option<u64>) -> Result<Fields, Refusal> {
        let site = self.belief.station().site();
        let sightings = &self.alignment.sightings;
        let priors = Priors::usual(self.settings.kind, site.latitude());
        // Sightings that the fit has accepted are usable; none at all make no question.
        let asked = questions(self.settings.kind, site.latitude(), site.longitude(), &priors, sightings);
        let question = asked.ok().flatten();
        let explanations = question.as_ref().map_or(&[][..], |question| &question.explanations);
        let fields = Fields::new().count("stars", sightings.len() as u64);
        let fields = match &question {
            Some(question) => fields.number("west", question.west.degrees(), 2, "deg"),
            None => fields.text("west", "none"),
        };
        let fields = fields.count("count", explanations.len() as u64);
        let Some(entry) = entry else { return Ok(fields) };
        let place = usize::try_from(entry - 1).unwrap_or(usize::MAX);
        let Some(one) = explanations.get(place) else {
            let count = explanations.len();
            let sentence = format!("there is no explanation {entry}; there are {count}");
            return Err(Refusal::new(RefusalKind::OutOfRange, sentence));
        };
        Ok(fields.text("slip", &one.slip.to_string()).number("share", one.share * 100.0, 1, "%"))
    }

    /// Another star that stands where the tube points, and is likelier to have been centred than the one that was said.
    pub(crate) fn likelier(&self, sighting: &Sighting, now: Span) -> Option<String> {
        let belief = &self.belief;
        let stars = visible_stars(belief.station(), belief.geocentre(), belief.instant(now), MISTAKEN_FOR);
        let found = identities(belief.model(), sighting, &stars);
        let likeliest = found.first().filter(|one| one.share >= LIKELIER)?;
        let name = &stars[likeliest.index].name;
        (*name != sighting.name).then(|| name.clone())
    }

    /// Holds a star against the model.
    pub(crate) fn verify(
        &mut self,
        name: &str,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        if !self.belief.aligned() {
            let sentence = "no star has told where the tube points; there is nothing to verify";
            return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
        }
        let (name, target) = self.seen(&Seen::Name(name.to_owned()))?;
        let sighting = self.sighting(&name, &target, now, motors)?;
        let model = self.belief.model();
        let innovation = model.innovation(&sighting);
        let verdict = match innovation.map(|one| one.verdict) {
            Some(Verdict::Accept) => "fits",
            Some(Verdict::Ask) => "doubtful",
            Some(Verdict::Refuse) | None => "unbelievable",
        };
        let off = innovation.map_or(Angle::ZERO, |one| one.length());
        let likelier = if verdict == "fits" { None } else { self.likelier(&sighting, now) };
        let mut verified = self.alignment.verified.clone();
        verified.retain(|one| one.name != name);
        verified.push(sighting);
        if verified.len() > VERIFIED_MOST {
            verified.remove(0);
        }
        let knock = model.knock(&verified);
        self.alignment.verified = verified;
        Ok(Fields::new()
            .text("star", &name)
            .arcmin("disagreement", off)
            .text("verdict", verdict)
            .text("likelier", likelier.as_deref().unwrap_or("none"))
            .text("moved", knock.map_or("nothing", |knock| part_of(knock.moved).word()))
            .arcmin("size", knock.map_or(Angle::ZERO, |knock| knock.size)))
    }

    /// Opens again what was moved, and fits the verified stars.
    pub(crate) fn moved(
        &mut self,
        part: MovedPart,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        let verified = self.alignment.verified.clone();
        let model = self.belief.model();
        let offs = verified.iter().filter_map(|sighting| Some(model.innovation(sighting)?.length()));
        let Some(size) = offs.max_by(|a, b| a.radians().total_cmp(&b.radians())) else {
            let sentence = "no star was verified since the last sighting; send verify name=... first";
            return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
        };
        let moved = match part {
            MovedPart::FirstAxis => Moved::FirstAxis,
            MovedPart::SecondAxis => Moved::SecondAxis,
            MovedPart::Base => Moved::Base,
        };
        let mut alignment = self.alignment.clone();
        alignment.go_on_from(model.after_knock(moved, size), verified.len());
        std::mem::swap(&mut self.alignment, &mut alignment);
        let fitted = self.fitted(&verified);
        match fitted {
            Ok(model) => {
                self.alignment.verified.clear();
                self.alignment.sightings = verified;
                self.believe(model, None, now, motors);
                let taken = self.alignment.sightings.len() as u64;
                Ok(Fields::new().text("part", part.word()).count("taken", taken))
            }
            Err(refusal) => {
                self.alignment = alignment;
                Err(refusal)
            }
        }
    }
}

fn part_of(moved: Moved) -> MovedPart {
    match moved {
        Moved::FirstAxis => MovedPart::FirstAxis,
        Moved::SecondAxis => MovedPart::SecondAxis,
        Moved::Base => MovedPart::Base,
    }
}
