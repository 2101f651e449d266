//! What stands in the eyepiece and in the finder.

use super::Live;
use crate::measured;
use crate::play::spot_upright;
use crate::prepare::{Prepared, eyepiece_fields, eyepieces, magnification};
use observer::View;
use observer::seat::Glass;
use sky::catalogue::{Catalogue, Kind};
use sky::{Body, Source, Track};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;
use units::{Angle, maths};

/// Stars that are drawn by name over the whole sky.
const BRIGHT: f64 = 3.2;
/// Tracks of faint stars that are kept; the sky passes slowly, so that they are seldom made anew.
const TRACKS_MOST: usize = 4000;
/// The mean radius of the Moon and of the Sun in kilometres (IAU 2015 for the Sun; the Moon's from the IAU working group on
/// cartographic coordinates; both from memory).
const RADII_KM: [(Body, f64); 2] = [(Body::Moon, 1737.4), (Body::Sun, 695_700.0)];
const KM_PER_AU: f64 = 149_597_870.7;

/// One thing in the field.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// Its name.
    pub name: String,
    /// `star`, `deep-sky` or `body`.
    pub kind: &'static str,
    /// Magnitude; none where the catalogue has none.
    pub magnitude: Option<f64>,
    /// To the right of the field's middle, as the naked eye sees it along the tube with the head upright.
    pub right: Angle,
    /// And above it.
    pub up: Angle,
    /// Diameter; nothing for a star.
    pub diameter: Angle,
}

/// Eyepiece and finder at one instant. Places are upright; the view says how the eyepiece turns them.
#[derive(Clone, Debug, PartialEq)]
pub struct Scope {
    /// In the widest eyepiece's field and a little beyond.
    pub eyepiece: Vec<Seen>,
    /// In the finder's field.
    pub finder: Vec<Seen>,
}

#[derive(Debug)]
pub(super) struct Bright {
    pub(super) name: String,
    pub(super) magnitude: f64,
    pub(super) track: Track,
}

#[derive(Debug)]
struct Charted {
    name: String,
    kind: &'static str,
    magnitude: Option<f64>,
    size: Angle,
    source: Source,
    /// In the catalogue's frame: what lies near the boresight is found by this.
    place: nalgebra::Vector3<f64>,
}

/// The sky that is drawn from, for one night.
#[derive(Debug)]
pub(super) struct Chart {
    charted: Vec<Charted>,
    bright: Vec<Bright>,
    bodies: Vec<(Body, Track)>,
    sun: Track,
    tracks: RefCell<BTreeMap<usize, Arc<Track>>>,
}

impl Chart {
    pub(super) fn new(prepared: &Prepared) -> Self {
        let geocentre = &prepared.world.geocentre;
        let catalogue = Catalogue::embedded();
        let begin = prepared.world.begin;
        let charted = catalogue.stars().chain(catalogue.deep_sky().filter(|entry| entry.size.is_some()));
        let charted = charted.filter_map(|entry| {
            let Source::Star(star) = &entry.source else { return None };
            let (ra, dec) = sky::icrs_at(star, begin);
            let kind = if entry.kind == Kind::Star { "star" } else { "deep-sky" };
            let size = entry.size.map_or(Angle::ZERO, |(major, _)| major);
            let place = sky::direction(ra, dec);
            Some(Charted {
                name: entry.name,
                kind,
                magnitude: entry.magnitude,
                size,
                source: entry.source,
                place,
            })
        });
        let bright = catalogue.stars_to(BRIGHT).map(|entry| Bright {
            track: geocentre.track(&entry.source),
            magnitude: entry.magnitude.unwrap_or(BRIGHT),
            name: entry.name.clone(),
        });
        Self {
            charted: charted.collect(),
            bright: bright.collect(),
            bodies: Body::ALL.into_iter().map(|body| (body, geocentre.track(&Source::Body(body)))).collect(),
            sun: measured::sun(geocentre),
            tracks: RefCell::default(),
        }
    }

    pub(super) fn sun(&self) -> &Track {
        &self.sun
    }

    pub(super) fn bright(&self) -> impl Iterator<Item = &Bright> {
        self.bright.iter()
    }

    pub(super) fn bodies(&self) -> impl Iterator<Item = (Body, &Track)> {
        self.bodies.iter().map(|(body, track)| (*body, track))
    }

    fn track(&self, index: usize, prepared: &Prepared) -> Arc<Track> {
        let mut tracks = self.tracks.borrow_mut();
        if tracks.len() >= TRACKS_MOST {
            tracks.clear();
        }
        let make = || Arc::new(prepared.world.geocentre.track(&self.charted[index].source));
        Arc::clone(tracks.entry(index).or_insert_with(make))
    }
}

impl Live {
    /// What stands in the eyepiece and in the finder now.
    pub fn scope(&self) -> Scope {
        let glasses = &self.prepared.glasses;
        let widest = self.eyepieces().into_iter().map(|(_, field)| field).fold(Angle::ZERO, Angle::max);
        // A little beyond the field stop, so that what comes in is there in time.
        Scope {
            eyepiece: self.seen(Glass::Eyepiece, widest * 0.55),
            finder: self.seen(Glass::Finder, glasses.finder_field * 0.5),
        }
    }

    /// Names and true fields of the eyepieces at hand.
    pub fn eyepieces(&self) -> Vec<(String, Angle)> {
        eyepiece_fields(&self.prepared.plan)
    }

    /// True field of the finder.
    pub fn finder_field(&self) -> Angle {
        self.prepared.glasses.finder_field
    }

    /// How the eyepiece shows the sky: `upright`, `inverted` or `mirrored`.
    pub fn view(&self) -> &'static str {
        match self.prepared.glasses.view {
            View::Upright => "upright",
            View::Inverted => "inverted",
            View::Mirrored => "mirrored",
        }
    }

    /// Magnification of an eyepiece's name; 0 for one that isn't there.
    pub fn magnification(&self, name: &str) -> f64 {
        let plan = &self.prepared.plan;
        let eyepieces = eyepieces(plan);
        let found = eyepieces.iter().find(|eyepiece| eyepiece.name == name);
        found.map_or(0.0, |eyepiece| magnification(plan, eyepiece))
    }

    fn seen(&self, glass: Glass, radius: Angle) -> Vec<Seen> {
        let truth = self.world.truth();
        let now = self.world.now();
        let geocentre = &self.prepared.world.geocentre;
        let frame = truth.field_frame();
        let (ra, dec) = truth.station().icrs_from_observed(geocentre, &frame.column(0).into_owned(), now);
        let middle = sky::direction(ra, dec);
        let place = |track: &Track| {
            let (right, up) = spot_upright(&self.prepared.glasses, glass, &frame, &truth.observed(track));
            (Angle::from_radians(right), Angle::from_radians(up))
        };
        let within = |(right, up): (Angle, Angle), size: Angle| {
            maths::hypot(right.radians(), up.radians()) <= (radius + size * 0.5).radians()
        };
        // The finder looks aside of the tube by its offset, and great nebulae reach in from outside.
        let near = (radius + Angle::from_degrees(2.0)).cos();
        let mut seen = Vec::new();
        for (index, charted) in self.chart.charted.iter().enumerate() {
            if charted.place.dot(&middle) < near {
                continue;
            }
            let at = place(&self.chart.track(index, &self.prepared));
            if within(at, charted.size) {
                seen.push(Seen {
                    name: charted.name.clone(),
                    kind: charted.kind,
                    magnitude: charted.magnitude,
                    right: at.0,
                    up: at.1,
                    diameter: charted.size,
                });
            }
        }
        for (body, track) in self.chart.bodies() {
            let at = place(track);
            let diameter = diameter(body, track, now);
            if within(at, diameter) {
                let name = body.name().to_owned();
                seen.push(Seen { name, kind: "body", magnitude: None, right: at.0, up: at.1, diameter });
            }
        }
        seen
    }
}

/// Apparent diameter of Sun and Moon from the Earth's centre; planets are points at these scales.
fn diameter(body: Body, track: &Track, now: units::Instant) -> Angle {
    let radius = RADII_KM.iter().find(|(of, _)| *of == body).map(|(_, km)| km / KM_PER_AU);
    match (radius, track.cirs(now).distance_au) {
        (Some(radius), Some(distance)) => Angle::from_radians(2.0 * maths::asin(radius / distance)),
        _ => Angle::ZERO,
    }
}

/// Names of the catalogue that begin like a text, whatever its case: those of bodies, bright stars and Messier's objects first.
pub fn names_like(text: &str, most: usize) -> Vec<String> {
    let wanted = text.trim().to_lowercase();
    let catalogue = Catalogue::embedded();
    let all = catalogue.bodies().chain(catalogue.stars_to(BRIGHT).cloned()).chain(catalogue.deep_sky());
    all.filter(|entry| {
        let names = std::iter::once(&entry.name).chain(&entry.designations);
        names.into_iter().any(|name| name.to_lowercase().starts_with(&wanted))
    })
    .map(|entry| entry.name)
    .take(most)
    .collect()
}
