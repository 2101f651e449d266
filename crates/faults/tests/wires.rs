//! What faults of the wire do, and what they leave alone.

use faults::{Choice, Direction, Injection, Kind, Order, Wire, WireOutput};
use proptest::prelude::*;
use units::{Instant, Span, Streams};

const BEGIN: Instant = Instant::J2000_TAI;

fn seconds(seconds: f64) -> Instant {
    BEGIN + Span::from_seconds(seconds)
}

fn wire_kinds() -> impl Iterator<Item = Kind> {
    Kind::ALL.iter().copied().filter(|kind| kind.doc().group.is_wire())
}

fn wire(order: &Order, seed: u64) -> Wire {
    let mut wire = Wire::new(0, Streams::new(seed));
    wire.order(0, order, BEGIN);
    wire
}

/// Ten lines each way, one a second, cut into pieces of a size; what arrived with its instants, and the log.
fn talk(mut wire: Wire, piece: usize) -> (Vec<(Instant, WireOutput)>, Vec<Injection>) {
    let (mut heard, mut log) = (Vec::new(), Vec::new());
    let mut listen = |wire: &mut Wire, until: Instant| {
        while let Some(due) = wire.next_due().filter(|due| *due <= until) {
            let mut output = wire.take(due);
            log.append(&mut output.injections);
            if output != WireOutput::default() {
                heard.push((due, output));
            }
        }
        let mut output = wire.take(until);
        log.append(&mut output.injections);
    };
    for number in 0..10 {
        let now = seconds(f64::from(number));
        listen(&mut wire, now);
        for (direction, line) in [
            (Direction::Received, format!("@{number} status group=pointing\n")),
            (Direction::Sent, format!("ok @{number} azimuth=100.79267083deg altitude=30.35378881deg\n")),
        ] {
            for bytes in line.as_bytes().chunks(piece) {
                wire.send(direction, bytes, now);
            }
        }
        listen(&mut wire, now);
    }
    listen(&mut wire, seconds(10_000.0));
    (heard, log)
}

/// Everything that arrived one way.
fn arrived(heard: &[(Instant, WireOutput)], direction: Direction) -> Vec<u8> {
    let one = |output: &WireOutput| match direction {
        Direction::Received => output.to_mount.clone(),
        _ => output.from_mount.clone(),
    };
    heard.iter().flat_map(|(_, output)| one(output)).collect()
}

#[test]
fn every_kind_strikes_and_says_so_with_the_bytes_before_and_after() {
    for kind in wire_kinds() {
        let (_, plain) = talk(Wire::new(0, Streams::new(1)), 1000);
        assert!(plain.is_empty());
        let (heard, log) = talk(wire(&Order::new(kind, BEGIN), 1), 1000);
        if kind == Kind::SevenBits {
            // There is no top bit in ASCII: nothing is changed, so nothing is told.
            assert!(log.is_empty());
            continue;
        }
        assert!(!log.is_empty(), "{kind:?}");
        for strike in &log {
            assert_eq!((strike.kind, strike.order), (kind, 0));
            let same = strike.after.len() == 1 && strike.after[0] == (Span::ZERO, strike.before.clone());
            assert!(strike.closed || !same || !strike.back.is_empty(), "{}", strike.text());
        }
        if kind == Kind::HangUp {
            assert!(heard.iter().any(|(_, output)| output.closed));
        }
    }
}

#[test]
fn lines_are_struck_as_told() {
    let to_mount = |kind: Kind, set: fn(&mut Order)| {
        let mut order =
            Order { choice: Some(Choice::Nth(2)), direction: Direction::Received, ..Order::new(kind, BEGIN) };
        set(&mut order);
        let mut wire = wire(&order, 3);
        wire.send(Direction::Received, b"one\ntwo\nthree\n", BEGIN);
        String::from_utf8(wire.take(seconds(60.0)).to_mount).expect("text")
    };
    assert_eq!(to_mount(Kind::LostReply, |_| {}), "one\nthree\n");
    assert_eq!(to_mount(Kind::DoubledReply, |_| {}), "one\ntwo\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::MergedLines, |_| {}), "one\ntwothree\n");
    assert_eq!(to_mount(Kind::CutLine, |order| order.parameters.bytes = Some(1)), "one\nt\nthree\n");
    assert_eq!(to_mount(Kind::LateReply, |_| {}), "one\nthree\ntwo\n");
    assert_eq!(to_mount(Kind::SecondReader, |_| {}), "one\nstatus\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::SplitLine, |_| {}).matches('\n').count(), 4);
    // The second byte.
    assert_eq!(to_mount(Kind::LostBytes, |_| {}), "oe\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::DoubledBytes, |_| {}), "onne\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::Stutter, |_| {}), "onnne\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::SwappedBytes, |_| {}), "oen\ntwo\nthree\n");
    assert_eq!(to_mount(Kind::ZeroBytes, |_| {}), "o\0ne\ntwo\nthree\n");
    let like = |order: &mut Order| order.choice = Some(Choice::Line("TWO".to_owned()));
    assert_eq!(to_mount(Kind::LostReply, like), "one\nthree\n");
}

#[test]
fn the_top_bit_is_lost() {
    let mut wire = wire(&Order::new(Kind::SevenBits, BEGIN), 1);
    wire.send(Direction::Received, b"\xE1\xE2c\n", BEGIN);
    assert_eq!(wire.take(BEGIN).to_mount, b"abc\n");
}

#[test]
fn what_is_slow_keeps_its_order_and_its_pace() {
    let mut order = Order::new(Kind::SlowLine, BEGIN);
    order.parameters.baud = Some(100);
    let mut wire = wire(&order, 1);
    wire.send(Direction::Sent, b"123456789\n123456789\n", BEGIN);
    // Ten bytes of ten bits at a hundred bits a second.
    assert_eq!(wire.next_due(), Some(seconds(1.0)));
    assert_eq!(wire.take(seconds(1.0)).from_mount, b"123456789\n");
    assert_eq!(wire.next_due(), Some(seconds(2.0)));
    // A line that stands still lets everything go at once.
    let mut wire = Wire::new(0, Streams::new(1));
    wire.order(0, &Order::new(Kind::HeldBack, BEGIN), BEGIN);
    wire.send(Direction::Sent, b"a\n", BEGIN);
    wire.send(Direction::Sent, b"b\n", seconds(2.0));
    assert_eq!(wire.take(seconds(4.999)).from_mount, b"");
    assert_eq!(wire.take(seconds(5.0)).from_mount, b"a\nb\n");
    wire.send(Direction::Sent, b"c\n", seconds(6.0));
    assert_eq!(wire.take(seconds(6.0)).from_mount, b"c\n");
}

#[test]
fn a_small_buffer_runs_over_and_empties() {
    let mut order = Order::new(Kind::Overrun, BEGIN);
    order.parameters.bytes = Some(8);
    let mut wire = wire(&order, 1);
    wire.send(Direction::Received, b"123456789012\n", BEGIN);
    wire.send(Direction::Received, b"next\n", seconds(1.0));
    assert_eq!(wire.take(seconds(1.0)).to_mount, b"12345678next\n");
}

#[test]
fn closing_has_its_instant_and_bars_the_door_for_as_long_as_it_lasts() {
    let closing = Order { until: Some(seconds(8.0)), ..Order::new(Kind::HangUp, seconds(5.0)) };
    let open = |now: Instant| {
        let mut wire = Wire::new(0, Streams::new(1));
        wire.order(0, &closing, now);
        wire
    };
    let mut early = open(BEGIN);
    assert_eq!(early.next_due(), Some(seconds(5.0)));
    assert!(!early.take(seconds(4.9)).closed && early.take(seconds(5.0)).closed);
    assert!(open(seconds(6.0)).take(seconds(6.0)).closed);
    let mut late = open(seconds(8.0));
    late.send(Direction::Received, b"status\n", seconds(9.0));
    assert_eq!(late.take(seconds(9.0)).to_mount, b"status\n");
    // At an instant without an end, those are closed that are there.
    let once = Order { until: None, ..closing };
    let mut wire = Wire::new(1, Streams::new(1));
    wire.order(0, &once, seconds(6.0));
    wire.send(Direction::Received, b"status\n", seconds(6.0));
    assert!(!wire.take(seconds(7.0)).closed);
}

#[test]
fn an_echo_goes_back() {
    let mut wire = wire(&Order::new(Kind::Echo, BEGIN), 1);
    wire.send(Direction::Received, b"status\n", BEGIN);
    wire.send(Direction::Sent, b"ok\n", BEGIN);
    let output = wire.take(seconds(1.0));
    assert_eq!((output.to_mount, output.from_mount), (b"status\n".to_vec(), b"ok\nstatus\n".to_vec()));
}

#[test]
fn what_is_cleared_strikes_no_more_and_loses_nothing_that_is_under_way() {
    let mut wire = wire(&Order { direction: Direction::Received, ..Order::new(Kind::LateReply, BEGIN) }, 1);
    wire.send(Direction::Received, b"one\nbeg", BEGIN);
    wire.clear(seconds(1.0));
    wire.send(Direction::Received, b"un\n", seconds(1.0));
    assert_eq!(wire.take(seconds(1.0)).to_mount, b"begun\n");
    assert_eq!(wire.take(seconds(3.0)).to_mount, b"one\n");
    assert!(wire.is_plain());
}

#[test]
fn orders_are_read_and_mistakes_named() {
    let read = |word: &str, pairs: &[(&'static str, &'static str)]| {
        Order::read(word, pairs.iter().copied(), BEGIN, 4).map_err(|error| error.to_string())
    };
    let order =
        read("lost-reply", &[("lasts", "10 s"), ("chance", "20 %"), ("after", "5 s"), ("direction", "sent")])
            .expect("a good order");
    assert_eq!((order.from, order.until), (seconds(5.0), Some(seconds(15.0))));
    assert_eq!((order.choice, order.stream), (Some(Choice::Chance(0.2)), 4));
    let order = read("brown-out", &[("lasts", "10 s")]).expect("a good order");
    assert_eq!((order.until, order.parameters.lasts), (None, Some(Span::from_whole_seconds(10))));
    for (word, pairs, sentence) in [
        ("lost-repl", &[][..], "there is no fault `lost-repl`; did you mean `lost-reply`?"),
        ("lost-reply", &[("delay", "1 s")], "lost-reply takes no `delay`; it takes after,"),
        ("lost-reply", &[("chance", "0.2")], "chance: `0.2` has no unit"),
        ("lost-reply", &[("chance", "120 %")], "chance: 0 to 100 % are allowed"),
        ("lost-reply", &[("chance", "20 %"), ("every", "3")], "one of chance, every, nth and line"),
        ("lost-reply", &[("every", "0")], "every: write a whole number from 1 on"),
        ("stall", &[("axis", "third")], "axis: write hour,"),
        ("stall", &[("direction", "both")], "stall takes no `direction`"),
    ] {
        let found = read(word, pairs).expect_err(sentence);
        assert!(found.contains(sentence), "{found}");
    }
}

/// Any bytes, with line ends more often than chance would have them.
fn lines() -> impl Strategy<Value = Vec<u8>> {
    let byte = prop_oneof![6 => 0x20_u8..0x7F, 1 => Just(b'\n'), 1 => any::<u8>()];
    proptest::collection::vec(byte, 0..400)
}

fn any_kind() -> impl Strategy<Value = Kind> {
    proptest::sample::select(wire_kinds().collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_chance_of_zero_leaves_every_byte_as_it_was(bytes in lines(), kind in any_kind(), piece in 1_usize..50) {
        let mut order = Order { choice: Some(Choice::Chance(0.0)), burst: 5, ..Order::new(kind, BEGIN) };
        order.direction = Direction::Both;
        let mut wire = wire(&order, 7);
        prop_assert!(wire.is_plain());
        for part in bytes.chunks(piece) {
            wire.send(Direction::Received, part, BEGIN);
            wire.send(Direction::Sent, part, BEGIN);
        }
        let expected =
            WireOutput { to_mount: bytes.clone(), from_mount: bytes, ..WireOutput::default() };
        prop_assert_eq!(wire.take(BEGIN), expected);
    }

    #[test]
    fn what_misses_leaves_every_whole_line_as_it_was(bytes in lines(), kind in any_kind()) {
        // In force, but never met: the millionth byte or line.
        let order = Order { choice: Some(Choice::Nth(1_000_000)), ..Order::new(kind, BEGIN) };
        let mut wire = wire(&order, 7);
        wire.send(Direction::Received, &bytes, BEGIN);
        let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
        let output = wire.take(BEGIN);
        prop_assert_eq!(&output.to_mount[..], &bytes[..whole]);
        prop_assert!(output.injections.is_empty());
    }

    #[test]
    fn cutting_changes_nothing_and_the_log_happens_again_without_draws(
        kind in any_kind(),
        chance in 0.0..1.0_f64,
        correlation in 0.0..1.0_f64,
        burst in 1_u32..4,
        seed in 0_u64..1000,
        piece in 1_usize..40,
    ) {
        let order = Order {
            choice: Some(Choice::Chance(chance)), correlation, burst, direction: Direction::Both,
            ..Order::new(kind, BEGIN)
        };
        let whole = talk(wire(&order, seed), 1000);
        prop_assert_eq!(&talk(wire(&order, seed), piece), &whole);
        prop_assert_eq!(&talk(Wire::replaying(0, &whole.1), piece), &whole);
    }

    #[test]
    fn one_more_order_shifts_no_draw_of_another(seed in 0_u64..1000) {
        let first = Order { choice: Some(Choice::Chance(0.3)), ..Order::new(Kind::FlippedBits, BEGIN) };
        let second = Order { choice: Some(Choice::Chance(0.3)), stream: 1, ..Order::new(Kind::LateBytes, BEGIN) };
        let alone = talk(wire(&first, seed), 1000);
        let mut both = wire(&first, seed);
        both.order(1, &second, BEGIN);
        let both = talk(both, 1000);
        prop_assert_eq!(arrived(&alone.0, Direction::Received), arrived(&both.0, Direction::Received));
    }
}

#[test]
fn the_page_of_the_manual_is_fresh() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/reference/faults.md");
    let page = std::fs::read_to_string(path).unwrap_or_default();
    assert_eq!(page, faults::reference_page(), "make it anew by `cargo run -p faults --example faults_page`");
}
