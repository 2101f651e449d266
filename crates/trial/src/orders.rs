//! Faults for a trial, as they are named on a command line.

use faults::{Kind, Order, OrderError};
use units::Instant;

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

/// A fault of each kind as a difficult night has it, in the words of a command line: from twenty seconds after the begin on, and
/// seldom enough that a good program gets through.
pub fn usual_fault(kind: Kind) -> String {
    let how_often = match kind {
        Kind::LostBytes
        | Kind::DoubledBytes
        | Kind::FlippedBits
        | Kind::AddedBytes
        | Kind::SwappedBytes
        | Kind::Stutter
        | Kind::ZeroBytes => " chance=0.2%",
        Kind::GarbledBytes => " chance=0.05%",
        Kind::LateBytes
        | Kind::SplitLine
        | Kind::MergedLines
        | Kind::CutLine
        | Kind::LostReply
        | Kind::DoubledReply
        | Kind::LateReply
        | Kind::Overrun
        | Kind::WrongEnding => " chance=10%",
        Kind::HalfOpen | Kind::WrongSpeed | Kind::SecondReader => " lasts=15s",
        Kind::Echo | Kind::SlowLine => " lasts=60s",
        _ => "",
    };
    format!("{} after=20s{how_often}", kind.word())
}

/// That fault as an order.
///
/// # Panics
/// Never: the words of each kind are read by a test.
pub fn usual_order(kind: Kind, begin: Instant, number: u64) -> Order {
    read_order(&usual_fault(kind), begin, number).expect("the words of a usual fault")
}

#[cfg(test)]
mod tests {
    use super::*;
    use faults::Choice;
    use units::Span;

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
        for kind in Kind::ALL {
            let order = usual_order(*kind, begin, 0);
            assert!(
                order.kind == *kind
                    && order.can_strike()
                    && order.from == begin + Span::from_whole_seconds(20)
            );
        }
        let echo = usual_order(Kind::Echo, begin, 0);
        assert_eq!(echo.until, Some(begin + Span::from_whole_seconds(80)));
    }
}
