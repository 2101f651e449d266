use super::law::Law;
use super::*;

fn text(value: &str) -> String {
    format!(
        "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"5 h\"\n[site]\nlatitude = \"40.5 deg\"\n\
         longitude = \"-4.5 deg\"\n[mount]\nkind = \"german-equatorial\"\n[setup]\npolar_altitude_error = {value}\n"
    )
}

/// The draws of many nights, in degrees.
fn drawn(value: &str, nights: u64) -> Vec<f64> {
    let text = text(value);
    let study = crate::Study::read(&text).unwrap_or_else(|found| panic!("{}", found[0]));
    let case = &study.cases()[0];
    (0..nights)
        .map(|number| {
            let night = case.night(Some(number)).unwrap();
            assert_eq!(night.draws.len(), 1);
            assert_eq!(
                (night.draws[0].key.as_str(), night.draws[0].unit),
                ("setup.polar_altitude_error", "deg")
            );
            let value = night.plan.setup.polar_altitude_error.unwrap().degrees();
            assert!((value - night.draws[0].value).abs() < 1e-12);
            value
        })
        .collect()
}

/// The largest distance between the drawn values' steps and a law (Kolmogorov and Smirnov's).
fn distance(mut values: Vec<f64>, law: impl Fn(f64) -> f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let count = values.len() as f64;
    let steps = values.iter().enumerate().map(|(index, value)| {
        let expected = law(*value);
        (expected - index as f64 / count).abs().max((expected - (index + 1) as f64 / count).abs())
    });
    steps.fold(0.0, f64::max)
}

/// 1.95/√n is exceeded by chance once in a thousand tries (Kolmogorov's law, from memory); the draws are fixed by their
/// numbers, so the test comes out the same each time.
#[test]
fn draws_follow_their_laws() {
    const NIGHTS: u64 = 2000;
    let most = 1.95 / (NIGHTS as f64).sqrt();
    let check = |value: &str, law: &dyn Fn(f64) -> f64| {
        let found = distance(drawn(value, NIGHTS), law);
        assert!(found < most, "{value}: {found}");
    };
    let normal = |x: f64| 0.5 * units::maths::erfc(-x / std::f64::consts::SQRT_2);
    check("{ normal = [\"1 deg\", \"30 arcmin\"] }", &|x| normal((x - 1.0) / 0.5));
    check("{ uniform = [\"-1 deg\", \"3 deg\"] }", &|x| (x + 1.0) / 4.0);
    check("{ log-normal = [\"1 deg\", 1.5] }", &|x| normal(units::maths::ln(x) / units::maths::ln(1.5)));
    check("{ rayleigh = \"1 deg\" }", &|x| 1.0 - units::maths::exp(-0.5 * x * x));
    let cut = |x: f64| (normal(x) - normal(0.0)) / (normal(2.0) - normal(0.0));
    check("{ truncated = { normal = [\"0 deg\", \"1 deg\"] }, from = \"0 deg\", to = \"2 deg\" }", &cut);
    // A mixture: one night in four from a wider law; the mixture's choice and the draw within it are apart.
    let mixture = "{ choice = [{ normal = [\"0 deg\", \"1 deg\"] }, { uniform = [\"-5 deg\", \"5 deg\"] }], weights = [3, 1] }";
    check(mixture, &|x| 0.75 * normal(x) + 0.25 * ((x + 5.0) / 10.0).clamp(0.0, 1.0));
}

/// The 99.9 % band of a binomial share of a tenth in 2000 is ±0.022 (normal approximation: 3.29·√(0.09/2000)).
#[test]
fn a_chance_comes_up_as_often_as_it_says() {
    let hits = drawn("{ bernoulli = [\"10 %\", \"2 deg\", \"1 deg\"] }", 2000)
        .into_iter()
        .filter(|value| *value == 2.0)
        .count();
    assert!((hits as f64 / 2000.0 - 0.1).abs() < 0.022, "{hits}");
}

#[test]
fn probabilities_of_tails() {
    // Tables of the normal law: 2.275 % beyond two sigmas, 15.866 % beyond one.
    let normal = Law::Normal { mean: 1.0, spread: 2.0 };
    assert!((normal.below(-3.0) - 0.022_750_13).abs() < 1e-8);
    assert!((normal.above(3.0) - 0.158_655_25).abs() < 1e-8);
    // The median of a Rayleigh law is σ·√(2 ln 2).
    let rayleigh = Law::Rayleigh { spread: 3.0 };
    assert!((rayleigh.below(3.0 * 1.177_410_022_515_474_5) - 0.5).abs() < 1e-12);
    let log_normal = Law::LogNormal { median: 2.0, spread: 0.4 };
    assert!((log_normal.below(2.0) - 0.5).abs() < 1e-12 && log_normal.below(0.0) == 0.0);
    let cut = Law::Truncated { law: Box::new(normal), low: 1.0, high: 3.0 };
    assert_eq!((cut.below(1.0), cut.above(3.0)), (0.0, 0.0));
    assert!(cut.below(2.0) > 0.5, "the nearer to the middle, the likelier");
}

/// The wait of the Poisson process: 400 nights of 5 h with one every 50 min have 2400 in all; 3.3·√2400 = 162.
#[test]
fn random_moments_fill_the_night_at_their_rate() {
    let text = text("\"0 deg\"")
        + "[[disturb]]\nat = { poisson = \"50 min\" }\nkind = \"knock\"\nhour_axis = { normal = [\"0 deg\", \"1 arcmin\"] }\n\
           [[disturb]]\nat = \"23:00\"\nkind = \"knock\"\nhour_axis = \"1 arcmin\"\n";
    let study = crate::Study::read(&text).unwrap();
    let mut count = 0;
    let mut first = Vec::new();
    for number in 0..400 {
        let night = study.cases()[0].night(Some(number)).unwrap();
        let random = &night.plan.disturb[..night.plan.disturb.len() - 1];
        count += random.len();
        let moments: Vec<_> = random.iter().map(|one| night.plan.instant_of(one.at).unwrap()).collect();
        assert!(moments.windows(2).all(|two| two[0] < two[1]));
        assert!(moments.iter().all(|at| (night.plan.begin()..night.plan.end()).contains(at)));
        first.extend(random.first().and_then(|one| one.hour_axis));
        // Two of one night draw apart.
        if let [one, two, ..] = random {
            assert_ne!(one.hour_axis, two.hour_axis);
        }
    }
    assert!((2238..2562).contains(&count), "{count}");
    assert!(first.windows(2).any(|two| two[0] != two[1]));
}

#[test]
fn the_first_of_equals_is_the_heaviest() {
    assert_eq!(heaviest(&[1.0, 3.0, 3.0]), 1);
    assert_eq!(picked(&[1.0, 0.0, 1.0], 0.499), 0);
    assert_eq!(picked(&[1.0, 0.0, 1.0], 0.5), 2);
    assert_eq!(picked(&[1.0, 0.0], 0.999_999_999_999_999_9), 0);
}
