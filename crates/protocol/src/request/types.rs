//! What requests are made of.

use crate::reply::EventKind;
use crate::words::words;
use units::{Angle, AngularRate, Length, Pressure, Share, Span, Temperature};

/// What of the site is told; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SiteEntry {
    /// North positive.
    pub latitude: Option<Angle>,
    /// East positive.
    pub longitude: Option<Angle>,
    /// Above the ellipsoid.
    pub height: Option<Length>,
    /// Of the air at the site; zero leaves refraction out.
    pub pressure: Option<Pressure>,
    /// Of the air.
    pub temperature: Option<Temperature>,
    /// Relative, 0 to 1.
    pub humidity: Option<Share>,
}

/// A civil time in UTC as it stands in a line; whether it exists is for the reader's calendar to say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CivilTime {
    /// 1972 to 2100.
    pub year: i32,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
    /// 0 to 23.
    pub hour: u8,
    /// 0 to 59.
    pub minute: u8,
    /// 0 to 60: a leap second has its name.
    pub second: u8,
    /// 0 to 999 999 999.
    pub nanosecond: u32,
}

/// A tracking rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rate {
    /// No tracking.
    Off,
    /// With the stars.
    Sidereal,
    /// With the mean Sun: a turn in 24 hours.
    Solar,
    /// With the Moon as seen from the site, both axes.
    Lunar,
    /// A turn in 1436.46 minutes: with the stars as refraction lets them move on the average.
    RefractionAveraged,
    /// Rates of one's own.
    Custom {
        /// Of the hour axis, westward.
        hour: AngularRate,
        /// On the sky, northward.
        declination: AngularRate,
    },
}

impl Rate {
    /// The words of all rates.
    pub const WORDS: &'static [&'static str] =
        &["off", "sidereal", "solar", "lunar", "refraction-averaged", "custom"];

    /// Its word on the wire.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::Sidereal => "sidereal",
            Self::Solar => "solar",
            Self::Lunar => "lunar",
            Self::RefractionAveraged => "refraction-averaged",
            Self::Custom { .. } => "custom",
        }
    }
}

words! {
    /// Which axes tracking turns.
    TrackAxes {
        /// The hour axis alone, at a steady rate, as a clockwork does; the Moon's rate and a rate in declination turn both.
        One = "one",
        /// Both, so that the dials follow the model of the mount and the refracted place of what is tracked.
        Both = "both",
    }
}

/// `track …`; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TrackEntry {
    /// The rate.
    pub rate: Option<Rate>,
    /// The axes.
    pub axes: Option<TrackAxes>,
}

/// Where a go-to goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Aim {
    /// Something of the catalogues.
    Name(String),
    /// A place in the sky.
    Equatorial {
        /// Right ascension, International Celestial Reference System.
        ra: Angle,
        /// Declination.
        dec: Angle,
    },
    /// A direction over the ground, as observed.
    Horizontal {
        /// From north through east.
        azimuth: Angle,
        /// Above the level horizon.
        altitude: Angle,
    },
    /// Dials of an equatorial mount.
    EquatorialAxes {
        /// Hour axis.
        hour: Angle,
        /// Declination axis.
        declination: Angle,
    },
    /// Dials of an alt-azimuth mount.
    HorizontalAxes {
        /// Azimuth axis.
        azimuth: Angle,
        /// Altitude axis.
        altitude: Angle,
    },
}

/// What a sighting says that the tube points at.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Something of the catalogues.
    Name(String),
    /// A place in the sky.
    Equatorial {
        /// Right ascension, International Celestial Reference System.
        ra: Angle,
        /// Declination.
        dec: Angle,
    },
}

words! {
    /// Which alignment outlasts a loss of power.
    KeptAlignment {
        /// What is believed now, whatever comes later.
        This = "this",
        /// Each complete one, until the next.
        Latest = "latest",
        /// None, until the next complete one.
        None = "none",
    }
}

words! {
    /// Which of the two positions of a German equatorial mount is wanted.
    Side {
        /// The mount's rule decides.
        Auto = "auto",
        /// The direct one.
        Direct = "direct",
        /// The one through the pole.
        ThroughPole = "through-pole",
    }
}

words! {
    /// The rule by which a German equatorial mount chooses its position.
    SolutionChoice {
        /// Direct east of the meridian, else through the pole.
        ByHourAngle = "by-hour-angle",
        /// The one that can be tracked the longest.
        LongestTrack = "longest-track",
        /// The one that is reached the soonest.
        ShortestSlew = "shortest-slew",
        /// Always the direct one.
        Direct = "direct",
        /// Always the one through the pole.
        ThroughPole = "through-pole",
    }
}

words! {
    /// What to do where tracking reaches the end of the hour axis's range.
    MeridianPolicy {
        /// Rest there.
        Stop = "stop",
        /// Say so at the meridian, and rest at the end of the range.
        Warn = "warn",
        /// Go to the other position and track on.
        Flip = "flip",
    }
}

words! {
    /// Which part of the status is asked for.
    StatusGroup {
        /// What it does, dials, clock.
        Motion = "motion",
        /// Where it believes to point.
        Pointing = "pointing",
    }
}

words! {
    /// Which way the tube moves: on the sky, or over the ground.
    Direction {
        /// Towards the north celestial pole.
        North = "north",
        /// Away from it.
        South = "south",
        /// Against the turning of the sky.
        East = "east",
        /// With the turning of the sky.
        West = "west",
        /// Altitude grows.
        Up = "up",
        /// Altitude falls.
        Down = "down",
        /// Azimuth falls.
        Left = "left",
        /// Azimuth grows.
        Right = "right",
    }
}

words! {
    /// How fast a nudge is, in sidereal rates.
    NudgeRate {
        /// Half.
        Half = "0.5x",
        /// Twice.
        Two = "2x",
        /// Twenty times.
        Twenty = "20x",
        /// A hundred times.
        Hundred = "100x",
        /// As fast as the drives go.
        Full = "full",
    }
}

/// How long a nudge lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NudgeEnd {
    /// So long.
    For(Span),
    /// Until released, but never longer than this (or the usual dead-man time) after the last repeat.
    Held(Option<Span>),
}

words! {
    /// In which direction the tube last moves on the sky at the end of a go-to; over the ground for an alt-azimuth mount,
    /// west meaning growing azimuth and north growing altitude.
    FinalApproach {
        /// West and north.
        WestNorth = "west-north",
        /// West and south.
        WestSouth = "west-south",
        /// East and north.
        EastNorth = "east-north",
        /// East and south.
        EastSouth = "east-south",
        /// As it comes.
        None = "none",
    }
}

/// `approach …`; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ApproachEntry {
    /// The direction.
    pub last: Option<FinalApproach>,
    /// How far beyond the target an axis goes before it comes back.
    pub overshoot: Option<Angle>,
}

/// An angle for each axis, by the names of the axes of either kind of mount; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AxisEntry {
    /// Hour axis.
    pub hour: Option<Angle>,
    /// Declination axis.
    pub declination: Option<Angle>,
    /// Azimuth axis.
    pub azimuth: Option<Angle>,
    /// Altitude axis.
    pub altitude: Option<Angle>,
}

/// `meridian …`; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeridianEntry {
    /// What to do there.
    pub policy: Option<MeridianPolicy>,
    /// How far past the meridian the hour axis may turn.
    pub over_run: Option<Angle>,
}

/// `limits …`; what is `None` stays as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LimitsEntry {
    /// The lowest altitude.
    pub lowest: Option<Angle>,
    /// The highest altitude.
    pub highest: Option<Angle>,
    /// How far the azimuth axis may turn either way from home.
    pub cable_wrap: Option<Angle>,
    /// Radius round the zenith that an alt-azimuth mount keeps out of.
    pub zenith_zone: Option<Angle>,
}

words! {
    /// What to do about the controls.
    ControlsAction {
        /// Hold them for this connection.
        Take = "take",
        /// Let go of them.
        Release = "release",
    }
}

/// `events …`
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct EventsEntry {
    /// Of one kind; of all if left out.
    pub kind: Option<EventKind>,
    /// Whether to send them; only asked if left out.
    pub show: Option<bool>,
}

/// `errors …`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorsEntry {
    /// The newest entry, or the one with this number.
    Show(Option<u64>),
    /// Empty the log.
    Clear,
}

words! {
    /// How the mount is to learn where it points.
    AlignMethod {
        /// It trusts its home position and what was typed in.
        None = "none",
        /// One star gives the zeros of both dials.
        OneStar = "one-star",
        /// Two stars give a rotation.
        TwoStar = "two-star",
        /// Three stars or more give the full model.
        ManyStar = "many-star",
        /// The Moon or a planet gives the zeros of both dials while no star shows.
        MoonOrPlanet = "moon-or-planet",
        /// The alignment from before the last power-off holds on.
        Resume = "resume",
    }
}

words! {
    /// What is made of the sightings.
    Estimator {
        /// A rotation of the base alone.
        Rotation = "rotation",
        /// The full model of the mount's geometry.
        FullModel = "full-model",
    }
}

words! {
    /// Which earlier sighting a new one replaces.
    Replaced {
        /// None: it is added.
        None = "none",
        /// The one nearest on the sky.
        Nearest = "nearest",
        /// The oldest.
        Oldest = "oldest",
    }
}

words! {
    /// What a proposed star is to serve.
    Purpose {
        /// The next sighting.
        Sighting = "sighting",
        /// Centring with the altitude and azimuth bolts.
        Bolts = "bolts",
        /// Watching its drift, which tells how far east the axis points.
        MeridianDrift = "meridian-drift",
        /// Watching its drift, which tells how high the axis points.
        SideDrift = "side-drift",
    }
}

words! {
    /// What a knock has moved.
    MovedPart {
        /// The first axis slipped against its dial.
        FirstAxis = "first-axis",
        /// The second axis slipped against its dial.
        SecondAxis = "second-axis",
        /// The whole base turned.
        Base = "base",
    }
}

words! {
    /// By what the next star is chosen.
    RankedBy {
        /// The mean of the expected misses over the sky.
        Average = "average",
        /// The largest of them.
        Worst = "worst",
    }
}

/// What `next-star` asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RankEntry {
    /// Place in the ranking, from 1.
    pub entry: u64,
    /// By what is ranked.
    pub by: RankedBy,
}

words! {
    /// The one word of a key that only needs to be there.
    Yes {
        /// It is wanted.
        Yes = "yes",
    }
}

words! {
    /// Which of two centrings of one star, from opposite sides, play is measured by.
    Centring {
        /// The one that is remembered.
        First = "first",
        /// The one that is held against it.
        Second = "second",
    }
}

/// What `measure-play` tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayEntry {
    /// The star.
    pub name: String,
    /// Which of the two centrings this is.
    pub centring: Centring,
    /// Whether the take-up is set to what was measured.
    pub set: bool,
}

/// What `align` tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AlignEntry {
    /// The method to begin with; without it nothing begins.
    pub method: Option<AlignMethod>,
    /// What is made of the sightings.
    pub estimator: Option<Estimator>,
}

/// What `sight` tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SightEntry {
    /// The star.
    pub name: String,
    /// Which earlier sighting goes.
    pub replaces: Replaced,
    /// Whether it is taken although it disagrees.
    pub anyway: bool,
}
