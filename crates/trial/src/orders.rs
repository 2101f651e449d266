//! Faults for a trial, as they are named on a command line.

use faults::{Choice, Kind, Order, OrderError};
use units::{Instant, Span};

/// Reads a fault such as `lost-reply chance=20% after=10s lasts=5min`; a value with blanks stands in double quotes.
///
/// # Errors
/// A kind, a key or a value that isn't there.
pub fn read_order(text: &str, begin: Instant, number: u64) -> Result<Order, OrderError> {
    let (kind, rest) = text.trim().split_once(char::is_whitespace).unwrap_or((text.trim(), ""));
    let mut pairs = Vec::new();
    let mut rest = rest.trim_start();
    while !rest.is_empty() {
        let (key, after) = rest.split_once('=').unwrap_or((rest, ""));
        let (value, after) = match after.strip_prefix('"') {
            Some(quoted) => quoted.split_once('"').unwrap_or((quoted, "")),
            None => after.split_once(char::is_whitespace).unwrap_or((after, "")),
        };
        pairs.push((key.trim(), value));
        rest = after.trim_start();
    }
    Order::read(kind, pairs, begin, number)
}

/// The streams of a scenario's own tables have lower numbers than those of faults that a trial adds.
const FIRST_STREAM: u64 = 1000;

/// Reads the faults that are added to a night, all together: the same words on the same night draw the same.
///
/// # Errors
/// As [`read_order`], for the first that is none.
pub fn read_orders(texts: &[String], begin: Instant) -> Result<Vec<Order>, OrderError> {
    (FIRST_STREAM..).zip(texts).map(|(stream, text)| read_order(text, begin, stream)).collect()
}

/// How long after the begin of the night a fault strikes that says nothing else.
const AFTER: Span = Span::from_whole_seconds(20);

/// A fault of each kind as a difficult night has it: seldom enough that a good program gets through.
pub fn usual_order(kind: Kind, begin: Instant, number: u64) -> Order {
    let mut order = Order { stream: number, ..Order::new(kind, begin + AFTER) };
    let lasts = |seconds| Some(begin + AFTER + Span::from_whole_seconds(seconds));
    match kind {
        Kind::LostBytes
        | Kind::DoubledBytes
        | Kind::FlippedBits
        | Kind::AddedBytes
        | Kind::SwappedBytes
        | Kind::Stutter
        | Kind::ZeroBytes => order.choice = Some(Choice::Chance(0.002)),
        Kind::GarbledBytes => order.choice = Some(Choice::Chance(0.0005)),
        Kind::LateBytes
        | Kind::SplitLine
        | Kind::MergedLines
        | Kind::CutLine
        | Kind::LostReply
        | Kind::DoubledReply
        | Kind::LateReply
        | Kind::Overrun
        | Kind::WrongEnding => order.choice = Some(Choice::Chance(0.1)),
        Kind::HalfOpen | Kind::WrongSpeed | Kind::SecondReader => order.until = lasts(15),
        Kind::Echo | Kind::SlowLine => order.until = lasts(60),
        _ => {}
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_of_several_orders_has_a_stream_of_its_own() {
        let texts = ["lost-reply".to_owned(), "stall".to_owned()];
        let orders = read_orders(&texts, Instant::J2000_TAI).expect("good orders");
        assert_eq!(orders.iter().map(|order| order.stream).collect::<Vec<_>>(), [1000, 1001]);
        assert!(read_orders(&["lost-reply".to_owned(), "mist".to_owned()], Instant::J2000_TAI).is_err());
    }

    #[test]
    fn orders_are_read_as_they_are_typed() {
        let begin = Instant::J2000_TAI;
        let order = read_order("lost-reply chance=20% after=10s lasts=5min", begin, 3).expect("a good order");
        assert_eq!((order.kind, order.choice), (Kind::LostReply, Some(Choice::Chance(0.2))));
        assert_eq!(order.until, Some(begin + Span::from_whole_seconds(310)));
        let order = read_order("lost-reply line=\"goto name\" burst=2", begin, 3).expect("a good order");
        assert_eq!((order.choice, order.burst), (Some(Choice::Line("goto name".to_owned())), 2));
        assert!(read_order("lost-reply chance", begin, 3).is_err());
        assert!(read_order("", begin, 3).is_err());
        assert!(Kind::ALL.iter().all(|kind| usual_order(*kind, begin, 0).can_strike()));
    }
}
