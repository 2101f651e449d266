//! What goes wrong during the night, and what must hold at its end.

use crate::plan::AxisName;
use crate::value::{section, words};
use crate::values::{Comparison, Count, TimeOfDay};
use units::{Angle, AngularRate, Share, Span, Speed, Temperature};

words! {
    /// What goes wrong.
    pub enum DisturbanceKind, "a disturbance" {
        /// Something moves axes, base or both for good.
        Knock = "knock",
        /// A touch that springs back.
        Bump = "bump",
        /// A foot against the tripod: the base moves for good.
        TripodKick = "tripod-kick",
        /// A clutch slips: the axis moves, its dial doesn't.
        ClutchSlip = "clutch-slip",
        /// The tripod sinks in.
        Settle = "settle",
        /// Wind with its gusts.
        Wind = "wind",
        /// The supply fails for a moment.
        BrownOut = "brown-out",
        /// A motor stalls.
        Stall = "stall",
        /// The mount's clock jumps.
        ClockJump = "clock-jump",
        /// The air grows colder or warmer.
        Temperature = "temperature",
        /// A cloud hides a part of the sky.
        Cloud = "cloud",
        /// Bytes are lost.
        LostBytes = "lost-bytes",
        /// Bytes come twice.
        DoubledBytes = "doubled-bytes",
        /// One bit of a byte is flipped, whichever is drawn.
        FlippedBits = "flipped-bits",
        /// Bytes are replaced by any others, eight in a row if no burst is given.
        GarbledBytes = "garbled-bytes",
        /// A byte that nobody sent comes before another.
        AddedBytes = "added-bytes",
        /// Lines come late, in order: by `delay` (1 s), and up to `jitter` (0 s) more or less.
        LateBytes = "late-bytes",
        /// A byte changes places with the one after it.
        SwappedBytes = "swapped-bytes",
        /// A byte comes `bytes` (3) times.
        Stutter = "stutter",
        /// The top bit of a byte is lost; text in ASCII has none to lose.
        SevenBits = "seven-bits",
        /// A zero byte comes before another.
        ZeroBytes = "zero-bytes",
        /// A line end comes in the middle of a line.
        SplitLine = "split-line",
        /// The end of a line is lost, so that it runs into the next one.
        MergedLines = "merged-lines",
        /// A line is cut short, after `bytes` or wherever is drawn; its end stays.
        CutLine = "cut-line",
        /// Replies are lost; with direction `received`, requests.
        LostReply = "lost-reply",
        /// Replies come twice; with direction `received`, requests.
        DoubledReply = "doubled-reply",
        /// Replies come late by `delay` (3 s), and others overtake them; with direction `received`, requests.
        LateReply = "late-reply",
        /// A line ends otherwise: with CR, with LF and CR, or with CR and LF.
        WrongEnding = "wrong-ending",
        /// The connection is closed; so is every new one until the fault is over.
        HangUp = "hang-up",
        /// The connection stays, and carries nothing.
        HalfOpen = "half-open",
        /// What one end sends comes back to it.
        Echo = "echo",
        /// One end takes the line for one of `baud` (4800) instead of 9600.
        WrongSpeed = "wrong-speed",
        /// The line carries no more than `baud` (300), ten bits a byte.
        SlowLine = "slow-line",
        /// The line stands still for `delay` (5 s), as after a stop character; then everything comes at once.
        HeldBack = "held-back",
        /// The receiver has room for `bytes` (32) and takes them at `baud` (9600); what finds no room is lost.
        Overrun = "overrun",
        /// A second program has the line open: it takes half of what the mount says, and asks things of its own.
        SecondReader = "second-reader",
        /// The computer's watchdog starts it anew, which takes `lasts` (3 s); what is in memory is lost.
        SelfRestart = "self-restart",
        /// For `lasts` (30 s) everything that would move or change anything is refused as busy; stop and questions are answered.
        StuckBusy = "stuck-busy",
        /// The log of errors runs over, and every entry is told as an event: 32 if no burst is given.
        ErrorFlood = "error-flood",
        /// The computer does nothing for `lasts` (5 s); then it answers what came in meanwhile, as far as 512 bytes of it.
        Freeze = "freeze",
        /// Site, clock and all settings are again as they were when it was switched on.
        OldSettings = "old-settings",
        /// The motor of an axis loses steps: the axis stays behind by `angle` (5 arcmin), and the dial doesn't know.
        LostSteps = "lost-steps",
        /// The count of an axis jumps by `angle` (5 arcmin) while nothing moves.
        CountSlip = "count-slip",
        /// The limit switch of an axis bounces where there is no limit: three times if no burst is given.
        LimitBounce = "limit-bounce",
    }
}

words! {
    /// Which way on the wire, as the mount sees it.
    pub enum WireWay, "a direction" {
        /// What the client sends.
        Received = "received",
        /// What the mount sends.
        Sent = "sent",
        /// Both, each by itself.
        Both = "both",
    }
}

section! {
    /// Something that goes wrong.
    pub struct Disturbance {
        required {
            /// The first such time of day at or after the begin, in the begin's offset.
            at: TimeOfDay;
            /// What goes wrong; it decides which other keys have a meaning.
            kind: DisturbanceKind;
        }
        optional {
            /// How long it lasts.
            lasts: Span = "to the end; brown-out 1 s, stall 2 s, self-restart 3 s, freeze 5 s, stuck-busy 30 s", in "1 ms" to "48 h";
            /// Which axis it befalls.
            axis: AxisName = "none";
            /// How far the hour axis moves (equatorial).
            hour_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the declination axis moves (equatorial).
            declination_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the azimuth axis moves (alt-azimuth).
            azimuth_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the altitude axis moves (alt-azimuth).
            altitude_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the polar axis's elevated end rises (equatorial).
            polar_altitude: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the polar axis's elevated end goes east (equatorial).
            polar_azimuth: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the base leans further to the north.
            lean_north: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the base leans further to the east.
            lean_east: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the tripod sinks in the end.
            size: Angle = "none", in "0 arcsec" to "5 deg";
            /// Time in which 63 % of that has happened.
            time_constant: Span = "30 min", in "1 s" to "48 h";
            /// Mean speed of the wind.
            speed: Speed = "none", in "0 m/s" to "40 m/s";
            /// Standard deviation of the wind's speed, as a share of the mean.
            gusts: Share = "17 %", in "0 %" to "100 %";
            /// Azimuth from which the wind blows.
            from: Angle = "270 deg", in "0 deg" to "360 deg";
            /// How far the mount's clock jumps forward.
            by: Span = "none", in "-48 h" to "48 h";
            /// Temperature that the air reaches.
            temperature: Temperature = "none", in "-90 degC" to "60 degC";
            /// Azimuth at which the cloud begins.
            azimuth_from: Angle = "0 deg", in "0 deg" to "360 deg";
            /// Azimuth, going clockwise, at which the cloud ends.
            azimuth_to: Angle = "360 deg", in "0 deg" to "360 deg";
            /// How late something comes.
            delay: Span = "late-bytes 1 s, late-reply 3 s, held-back 5 s", in "1 ms" to "1 h";
            /// How much later or earlier still, at most.
            jitter: Span = "0 s", in "0 s" to "1 h";
            /// How often a byte or a line is struck.
            chance: Share = "100 %; second-reader 50 %", in "0 %" to "100 %";
            /// Strikes each byte or line whose number is a multiple of this, in place of a chance.
            every: u64 = "none", in "1" to "1000000000";
            /// Strikes the byte or line of this number alone, in place of a chance.
            nth: u64 = "none", in "1" to "1000000000";
            /// Strikes lines in which this text stands, whatever its case, in place of a chance.
            line: String = "none";
            /// How much alike successive draws of a chance are; the chance stays as it is.
            correlation: Share = "0 %", in "0 %" to "100 %";
            /// How many bytes, lines or blows in a row.
            burst: u64 = "1; garbled-bytes 8, error-flood 32, limit-bounce 3", in "1" to "100000";
            /// Which way on the wire, as the mount sees it.
            direction: WireWay = "both; replies: sent; echo: received";
            /// Which stream of draws it has: disturbances with different numbers draw independently.
            stream: u64 = "the table's place", in "0" to "4294967295";
            /// How many bytes are kept, repeated or have room.
            bytes: u64 = "stutter 3, overrun 32, cut-line any", in "1" to "100000";
            /// A speed of the line, bits per second.
            baud: u64 = "wrong-speed 4800, slow-line 300, overrun 9600", in "1" to "10000000";
            /// How far an axis, or its count, is off.
            angle: Angle = "5 arcmin", in "-90 deg" to "90 deg";
        }
        nested {}
    }
}

const AXES: &[&str] = &["hour_axis", "declination_axis", "azimuth_axis", "altitude_axis"];
const BASE: &[&str] = &["polar_altitude", "polar_azimuth", "lean_north", "lean_east"];
const AXES_AND_BASE: &[&str] = &[
    "hour_axis",
    "declination_axis",
    "azimuth_axis",
    "altitude_axis",
    "polar_altitude",
    "polar_azimuth",
    "lean_north",
    "lean_east",
];

/// A list of keys with those between that say which bytes, lines or moments are struck.
macro_rules! with_choice {
    ([$($before:literal),*], [$($after:literal),*]) => {
        &[$($before,)* "chance", "every", "nth", "line", "correlation", "burst", "stream", $($after),*]
    };
}

const CHOICE: &[&str] = with_choice!([], []);
const LASTS_CHOICE: &[&str] = with_choice!(["lasts"], []);
const ANGLE_CHOICE: &[&str] = with_choice!(["angle"], []);

/// Makes the lists of keys of faults of the wire, which have some in common.
macro_rules! wire {
    ($($name:ident = [$($own:literal),*];)+) => {
        $(const $name: &[&str] = with_choice!(["direction", "lasts"], [$($own),*]);)+
    };
}

wire! {
    WIRE = [];
    WIRE_DELAY_JITTER = ["delay", "jitter"];
    WIRE_BYTES = ["bytes"];
    WIRE_DELAY = ["delay"];
    WIRE_BAUD = ["baud"];
    WIRE_BYTES_BAUD = ["bytes", "baud"];
}

/// Which keys, beside `at` and `kind`, a disturbance has.
pub(crate) struct KeysOf {
    /// At least one of these must be there.
    pub needed: &'static [&'static str],
    /// These may be there too.
    pub allowed: &'static [&'static str],
}

impl DisturbanceKind {
    pub(crate) const fn keys(self) -> KeysOf {
        match self {
            Self::Knock => KeysOf { needed: AXES_AND_BASE, allowed: &[] },
            Self::Bump | Self::ClutchSlip => KeysOf { needed: AXES, allowed: &[] },
            Self::TripodKick => KeysOf { needed: BASE, allowed: &[] },
            Self::Settle => KeysOf { needed: &["size"], allowed: &["time_constant"] },
            Self::Wind => KeysOf { needed: &["speed"], allowed: &["gusts", "from", "lasts"] },
            Self::BrownOut | Self::SelfRestart | Self::StuckBusy | Self::Freeze => {
                KeysOf { needed: &[], allowed: LASTS_CHOICE }
            }
            Self::ErrorFlood | Self::OldSettings => KeysOf { needed: &[], allowed: CHOICE },
            Self::Stall => KeysOf { needed: &["axis"], allowed: LASTS_CHOICE },
            Self::LostSteps | Self::CountSlip => KeysOf { needed: &["axis"], allowed: ANGLE_CHOICE },
            Self::LimitBounce => KeysOf { needed: &["axis"], allowed: CHOICE },
            Self::ClockJump => KeysOf { needed: &["by"], allowed: CHOICE },
            Self::Temperature => KeysOf { needed: &["temperature"], allowed: &["lasts"] },
            Self::Cloud => KeysOf { needed: &["lasts"], allowed: &["azimuth_from", "azimuth_to"] },
            Self::LostBytes
            | Self::DoubledBytes
            | Self::FlippedBits
            | Self::GarbledBytes
            | Self::AddedBytes
            | Self::SwappedBytes
            | Self::SevenBits
            | Self::ZeroBytes
            | Self::SplitLine
            | Self::MergedLines
            | Self::LostReply
            | Self::DoubledReply
            | Self::WrongEnding
            | Self::HangUp
            | Self::HalfOpen
            | Self::Echo
            | Self::SecondReader => KeysOf { needed: &[], allowed: WIRE },
            Self::LateBytes => KeysOf { needed: &[], allowed: WIRE_DELAY_JITTER },
            Self::Stutter | Self::CutLine => KeysOf { needed: &[], allowed: WIRE_BYTES },
            Self::LateReply | Self::HeldBack => KeysOf { needed: &[], allowed: WIRE_DELAY },
            Self::WrongSpeed | Self::SlowLine => KeysOf { needed: &[], allowed: WIRE_BAUD },
            Self::Overrun => KeysOf { needed: &[], allowed: WIRE_BYTES_BAUD },
        }
    }
}

section! {
    /// What must hold at the end of the night: a sign (`>=`, `<=`, `>`, `<`) and a bound.
    #[derive(Default)]
    pub struct Expect {
        required {}
        optional {
            /// Number of targets.
            targets: Comparison<Count> = "anything";
            /// Share of targets in the field at the first look.
            in_field: Comparison<Share> = "anything", in "0 %" to "100 %";
            /// Number of visitors who saw something.
            visitors_served: Comparison<Count> = "anything";
            /// Median miss.
            miss_median: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Miss that 68 % of targets stay below.
            miss_p68: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Miss that 95 % of targets stay below.
            miss_p95: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Root of the mean square of the misses.
            miss_rms: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Root of the mean square of the tracking error, over all dwells.
            tracking_rms: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Largest peak-to-peak tracking error of a dwell.
            tracking_peak_to_peak: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Median drift over the dwells.
            drift_median: Comparison<AngularRate> = "anything", in "0 arcsec/min" to "360 deg/s";
            /// Time that the alignment took, with the polar axis and with what a star told of the gears.
            alignment_time: Comparison<Span> = "anything", in "0 s" to "48 h";
            /// Trial: share of the night's targets that the program reached.
            targets_reached: Comparison<Share> = "anything", in "0 %" to "100 %";
            /// Trial: number of lines that the mount refused.
            refusals: Comparison<Count> = "anything";
            /// Trial: number of refusals that the program took no notice of, for it sent the same line again at once.
            refusals_ignored: Comparison<Count> = "anything";
            /// Trial: share of arrivals at which the play of both axes was taken up in the sense in which they go on.
            play_taken_up: Comparison<Share> = "anything", in "0 %" to "100 %";
            /// Trial: longest time from a fault until the program has had a good answer to a new request.
            recovery_time: Comparison<Span> = "anything", in "0 s" to "48 h";
            /// Trial: how far an axis was moved at most after a stop, by orders that nobody gave since.
            motion_after_stop: Comparison<Angle> = "anything", in "0 arcsec" to "360 deg";
            /// Trial: how often the mount came to the end of what it may do.
            limits_met: Comparison<Count> = "anything";
            /// Trial: least distance from the Sun, while it was up, at which the tube pointed.
            sun_distance: Comparison<Angle> = "anything", in "0 deg" to "180 deg";
            /// Trial: most lines in a minute in which nothing was under way.
            idle_lines: Comparison<Count> = "anything";
        }
        nested {}
    }
}
