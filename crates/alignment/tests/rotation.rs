//! The rotation by three methods, and what is promised of its uncertainty.

mod common;

use alignment::parameters::rotation as turn_by;
use alignment::rotation::{
    Pair, by_largest_eigenvector, by_singular_values, by_two_directions, covariance, separation_check,
};
use common::{Draws, arcmin, deg};
use nalgebra::{Matrix3, Vector3};
use units::{Angle, maths};

fn pairs(rotation: &Matrix3<f64>, from: &[Vector3<f64>], sigma: Angle) -> Vec<Pair> {
    from.iter().map(|from| Pair { from: *from, to: rotation * from, sigma }).collect()
}

/// Exact data give the same rotation by all three methods, with determinant +1, to 1e-12.
#[test]
fn exact_data_give_one_rotation_by_all_three_methods() {
    let mut draws = Draws::new(1);
    for _ in 0..200 {
        let rotation = turn_by(&(draws.anywhere() * (draws.uniform() * 3.1)));
        let first = draws.anywhere();
        let second = loop {
            let candidate = draws.anywhere();
            if first.cross(&candidate).norm() > 0.26 {
                break candidate;
            }
        };
        let pairs = pairs(&rotation, &[first, second], arcmin(1.0));
        let svd = by_singular_values(&pairs).expect("well apart");
        let triad = by_two_directions(&pairs[0], &pairs[1]).expect("well apart");
        let davenport = by_largest_eigenvector(&pairs);
        for found in [svd, triad, davenport] {
            // 1e-12: a few thousand units in the last place, for an eigenvector with a gap of sin²(15°).
            assert!((found - rotation).amax() < 1e-12);
            assert!((found.determinant() - 1.0).abs() < 1e-12);
        }
    }
}

/// With noise the two general methods still minimise the same thing, so they still agree.
#[test]
fn noisy_data_give_one_rotation_by_both_general_methods() {
    let mut draws = Draws::new(2);
    for count in [2, 3, 6] {
        let rotation = turn_by(&draws.anywhere());
        let pairs: Vec<Pair> = (0..count)
            .map(|k| {
                let from = draws.anywhere();
                let sigma = arcmin(1.0 + f64::from(k));
                Pair { from, to: draws.blurred(&(rotation * from), sigma), sigma }
            })
            .collect();
        let svd = by_singular_values(&pairs).expect("determined");
        assert!((svd - by_largest_eigenvector(&pairs)).amax() < 1e-12);
        assert!((svd.determinant() - 1.0).abs() < 1e-12);
    }
}

/// Attitude determination example that can be worked by hand: the three axes, turned by a third of a turn about (1,1,1).
#[test]
fn a_third_of_a_turn_about_the_diagonal_permutes_the_axes() {
    let permutation = Matrix3::new(0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0);
    let pairs = pairs(&permutation, &[Vector3::x(), Vector3::y(), Vector3::z()], arcmin(1.0));
    assert!((by_singular_values(&pairs).expect("determined") - permutation).amax() < 1e-14);
    assert!((turn_by(&(Vector3::repeat(1.0).normalize() * (maths::TAU / 3.0))) - permutation).amax() < 1e-14);
}

/// Against a general library: `scipy.spatial.transform.Rotation.align_vectors` of scipy 1.17.1, weights 1/k² for the k-th pair.
/// The pairs (from, to) are its input, printed to four decimals and made unit vectors again on both sides.
#[test]
fn a_general_library_finds_the_same_rotation() {
    type Case<'a> = (&'a [([f64; 3], [f64; 3])], [[f64; 3]; 3]);
    #[rustfmt::skip]
    let cases: [Case; 2] = [
        (
            &[([-0.1066, 0.5599, 0.8217], [-0.8669, 0.1114, 0.4858]), ([-0.6074, -0.6846, -0.4031], [0.2246, -0.4635, -0.8571]), ([0.7911, 0.5663, -0.2313], [0.4076, 0.6650, 0.6258])],
            [[0.58369388350117, -0.41214281200765, -0.69959970902921], [0.07555396532244, 0.88543374870710, -0.45858333481991], [0.80845101811265, 0.21481475545437, 0.54796128709216]],
        ),
        (
            &[([0.7215, 0.0097, -0.6924], [0.8954, 0.3951, 0.2052]), ([-0.1764, 0.5605, -0.8092], [0.2308, 0.8512, -0.4714]), ([0.0911, 0.5763, -0.8121], [0.3711, 0.8898, -0.2657]), ([0.8842, -0.2950, 0.3621], [0.3936, -0.3573, 0.8470]), ([-0.5760, -0.4315, -0.6943], [0.3239, -0.1108, -0.9396]), ([0.8200, 0.2891, 0.4941], [0.0021, 0.0894, 0.9960])],
            [[0.58004652871816, -0.42366777885736, -0.69573819622044], [0.09061994781852, 0.88236302013534, -0.46176132986102], [0.80952705302502, 0.20479529744532, 0.55020435891122]],
        ),
    ];
    for (vectors, expected) in cases {
        let pairs: Vec<Pair> = vectors
            .iter()
            .enumerate()
            .map(|(k, (from, to))| Pair {
                from: Vector3::from(*from).normalize(),
                to: Vector3::from(*to).normalize(),
                sigma: arcmin((k + 1) as f64),
            })
            .collect();
        let expected = Matrix3::from_fn(|row, column| expected[row][column]);
        // 1e-12: the expected matrix is printed to 14 decimals.
        assert!((by_singular_values(&pairs).expect("determined") - expected).amax() < 1e-12);
        assert!((by_largest_eigenvector(&pairs) - expected).amax() < 1e-12);
    }
}

#[test]
fn the_first_direction_is_exact_by_two_directions() {
    let mut draws = Draws::new(3);
    let (a, b) = (draws.anywhere(), draws.anywhere());
    let sigma = deg(1.0);
    let noisy = |draws: &mut Draws, v| Pair { from: v, to: draws.blurred(&v, sigma), sigma };
    let (first, second) = (noisy(&mut draws, a), noisy(&mut draws, b));
    let found = by_two_directions(&first, &second).expect("well apart");
    assert!((found * first.from - first.to).norm() < 1e-14);
}

#[test]
fn one_direction_or_two_opposite_ones_fix_no_rotation() {
    let sigma = arcmin(1.0);
    let once = pairs(&Matrix3::identity(), &[Vector3::x()], sigma);
    let opposite = pairs(&Matrix3::identity(), &[Vector3::x(), -Vector3::x()], sigma);
    assert_eq!(by_singular_values(&once), None);
    assert_eq!(by_singular_values(&opposite), None);
    assert_eq!(covariance(&once), None);
    assert_eq!(by_two_directions(&opposite[0], &opposite[1]), None);
}

/// The covariance agrees with a Monte Carlo of 4000 trials within its own scatter.
#[test]
fn the_covariance_is_the_scatter_of_many_trials() {
    const TRIALS: usize = 4000;
    let mut draws = Draws::new(4);
    let sigma = arcmin(3.0);
    let stars = [
        kinematics::frames::direction(deg(80.0), deg(40.0)),
        kinematics::frames::direction(deg(200.0), deg(60.0)),
        kinematics::frames::direction(deg(300.0), deg(30.0)),
    ];
    let exact = pairs(&Matrix3::identity(), &stars, sigma);
    let expected = covariance(&exact).expect("determined");
    let mut scatter = Matrix3::zeros();
    for _ in 0..TRIALS {
        let noisy: Vec<Pair> =
            exact.iter().map(|pair| Pair { to: draws.blurred(&pair.to, sigma), ..*pair }).collect();
        let r = by_singular_values(&noisy).expect("determined");
        let small = Vector3::new(r[(2, 1)] - r[(1, 2)], r[(0, 2)] - r[(2, 0)], r[(1, 0)] - r[(0, 1)]) / 2.0;
        scatter += small * small.transpose() / TRIALS as f64;
    }
    // A variance from n trials scatters by √(2/n) = 2.2 %; 5 % is more than two of that, for three variances.
    for axis in 0..3 {
        let ratio = scatter[(axis, axis)] / expected[(axis, axis)];
        assert!((ratio - 1.0).abs() < 0.05, "axis {axis}: {ratio}");
    }
}

/// Two stars S apart leave σ/(√2 min(sin S/2, cos S/2)) about the weakest axis: 5.4 σ at 15°, 1.0 σ at 90°.
#[test]
fn the_weakest_axis_of_two_stars_is_known_in_closed_form() {
    let sigma = arcmin(1.0);
    for (separation, times) in [(15.0, 5.417), (90.0, 1.0), (165.0, 5.417), (40.0, 2.0674)] {
        let second = Vector3::new(deg(separation).cos(), deg(separation).sin(), 0.0);
        let pairs = pairs(&Matrix3::identity(), &[Vector3::x(), second], sigma);
        let largest = covariance(&pairs).expect("determined").symmetric_eigenvalues().max().sqrt();
        let half = deg(separation / 2.0);
        let formula = sigma.radians() / (2.0_f64.sqrt() * half.sin().min(half.cos()));
        assert!((largest / formula - 1.0).abs() < 1e-9, "{separation}");
        // The printed digits.
        assert!((largest / sigma.radians() - times).abs() < 5e-4 * times, "{separation}");
    }
}

#[test]
fn separations_that_disagree_show_in_units_of_their_own_spread() {
    let sigma = arcmin(3.0);
    let a = Pair { from: Vector3::x(), to: Vector3::x(), sigma };
    let turned = |degrees: f64| Vector3::new(deg(degrees).cos(), deg(degrees).sin(), 0.0);
    let b = Pair { from: turned(40.2), to: turned(40.0), sigma };
    // 12′ over 3′·√2.
    let check = separation_check(&a, &b);
    assert!((check.in_sigmas - 12.0 / (3.0 * 2.0_f64.sqrt())).abs() < 1e-9);
}
