//! The alignment that outlasts a loss of power.

use crate::Controller;
use crate::align::method_word;
use alignment::Model;
use protocol::{Fields, KeptAlignment, Refusal, RefusalKind};
use std::sync::Arc;

impl Controller {
    /// Says which alignment is kept, and before that chooses it if asked to.
    pub(crate) fn keep(&mut self, which: Option<KeptAlignment>) -> Result<Fields, Refusal> {
        match which {
            None => {}
            Some(KeptAlignment::This) if !self.belief.aligned() => {
                let sentence = "there is no alignment to keep; align on a star first";
                return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
            }
            Some(KeptAlignment::This) => {
                self.settings.kept_alignment = Some(Arc::new(self.belief.model().clone()));
                self.settings.alignment_held = true;
            }
            Some(KeptAlignment::Latest) => self.settings.alignment_held = false,
            Some(KeptAlignment::None) => {
                self.settings.kept_alignment = None;
                self.settings.alignment_held = false;
            }
        }
        let fields = Fields::new();
        let fields = match &self.settings.kept_alignment {
            None => fields.text("alignment", "none").count("sightings", 0).text("latitude", "none"),
            Some(kept) => fields
                .text("alignment", method_word(kept.method()))
                .count("sightings", kept.sightings_used() as u64)
                .degrees("latitude", kept.latitude()),
        };
        Ok(fields.text("held", if self.settings.alignment_held { "yes" } else { "no" }))
    }

    /// A complete alignment has been made: it is kept, unless another one is held.
    pub(crate) fn keep_if_latest(&mut self) {
        if !self.settings.alignment_held {
            self.settings.kept_alignment = Some(Arc::new(self.belief.model().clone()));
        }
    }

    /// The alignment that is kept, if it was made where the mount stands now.
    pub(crate) fn kept(&self) -> Option<&Arc<Model>> {
        let latitude = self.belief.station().site().latitude();
        self.settings.kept_alignment.as_ref().filter(|kept| kept.latitude() == latitude)
    }

    /// Takes the kept alignment up again; sightings go on from it.
    pub(crate) fn resume(&mut self) {
        if let Some(kept) = self.kept().map(Arc::clone) {
            self.alignment.go_on_from(kept.as_priors(), 0);
            self.belief.set_taught_model(kept.as_ref().clone());
        }
    }
}
