//! Who sits at the mount.

use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Share, Span};

/// How carefully a person works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Care {
    /// Cold hands and a queue waiting.
    Hurried,
    /// As most people do on most nights.
    Usual,
    /// With level, list and patience.
    Careful,
    /// Without any error.
    Perfect,
}

/// A sense of motion along each axis: `1.0` west (right on an alt-azimuth mount) and north (up), `-1.0` the opposite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Approach {
    /// Of the first axis.
    pub first: f64,
    /// Of the second axis.
    pub second: f64,
}

/// What the person does when a target isn't in the field.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Recovery {
    /// Go on as if it were there.
    #[default]
    GoOn,
    /// Search round the place in a spiral.
    Search,
    /// Centre a bright star near by, tell the mount, and come back.
    SightNearby,
    /// Sight a bright star near by in place of the nearest earlier sighting, and come back.
    ReplaceSighting,
    /// Do the whole alignment again, and come back.
    StartOver,
}

/// What the person does when the mount doubts a star or asks what was entered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WhenAsked {
    /// Go on with the next star.
    GoOn,
    /// Look again: at the chart, the watch, the map.
    #[default]
    LookAgain,
}

/// How the eyepiece shows the sky.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum View {
    /// As the naked eye sees it.
    Upright,
    /// Turned by half a turn.
    Inverted,
    /// Left and right exchanged.
    #[default]
    Mirrored,
}

/// What the person knows of the mount in front of them, as anybody does who has used it before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handset {
    /// Whether its keys say left, right, up and down instead of west, east, north and south.
    pub alt_azimuth: bool,
    /// How fast it goes at its fullest.
    pub full_rate: AngularRate,
    /// How briskly it gathers speed. Nobody knows the figure, but everybody hears for how long a key must be held until the tube
    /// has come to the key's rate.
    pub acceleration: AngularAcceleration,
    /// How softly that begins and ends; without it, at once.
    pub jerk: Option<AngularJerk>,
    /// How the eyepiece shows the sky; the finder shows it upright.
    pub view: View,
    /// The latitude of the place, as it was typed in.
    pub latitude: Angle,
    /// What was typed in, against what a look at a good watch and a map tells.
    pub entered: Entered,
}

/// What a look at a good watch and a map tells of what was typed in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Entered {
    /// How far the mount's clock was set fast.
    pub clock_fast: Span,
    /// The latitude by the map, where another one was typed in.
    pub latitude: Option<Angle>,
    /// The longitude by the map, positive east, where another one was typed in.
    pub longitude: Option<Angle>,
}

/// A person, by their skill. [`Person::of`] gives the usual values of a care; each may be set by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Person {
    /// How carefully they work.
    pub care: Care,
    /// Error of centring in the finder, one sigma in each direction.
    pub finder_centring: Angle,
    /// Error of centring in the eyepiece, one sigma in each direction, as a share of the true field.
    pub eyepiece_centring: Share,
    /// Largest shift of the image when an eyepiece is changed or focused, between centring and acceptance.
    pub focus_shift: Angle,
    /// Direction in which the tube last moves when a hand centres; `None` to ignore it.
    pub approach: Option<Approach>,
    /// How often the hand remembers that.
    pub approach_kept: Share,
    /// Chance of centring a neighbour instead of the star when the first arrival is one degree off.
    pub wrong_star: Share,
    /// Chance that the eyepiece's view is taken for an upright one.
    pub view_mistaken: Share,
    /// Time from seeing to pressing or letting go of a key.
    pub reaction: Span,
    /// Shortest press of a key.
    pub shortest_press: Span,
    /// What is done when a target isn't in the field.
    pub when_missed: Recovery,
    /// How far the air moves a star about while its place is read at the wires, one sigma in each direction.
    pub seeing: Angle,
    /// What is done when the mount doubts or asks.
    pub when_asked: WhenAsked,
}

impl Person {
    /// The usual person of a care (common practice, no source): the centring errors are 6, 3 and 0.5 arcminutes in a field of
    /// 50 arcminutes. Slips have no chance until somebody asks for them.
    pub fn of(care: Care) -> Self {
        let (finder, eyepiece, focus, kept) = match care {
            Care::Hurried => (10.0, 12.0, 60.0, 75.0),
            Care::Usual => (5.0, 6.0, 40.0, 75.0),
            Care::Careful => (3.0, 1.0, 0.0, 97.0),
            Care::Perfect => (0.0, 0.0, 0.0, 100.0),
        };
        let perfect = care == Care::Perfect;
        let or_none = |span: f64| Span::from_seconds(if perfect { 0.0 } else { span });
        Self {
            care,
            finder_centring: Angle::from_arcmin(finder),
            eyepiece_centring: Share::from_percent(eyepiece),
            focus_shift: Angle::from_arcsec(focus),
            approach: None,
            approach_kept: Share::from_percent(kept),
            wrong_star: Share::ZERO,
            view_mistaken: Share::ZERO,
            reaction: or_none(0.3),
            shortest_press: or_none(0.25),
            when_missed: Recovery::GoOn,
            // The image of a star in an aperture of 20 cm moves by as much in air of a Fried length of 7 cm.
            seeing: Angle::from_arcsec(if perfect { 0.0 } else { 0.5 }),
            // A perfect person has made no error that one could look for.
            when_asked: match care {
                Care::Hurried | Care::Perfect => WhenAsked::GoOn,
                Care::Usual | Care::Careful => WhenAsked::LookAgain,
            },
        }
    }

    /// How well they read a star's place against the wires of an eyepiece, one sigma (common practice, no source).
    pub(crate) fn reading(&self) -> Angle {
        Angle::from_arcsec(match self.care {
            Care::Hurried => 10.0,
            Care::Usual => 5.0,
            Care::Careful => 2.0,
            Care::Perfect => 0.0,
        })
    }

    /// How long they watch a star drift (common practice, no source).
    pub(crate) fn watching(&self) -> Span {
        Span::from_whole_seconds(match self.care {
            Care::Hurried => 300,
            Care::Usual | Care::Perfect => 600,
            Care::Careful => 900,
        })
    }

    /// How long they spend on reading the display, finding a star in the sky and making sure of it (common practice, no
    /// source: with slewing and centring a star takes a practised person one to two minutes).
    pub(crate) fn time_to_identify(&self) -> Span {
        Span::from_whole_seconds(match self.care {
            Care::Hurried => 12,
            Care::Usual => 20,
            Care::Careful => 30,
            Care::Perfect => 0,
        })
    }
}
