//! The distributions that forecasts need, and the one search for where a rule turns.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Beyond so many degrees of freedom a t is a normal distribution to nine digits of every quantile used here.
const AS_GOOD_AS_NORMAL: f64 = 1e10;

/// The chance that a Student t of `degrees` of freedom lies at or below `x`; of infinitely many, a normal variate.
/// Not a number where `degrees` is not above zero.
pub fn student_cdf(x: f64, degrees: f64) -> f64 {
    if degrees >= AS_GOOD_AS_NORMAL {
        return Normal::standard().cdf(x);
    }
    StudentsT::new(0.0, 1.0, degrees).map_or(f64::NAN, |t| t.cdf(x))
}

/// The value below which a Student t of `degrees` of freedom lies with chance `p`, between 0 and 1.
/// Not a number where `degrees` is not above zero.
pub fn student_quantile(p: f64, degrees: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if degrees >= AS_GOOD_AS_NORMAL {
        return Normal::standard().inverse_cdf(p);
    }
    StudentsT::new(0.0, 1.0, degrees).map_or(f64::NAN, |t| t.inverse_cdf(p))
}

/// Where `reached` turns from no to yes between `no`, where it is not, and `yes`, where it is; to the last bits.
pub fn turning_point(mut no: f64, mut yes: f64, reached: impl Fn(f64) -> bool) -> f64 {
    // A bracket is halved until its ends are neighbours; 1,100 halvings take the widest one there.
    for _ in 0..1_100 {
        let middle = f64::midpoint(no, yes);
        if middle <= no.min(yes) || middle >= no.max(yes) {
            break;
        }
        if reached(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// scipy 1.17.1, `stats.t.ppf` and `stats.norm.ppf`.
    #[test]
    fn quantiles_are_those_of_another_library() {
        for (p, degrees, expected) in [
            (0.975, 34.0, 2.032_244_509_317_718_6),
            (0.95, 30.0, 1.697_260_886_593_957_4),
            (0.9, 1.0, 3.077_683_537_175_253_6),
            (0.1, 5.5, -1.455_977_033_464_072),
            (0.995, 260.0, 2.594_870_487_355_872_3),
            (0.975, f64::INFINITY, 1.959_963_984_540_054),
        ] {
            let found = student_quantile(p, degrees);
            assert!(
                (found - expected).abs() < 1e-9,
                "{p} of {degrees}: {found}, not {expected}"
            );
            assert!((student_cdf(found, degrees) - p).abs() < 1e-11);
        }
    }

    #[test]
    fn nothing_is_said_without_degrees_of_freedom() {
        assert!(student_cdf(0.0, 0.0).is_nan() && student_quantile(0.5, -1.0).is_nan());
    }

    #[test]
    fn a_search_ends_on_the_side_where_it_holds() {
        let root = turning_point(0.0, 10.0, |x| x * x >= 2.0);
        assert!(root * root >= 2.0 && root - 2_f64.sqrt() < 1e-15);
    }
}
