//! What people do: setting up, aligning, observing; and the settings of the mount that they choose.

use crate::value::{section, words};
use crate::values::{Stars, TargetName, TimeOfDay};
use units::{Angle, AngularRate, Length, Pressure, Share, Span, Temperature};

words! {
    /// How carefully a person works where nothing is said.
    pub enum Care, "a degree of care" {
        /// Cold hands and a queue waiting.
        Hurried = "hurried",
        /// As most people do on most nights.
        Usual = "usual",
        /// With level, list and patience.
        Careful = "careful",
        /// Without any error.
        Perfect = "perfect",
    }
}

words! {
    /// By what the polar axis (or the base's north) was set.
    pub enum PolarSight, "a way to find the pole" {
        /// A compass, magnetic declination forgotten.
        Compass = "compass",
        /// A compass, magnetic declination applied.
        CorrectedCompass = "corrected-compass",
        /// The pole star as if it stood at the pole.
        PoleStar = "pole-star",
        /// The pole star with its offset from the pole.
        OffsetPoleStar = "offset-pole-star",
        /// A sighting scope in the axis.
        SightingScope = "sighting-scope",
    }
}

section! {
    /// What was done in the field before dark, against the truth.
    #[derive(Default)]
    pub struct Setup {
        required {}
        optional {
            /// What the person does where nothing is said.
            care: Care = "usual; perfect with grade perfect";
            /// How the pole was found; decides what is drawn where the polar errors aren't given.
            polar_sight: PolarSight = "as `care` draws it";
            /// How much the axis's elevated end stands too high, in either hemisphere (equatorial).
            polar_altitude_error: Angle = "drawn from `care`", in "-45 deg" to "45 deg";
            /// How much its elevated end stands too far east (equatorial).
            polar_azimuth_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// Lean of the base's vertical axis to the north; adds to the polar errors.
            lean_north: Angle = "drawn from `care`", in "-20 deg" to "20 deg";
            /// Lean of the base's vertical axis to the east; adds to the polar errors.
            lean_east: Angle = "drawn from `care`", in "-20 deg" to "20 deg";
            /// True hour axis angle minus dial (equatorial).
            home_hour_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True declination axis angle minus dial (equatorial).
            home_declination_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True azimuth axis angle minus dial (alt-azimuth).
            home_azimuth_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True altitude axis angle minus dial (alt-azimuth).
            home_altitude_error: Angle = "drawn from `care`", in "-90 deg" to "90 deg";
            /// Where the finder points from the tube, across and up.
            finder_offset: [Angle; 2] = "drawn from `care`", in "-10 deg" to "10 deg";
            /// Distance of the mark on which the finder was set by day.
            finder_mark: Length = "drawn from `care`", in "5 m" to "100 km";
            /// What the tripod stands on, as how far it settles in the first hour.
            settling: Angle = "drawn for the grade", in "0 arcmin" to "2 deg";
        }
        nested {
            /// What was typed into the mount.
            entered: Entered = "the truth";
        }
    }
}

section! {
    /// What was typed into the mount.
    #[derive(Default)]
    pub struct Entered {
        required {}
        optional {
            /// How much the mount's clock is fast.
            clock_error: Span = "0 s", in "-48 h" to "48 h";
            /// Error of the zone typed in.
            zone_error: Span = "0 h", in "-26 h" to "26 h";
            /// Whether an hour of daylight saving was added by mistake.
            daylight_saving_wrong: bool = "false";
            /// Latitude typed in.
            latitude: Angle = "the truth", in "-90 deg" to "90 deg";
            /// Longitude typed in.
            longitude: Angle = "the truth", in "-180 deg" to "360 deg";
            /// Height typed in.
            height: Length = "the truth", in "-500 m" to "9000 m";
            /// Pressure typed in.
            pressure: Pressure = "the truth", in "0 hPa" to "1200 hPa";
            /// Temperature typed in.
            temperature: Temperature = "the truth", in "-90 degC" to "60 degC";
            /// Humidity typed in, a bare number from 0 to 1.
            humidity: f64 = "the truth", in "0" to "1";
            /// UT1 − UTC as the mount has it.
            ut1_minus_utc: Span = "the truth", in "-1 s" to "1 s";
        }
        nested {}
    }
}

words! {
    /// The direction in which the tube last moves when something is centred; the second word is the second axis's.
    pub enum Approach, "a final approach" {
        /// Whichever comes.
        None = "none",
        /// To the west, then to the north (equatorial).
        WestNorth = "west-north",
        /// To the west, then to the south (equatorial).
        WestSouth = "west-south",
        /// To the east, then to the north (equatorial).
        EastNorth = "east-north",
        /// To the east, then to the south (equatorial).
        EastSouth = "east-south",
        /// To greater azimuth, then up (alt-azimuth).
        RightUp = "right-up",
        /// To greater azimuth, then down (alt-azimuth).
        RightDown = "right-down",
        /// To lesser azimuth, then up (alt-azimuth).
        LeftUp = "left-up",
        /// To lesser azimuth, then down (alt-azimuth).
        LeftDown = "left-down",
    }
}

impl Approach {
    /// Whether it makes sense on an equatorial mount (`true`), on an alt-azimuth mount (`false`), or on both (`None`).
    pub const fn equatorial(self) -> Option<bool> {
        match self {
            Self::None => None,
            Self::WestNorth | Self::WestSouth | Self::EastNorth | Self::EastSouth => Some(true),
            Self::RightUp | Self::RightDown | Self::LeftUp | Self::LeftDown => Some(false),
        }
    }
}

words! {
    /// What the person does when a target isn't in the field.
    pub enum Recovery, "a way to recover" {
        /// Go on to the next target.
        GoOn = "go-on",
        /// Search round the place in a spiral.
        Search = "search",
        /// Sight a bright star near by.
        SightNearby = "sight-nearby",
        /// Replace the nearest sighting by one here.
        ReplaceSighting = "replace-sighting",
        /// Do the whole alignment again.
        StartOver = "start-over",
    }
}

section! {
    /// The person at the eyepiece.
    #[derive(Default)]
    pub struct Observer {
        required {}
        optional {
            /// Error of centring in the finder, one sigma in each direction.
            finder_centring: Angle = "drawn from `care`", in "0 arcsec" to "10 deg";
            /// Error of centring in the eyepiece, one sigma in each direction, as a share of the true field.
            eyepiece_centring: Share = "drawn from `care`", in "0 %" to "50 %";
            /// Direction in which the tube last moves on the sky when a hand centres; `none` to ignore it.
            final_approach: Approach = "none";
            /// How often the hand remembers that.
            approach_kept: Share = "75 %; careful 97 %", in "0 %" to "100 %";
            /// Chance of centring a neighbour instead of the star.
            wrong_star: Share = "0 %", in "0 %" to "100 %";
            /// Chance that a mirrored view is taken for an upright one.
            view_mistaken: Share = "0 %", in "0 %" to "100 %";
            /// Time from seeing to pressing or letting go of a key.
            reaction: Span = "0.3 s", in "0 s" to "10 s";
            /// Shortest press of a key.
            shortest_press: Span = "0.25 s", in "10 ms" to "5 s";
            /// What is done when a target isn't in the field.
            when_missed: Recovery = "go-on";
        }
        nested {}
    }
}

words! {
    /// Which axes track.
    pub enum Tracking, "a way of tracking" {
        /// The hour axis alone.
        OneAxis = "one-axis",
        /// Both, as the model says.
        BothAxesFromModel = "both-axes-from-model",
        /// None.
        Off = "off",
    }
}

words! {
    /// How fast tracking goes.
    pub enum Rate, "a tracking rate" {
        /// With the stars.
        Sidereal = "sidereal",
        /// With the mean Sun.
        Solar = "solar",
        /// With the Moon.
        Lunar = "lunar",
        /// With the stars as refraction shows them on average.
        RefractionAveraged = "refraction-averaged",
        /// At the rate of `custom_rate`.
        Custom = "custom",
    }
}

words! {
    /// Which of its two solutions a German equatorial mount takes.
    pub enum SolutionChoice, "a choice of solution" {
        /// East of the meridian direct, west of it through the pole.
        ByHourAngle = "by-hour-angle",
        /// The one that can track longest.
        LongestTrack = "longest-track",
        /// The one that is reached soonest.
        ShortestSlew = "shortest-slew",
        /// Always direct.
        Direct = "direct",
        /// Always through the pole.
        ThroughPole = "through-pole",
    }
}

section! {
    /// The mount's own settings.
    #[derive(Default)]
    pub struct Controller {
        required {}
        optional {
            /// Direction in which its go-tos end; `none` for the shortest way.
            final_approach: Approach = "none";
            /// How far a go-to overshoots for that.
            approach_overshoot: Angle = "1.5 × the play believed", in "0 arcsec" to "10 deg";
            /// Which axes track.
            tracking: Tracking = "one-axis; alt-azimuth: both";
            /// How fast tracking goes.
            tracking_rate: Rate = "sidereal";
            /// Rate of the hour axis for `tracking_rate = "custom"`.
            custom_rate: AngularRate = "none", in "-10 deg/s" to "10 deg/s";
            /// Which of its two solutions a German equatorial mount takes.
            solution_choice: SolutionChoice = "by-hour-angle";
            /// Whether its sky has refraction.
            refraction: bool = "true";
        }
        nested {
            /// Motor motion that is added when an axis reverses, to take the play up.
            take_up: TakeUp = "none";
        }
    }
}

section! {
    /// Motor motion that is added when an axis reverses.
    #[derive(Default)]
    pub struct TakeUp {
        required {}
        optional {
            /// Of the hour axis (equatorial).
            hour_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the declination axis (equatorial).
            declination_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the azimuth axis (alt-azimuth).
            azimuth_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the altitude axis (alt-azimuth).
            altitude_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
        }
        nested {}
    }
}

words! {
    /// How the mount learns where it points.
    pub enum Method, "an alignment method" {
        /// It trusts its home position and what was typed in.
        None = "none",
        /// One star gives the zero offsets.
        OneStar = "one-star",
        /// Two stars give the rotation.
        TwoStar = "two-star",
        /// Three stars or more give the full model.
        ManyStar = "many-star",
        /// The Moon or a planet, in twilight.
        MoonOrPlanet = "moon-or-planet",
        /// The model of the night before, the mount not having been moved.
        Resume = "resume",
    }
}

impl Method {
    /// How many sightings the method itself needs at least.
    pub const fn sightings(self) -> usize {
        match self {
            Self::None | Self::Resume => 0,
            Self::OneStar | Self::MoonOrPlanet => 1,
            Self::TwoStar => 2,
            Self::ManyStar => 3,
        }
    }
}

words! {
    /// What is made of the sightings.
    pub enum Estimator, "an estimator" {
        /// A rotation of the base alone.
        Rotation = "rotation",
        /// The full model of the mount's errors.
        FullModel = "full-model",
    }
}

words! {
    /// How the polar axis is adjusted before the night's targets.
    pub enum PolarAdjust, "a way to adjust the polar axis" {
        /// Not at all.
        None = "none",
        /// A star is centred with the altitude and azimuth bolts where it would stand if the axis were right.
        StarOffset = "star-offset",
        /// By the drift of two stars.
        Drift = "drift",
    }
}

words! {
    /// Which earlier sighting a later one replaces.
    pub enum Replaced, "a sighting to be replaced" {
        /// None: it is added.
        None = "none",
        /// The one nearest on the sky.
        Nearest = "nearest",
        /// The oldest.
        Oldest = "oldest",
    }
}

section! {
    /// How the mount learns where it points.
    #[derive(Default)]
    pub struct Alignment {
        required {}
        optional {
            /// The method.
            method: Method = "none";
            /// Which stars: the mount's proposals, or a list of names.
            stars: Stars = "auto";
            /// Further sightings after the method's own.
            refine: u64 = "0", in "0" to "100";
            /// What is made of the sightings.
            estimator: Estimator = "rotation with two stars, else full-model";
            /// How the polar axis is adjusted (equatorial).
            polar_adjust: PolarAdjust = "none";
        }
        nested {
            /// Sightings added or replaced during the night.
            later: Vec<Later> = "none";
        }
    }
}

section! {
    /// A sighting during the night.
    pub struct Later {
        required {
            /// The first such time of day at or after the begin, in the begin's offset.
            at: TimeOfDay;
            /// What is sighted.
            target: TargetName;
        }
        optional {
            /// Which earlier sighting it replaces.
            replaces: Replaced = "none";
        }
        nested {}
    }
}

words! {
    /// How a target is reached.
    pub enum Via, "a way to a target" {
        /// Straight.
        None = "none",
        /// A bright star near by is centred first, then a hop.
        NearestBright = "nearest-bright",
    }
}

section! {
    /// A target of the night: by name, by right ascension and declination, or by azimuth and altitude.
    #[derive(Default)]
    pub struct Observation {
        required {}
        optional {
            /// Its name: a star, a deep-sky object, the Moon, a planet.
            target: TargetName = "none";
            /// Right ascension, with `dec`, instead of a name (ICRS, J2000.0).
            ra: Angle = "none", in "0 h" to "24 h";
            /// Declination, with `ra`.
            dec: Angle = "none", in "-90 deg" to "90 deg";
            /// Azimuth, north through east, with `altitude`, instead of a name.
            azimuth: Angle = "none", in "0 deg" to "360 deg";
            /// Altitude as seen, refraction in, with `azimuth`.
            altitude: Angle = "none", in "-5 deg" to "90 deg";
            /// What a target without a catalogue name is called in results.
            name: String = "its place";
            /// Which eyepiece, by its name.
            eyepiece: String = "the first";
            /// How long it is watched.
            dwell: Span = "0 s: one look", in "0 s" to "48 h";
            /// How it is reached.
            via: Via = "none";
            /// Tracking rate while it is watched.
            tracking_rate: Rate = "the controller's";
            /// How many people look, one after the other.
            visitors: u64 = "0", in "0" to "100000";
            /// How long each of them looks.
            per_visitor: Span = "45 s", in "1 s" to "1 h";
        }
        nested {}
    }
}

/// Where an observation aims.
#[derive(Clone, Debug, PartialEq)]
pub enum Aim<'p> {
    /// At something that the catalogue has.
    Named(&'p TargetName),
    /// At a place among the stars.
    Equatorial {
        /// Right ascension.
        ra: Angle,
        /// Declination.
        dec: Angle,
    },
    /// At a direction over the site.
    Horizontal {
        /// North through east.
        azimuth: Angle,
        /// Refraction in.
        altitude: Angle,
    },
}

impl Observation {
    /// Where it aims; `None` unless it has exactly one of the three forms (a plan that was read always has).
    pub fn aim(&self) -> Option<Aim<'_>> {
        match (&self.target, self.ra, self.dec, self.azimuth, self.altitude) {
            (Some(name), None, None, None, None) => Some(Aim::Named(name)),
            (None, Some(ra), Some(dec), None, None) => Some(Aim::Equatorial { ra, dec }),
            (None, None, None, Some(azimuth), Some(altitude)) => Some(Aim::Horizontal { azimuth, altitude }),
            _ => None,
        }
    }

    /// What it is called in results.
    pub fn title(&self) -> String {
        match (&self.name, self.aim()) {
            (Some(name), _) => name.clone(),
            (None, Some(Aim::Named(name))) => name.0.clone(),
            (None, Some(Aim::Equatorial { ra, dec })) => {
                format!("{} {}", ra.as_hours_text(0), dec.as_degrees_text(0))
            }
            (None, Some(Aim::Horizontal { azimuth, altitude })) => {
                format!("azimuth {:.1} deg, altitude {:.1} deg", azimuth.degrees(), altitude.degrees())
            }
            (None, None) => "nothing".to_owned(),
        }
    }
}
