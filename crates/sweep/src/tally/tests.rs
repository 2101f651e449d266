use super::*;
use crate::file::tests::about;
use crate::row::tests::made_up;

fn tally(numbers: impl Iterator<Item = u64>) -> Tally {
    let mut tally = Tally::new(&about(1000, 3));
    numbers.for_each(|number| tally.add(&made_up(number, 3)));
    tally
}

/// Any order and any grouping gives the same bytes of everything.
#[test]
fn order_and_grouping_change_nothing() {
    let whole = format!("{:?}", tally(0..3000));
    assert_eq!(whole, format!("{:?}", tally((0..3000).rev())));
    let mut parts = tally(0..0);
    for part in [1500..3000, 0..7, 700..1500, 7..700] {
        parts.merge(tally(part));
    }
    assert_eq!(whole, format!("{parts:?}"));
}

/// Sums by hand of a few rows, and what could not be played is counted apart.
#[test]
fn nothing_is_dropped() {
    let tally = tally(0..170);
    let case = &tally.cases[1];
    assert_eq!(case.played + case.unplayable, 170);
    assert_eq!((case.unplayable, case.first_unplayable), (10, Some(3)));
    let played = (0..170).filter(|number| number % 17 != 3);
    let hits: u64 = played.clone().map(|number| (number * 7 + 3) % 13).sum();
    assert_eq!((case.in_field, case.targets), (hits, 160 * 12));
    assert_eq!(case.misses.total(), 160 * 12);
    assert_eq!(case.held, played.filter(|number| number.is_multiple_of(3)).count() as u64);
    let paired = case.paired.as_ref().unwrap();
    assert_eq!(paired.better + paired.equal + paired.worse, 160);
    assert!(tally.cases[0].paired.is_none());
}

#[test]
fn the_worst_nights_are_those_with_the_fewest_targets_in_the_field() {
    let tally = tally(0..1000);
    let worst = &tally.cases[0].worst;
    assert_eq!(worst.len(), WORST);
    assert!(worst.iter().all(|night| night.in_field == 0));
    assert!(worst.windows(2).all(|two| two[0].minus_median <= two[1].minus_median));
}
