//! The evening before: what a mount remembers that was aligned, parked and switched off, and not moved since.

use super::Prepared;
use crate::play;
use alignment::Model;
use observer::{AlignmentIntent, Evening, Method};
use std::sync::Arc;
use units::{Span, Streams};

/// The stars that were sighted, in all.
const SIGHTINGS: usize = 6;

/// A day earlier the same person aligned the same mount on six stars, as it proposed them; its computer has kept what came of
/// that. Nothing struck it, and nothing was looked at. Without an alignment that succeeded there is nothing to resume.
pub(super) fn kept(tonight: &Prepared) -> Option<Arc<Model>> {
    let mut before = tonight.clone();
    let day = Span::from_whole_seconds(86_400);
    before.world.begin -= day;
    before.world.settings.clock -= day;
    before.end -= day;
    before.world.disturbances.clear();
    let streams = Streams::new(tonight.evening.streams.stream("evening before", 0).bits());
    before.evening = Evening {
        alignment: Some(AlignmentIntent {
            method: Method::ManyStar,
            estimator: None,
            stars: Vec::new(),
            refine: SIGHTINGS - Method::ManyStar.sightings(),
        }),
        polar: None,
        recording: None,
        play: None,
        later: Vec::new(),
        intents: Vec::new(),
        streams,
        ..before.evening
    };
    before.targets.clear();
    play::kept_alignment(&before)
}
