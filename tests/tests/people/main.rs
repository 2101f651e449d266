//! Nights of people: what they set up, sight, show and find again, with outcomes that were worked out by hand.

mod drifting;
mod medians;
mod nights;
