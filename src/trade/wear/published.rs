//! Lines of which others have published the numbers.

use proptest::prelude::*;

use super::*;

const NORRIS: [(f64, f64); 36] = [
    (0.2, 0.1),
    (337.4, 338.8),
    (118.2, 118.1),
    (884.6, 888.0),
    (10.1, 9.2),
    (226.5, 228.1),
    (666.3, 668.5),
    (996.3, 998.5),
    (448.6, 449.1),
    (777.0, 778.9),
    (558.2, 559.2),
    (0.4, 0.3),
    (0.6, 0.1),
    (775.5, 778.1),
    (666.9, 668.8),
    (338.0, 339.3),
    (447.5, 448.9),
    (11.6, 10.8),
    (556.0, 557.7),
    (228.1, 228.3),
    (995.8, 998.0),
    (887.6, 888.8),
    (120.2, 119.6),
    (0.3, 0.3),
    (0.3, 0.6),
    (556.8, 557.6),
    (339.1, 339.3),
    (887.2, 888.0),
    (999.0, 998.5),
    (779.0, 778.9),
    (11.1, 10.2),
    (118.3, 117.6),
    (229.2, 228.9),
    (669.1, 668.4),
    (448.9, 449.2),
    (0.5, 0.2),
];

fn readings(all: &[(f64, f64)]) -> Vec<Reading> {
    let one = |(used, length_mm): &(f64, f64)| Reading {
        used: *used,
        length_mm: *length_mm,
    };
    all.iter().map(one).collect()
}

/// In the order given, which is not that of use.
fn as_they_come(mut wear: Wear, all: &[(f64, f64)]) -> Wear {
    for reading in readings(all) {
        wear.take(reading).unwrap();
    }
    wear
}

#[track_caller]
fn close(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs(),
        "{found}, not {expected}: off by {:e}",
        off / expected.abs()
    );
}

/// NIST Statistical Reference Datasets, linear regression, Norris: certified values.
#[test]
fn a_flat_prior_is_least_squares_as_certified_for_norris() {
    for wear in [
        as_they_come(Wear::flat(), &NORRIS),
        Wear::flat().with_all(&readings(&NORRIS)).unwrap(),
    ] {
        let line = wear.line().unwrap();
        close(line.intercept, -0.262_323_073_774_029, 1e-9);
        close(line.intercept_se, 0.232_818_234_301_152, 1e-9);
        close(line.slope, 1.002_116_818_020_45, 1e-12);
        close(line.slope_se, 0.429_796_848_199_937e-3, 1e-9);
        close(line.residual_sd, 0.884_796_396_144_373, 1e-9);
        close(line.residual_ss, 26.617_398_529_422_4, 1e-9);
        let degrees = line.degrees_of_freedom.unwrap();
        close(degrees, 34.0, 1e-15);
        let r_squared = line.r_squared.unwrap();
        close(r_squared, 0.999_993_745_883_712, 1e-12);
        let explained = r_squared / (1.0 - r_squared) * line.residual_ss;
        close(explained, 4_255_954.132_323_69, 1e-9);
        close(
            explained / line.residual_sd.powi(2),
            5_436_385.540_797_85,
            1e-9,
        );
    }
}

/// The 95 % intervals of Norris's line and of one more reading, from the certified values by scipy 1.17.1.
#[test]
fn a_length_to_come_has_the_interval_of_least_squares() {
    let wear = as_they_come(Wear::flat(), &NORRIS);
    for (used, fitted, line_half, reading_half) in [
        (0.0, -0.262_323_073_8, 0.473_143_578_3, 1.859_330_469_5),
        (500.0, 500.796_085_936_5, 0.307_889_464_9, 1.824_291_882_3),
        (
            1_000.0,
            1_001.854_494_946_7,
            0.589_225_293_5,
            1.892_202_789_2,
        ),
    ] {
        for (of, half) in [(Of::Line, line_half), (Of::Reading, reading_half)] {
            let forecast = wear.forecast(used, of).unwrap();
            close(forecast.median_mm(), fitted, 1e-9);
            close(forecast.quantile(0.975) - forecast.median_mm(), half, 1e-9);
            close(forecast.median_mm() - forecast.quantile(0.025), half, 1e-9);
            close(forecast.chance_of_at_most(fitted + half), 0.975, 1e-9);
        }
    }
}

/// NIST Statistical Reference Datasets, linear regression, `NoInt1`: certified values of a line through a known start.
#[test]
fn a_known_start_pins_the_line_as_certified_for_no_int_1() {
    let all: Vec<_> = (0..11)
        .map(|nth| (60.0 + f64::from(nth), 130.0 + f64::from(nth)))
        .collect();
    let line = as_they_come(Wear::flat_from(0.0), &all).line().unwrap();
    close(line.slope, 2.074_380_165_289_26, 1e-9);
    close(line.slope_se, 0.165_289_256_198_347e-1, 1e-9);
    close(line.residual_sd, 3.567_530_340_063_38, 1e-9);
    close(line.degrees_of_freedom.unwrap(), 10.0, 1e-15);
    close(line.r_squared.unwrap(), 0.999_365_492_298_663, 1e-9);
    assert!(line.intercept.abs() < 1e-6);
}

/// The same line from a start of 20: what matters is the length lost since.
#[test]
fn a_start_elsewhere_pins_it_alike() {
    let all: Vec<_> = (0..11)
        .map(|nth| (60.0 + f64::from(nth), 150.0 + f64::from(nth)))
        .collect();
    let line = as_they_come(Wear::flat_from(20.0), &all).line().unwrap();
    close(line.slope, 2.074_380_165_289_26, 1e-9);
    close(line.r_squared.unwrap(), 0.999_365_492_298_663, 1e-9);
}

const ARSENIC: [[f64; 4]; 8] = [
    [0.17, 0.25, 0.01, 0.12],
    [1.25, 0.86, 1.25, 1.10],
    [2.01, 2.03, 2.14, 1.74],
    [3.18, 2.99, 3.23, 3.37],
    [3.91, 3.90, 3.61, 4.27],
    [4.88, 5.33, 4.96, 4.98],
    [6.09, 6.17, 6.07, 5.97],
    [6.67, 7.02, 7.14, 7.30],
];

/// A brush falls, so that the published lines, which rise, are told upside down.
fn arsenic() -> Wear {
    let mut wear = Wear::flat();
    for (used, lengths) in (0..).zip(ARSENIC) {
        for length in lengths {
            let used = f64::from(used);
            wear.take(Reading {
                used,
                length_mm: -length,
            })
            .unwrap();
        }
    }
    wear
}

/// R Journal 6/1 (2014), 90–100, the arsenic example: inversion and Wald interval of 90 %; further digits by scipy 1.17.1.
#[test]
fn the_use_at_a_limit_has_the_published_inversion_interval() {
    let wear = arsenic();
    let line = wear.line().unwrap();
    close(line.intercept, -0.104_583_333_3, 1e-9);
    close(line.slope, -0.987_708_333_3, 1e-9);
    close(line.residual_sd, 0.187_477_961_7, 1e-9);
    let at = (-3.0 - line.intercept) / line.slope;
    close(at, 2.931_449_061, 1e-9);
    let (low, high) = wear.limit_between(-3.0, 0.9, Of::Reading).unwrap().unwrap();
    close(low, 2.603_537_274, 1e-9);
    close(high, 3.258_657_941, 1e-9);
    // The Wald interval, by the delta rule, is of what a forecast at that use is made of.
    let forecast = wear.forecast(at, Of::Reading).unwrap();
    let se = forecast.sd_mm() / line.slope.abs();
    close(se, 0.192_933_775, 1e-8);
    let half = (forecast.quantile(0.95) - forecast.median_mm()) / line.slope.abs();
    close(at - half, 2.603_990_111, 1e-9);
    close(at + half, 3.258_908_012, 1e-9);
}

/// Graybill and Iyer, Regression Analysis, 1996, p. 431, the thermostat; further digits by scipy 1.17.1.
#[test]
fn the_thermostat_has_its_published_intervals() {
    let lengths = [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21];
    let all: Vec<_> = (0..)
        .zip(lengths)
        .map(|(nth, length)| (96.0 + 2.0 * f64::from(nth), -length))
        .collect();
    let wear = as_they_come(Wear::flat(), &all);
    let line = wear.line().unwrap();
    for (limit, level, at, low, high) in [
        (-104.0, 0.95, 103.994_916, 103.404_051, 104.589_459),
        (-100.0, 0.9, 100.112_318, 99.629_403, 100.588_503),
    ] {
        close((limit - line.intercept) / line.slope, at, 1e-8);
        let between = wear.limit_between(limit, level, Of::Reading).unwrap();
        let (found_low, found_high) = between.unwrap();
        close(found_low, low, 1e-8);
        close(found_high, high, 1e-8);
    }
}

/// The rule of the inversion interval (Fieller 1954): it is finite while the slope differs from zero at that level.
#[test]
fn a_slope_that_may_be_zero_gives_no_finite_use() {
    let all = [(0.0, 100.0), (10.0, 100.4), (20.0, 99.1), (30.0, 99.9)];
    let wear = as_they_come(Wear::flat(), &all);
    assert!(wear.line().unwrap().slope < 0.0);
    assert_eq!(wear.limit_between(60.0, 0.9, Of::Line), Ok(None));
    let left = wear.remaining(30.0, 60.0).unwrap();
    assert_eq!(left.p90, None);
    // One half of the chance is on the side of the falling line.
    assert!(left.p50.is_some());
    assert_eq!(dates(&left, &[]), [None; 3]);
}

/// Own arithmetic: 100 less 0.5 a use is 60 after 80 uses.
#[test]
fn readings_without_any_error_name_one_use() {
    let all = [0.0, 10.0, 20.0, 30.0].map(|used| (used, 100.0 - used / 2.0));
    let wear = as_they_come(Wear::flat(), &all);
    let left = wear.remaining(30.0, 60.0).unwrap();
    for quantile in [left.p10, left.p50, left.p90] {
        close(quantile.unwrap(), 50.0, 1e-6);
    }
    let there = wear.remaining(30.0, 85.0).unwrap();
    assert!(there.p90.unwrap() < 1e-6, "{there:?}");
    let (low, high) = wear.limit_between(60.0, 0.9, Of::Line).unwrap().unwrap();
    close(low, 80.0, 1e-6);
    close(high, 80.0, 1e-6);
}

#[test]
fn a_line_that_rises_reaches_no_limit() {
    let wear = as_they_come(Wear::flat(), &NORRIS);
    let left = wear.remaining(999.0, -100.0).unwrap();
    assert_eq!((left.p10, left.p50, left.p90), (None, None, None));
}

/// The quantiles of what remains and the inversion interval of the line are one thing, read two ways.
#[test]
fn what_remains_is_the_inversion_interval_beyond_the_last_reading() {
    let wear = arsenic();
    let (low, high) = wear.limit_between(-9.0, 0.8, Of::Line).unwrap().unwrap();
    let left = wear.remaining(7.0, -9.0).unwrap();
    close(left.p10.unwrap() + 7.0, low, 1e-12);
    close(left.p90.unwrap() + 7.0, high, 1e-12);
    close(wear.chance_of_limit(high, -9.0).unwrap(), 0.9, 1e-9);
}

fn brush() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let reading = (1_u32..60, -3.0..3.0_f64);
    prop::collection::vec(reading, 0..25).prop_map(|steps| {
        let mut used = 0.0;
        let mut all = Vec::new();
        for (step, off) in steps {
            used += f64::from(step);
            all.push((used, 0.075_f64.mul_add(-used, 133.0) + off));
        }
        all
    })
}

proptest! {
    #[test]
    fn all_at_once_is_one_after_another(all in brush()) {
        let new = Wear::new(&ClassPrior::default()).unwrap();
        prop_assert_eq!(new.with_all(&readings(&all)).unwrap(), as_they_come(new, &all));
    }

    #[test]
    fn a_straight_line_does_not_mind_the_order(all in brush(), turn in 0_usize..25) {
        prop_assume!(!all.is_empty());
        let prior = ClassPrior { drift_mm: 0.0, ..ClassPrior::default() };
        let new = Wear::new(&prior).unwrap();
        let (there, mut turned) = (as_they_come(new, &all), all.clone());
        turned.rotate_left(turn % all.len());
        turned.reverse();
        let (a, b) = (there.line().unwrap(), as_they_come(new, &turned).line().unwrap());
        for (a, b) in [(a.intercept, b.intercept), (a.slope, b.slope), (a.slope_se, b.slope_se), (a.residual_sd, b.residual_sd)] {
            prop_assert!((a - b).abs() <= 1e-9 * a.abs(), "{} {}", a, b);
        }
    }

    #[test]
    fn the_chance_of_the_limit_never_falls_with_use(all in brush(), limit in 20.0..120.0_f64) {
        let wear = as_they_come(Wear::new(&ClassPrior::default()).unwrap(), &all);
        let from = all.last().map_or(0.0, |(used, _)| *used);
        let mut before = 0.0;
        for nth in 0..60 {
            let chance = wear.chance_of_limit(from + 40.0 * f64::from(nth), limit).unwrap();
            prop_assert!((0.0..=1.0).contains(&chance) && chance >= before - 1e-12, "{} {}", before, chance);
            before = chance;
        }
    }

    #[test]
    fn quantiles_are_in_order_and_each_has_its_chance(all in brush(), limit in 20.0..120.0_f64) {
        let wear = as_they_come(Wear::new(&ClassPrior::default()).unwrap(), &all);
        let from = all.last().map_or(0.0, |(used, _)| *used);
        let left = wear.remaining(from, limit).unwrap();
        let mut before = 0.0;
        for (p, quantile) in [(0.1, left.p10), (0.5, left.p50), (0.9, left.p90)] {
            let Some(quantile) = quantile else {
                before = f64::INFINITY;
                continue;
            };
            prop_assert!(quantile >= before);
            before = quantile;
            let chance = wear.chance_of_limit(from + quantile, limit).unwrap();
            let fits = if quantile > 0.0 { (chance - p).abs() < 1e-6 } else { chance >= p - 1e-9 };
            prop_assert!(fits, "{} {} {}", quantile, chance, p);
        }
    }

    #[test]
    fn a_lower_limit_is_reached_no_sooner(all in brush(), limit in 40.0..110.0_f64, lower in 0.0..30.0_f64) {
        let wear = as_they_come(Wear::new(&ClassPrior::default()).unwrap(), &all);
        let from = all.last().map_or(0.0, |(used, _)| *used);
        let (high, low) = (wear.remaining(from, limit).unwrap(), wear.remaining(from, limit - lower).unwrap());
        for (high, low) in [(high.p10, low.p10), (high.p50, low.p50)] {
            prop_assert!(low.is_none_or(|low| high.is_some_and(|high| high <= low + 1e-9)));
        }
    }

    #[test]
    fn no_reading_upsets_it(used in any::<f64>(), length_mm in any::<f64>()) {
        let mut record = Record::new(Wear::new(&ClassPrior::default()).unwrap());
        let _ = record.tell(Reading { used, length_mm });
        let _ = record.wear.remaining(used, length_mm);
    }
}

#[test]
fn a_new_brush_has_a_forecast_on_day_one() {
    let wear = Wear::new(&ClassPrior::default()).unwrap();
    let left = wear.remaining(0.0, 66.675).unwrap();
    let (p10, p50, p90) = (left.p10.unwrap(), left.p50.unwrap(), left.p90.unwrap());
    close(p50, 900.0, 1e-9);
    assert!(500.0 < p10 && p10 < 700.0, "{left:?}");
    assert!(1_400.0 < p90 && p90 < 2_700.0, "{left:?}");
}

#[test]
fn a_brush_that_wears_fast_takes_over_from_its_class() {
    let all: Vec<_> = (1..=12)
        .map(|nth| 30.0 * f64::from(nth))
        .map(|used| (used, 0.15_f64.mul_add(-used, 140.0)))
        .collect();
    let new = Wear::new(&ClassPrior::default()).unwrap();
    let rate = |count: usize| -as_they_come(new, &all[..count]).line().unwrap().slope;
    let (none, some, many) = (rate(0), rate(3), rate(12));
    assert!(none < some && some < many, "{none} {some} {many}");
    close(none, ClassPrior::default().rate_mm, 1e-9);
    close(many, 0.15, 0.05);
}

#[test]
fn a_given_error_is_kept_whatever_the_readings_say() {
    let prior = ClassPrior {
        error: ReadingError::Given { mm: 0.7 },
        easing: 0.0,
        ..ClassPrior::default()
    };
    let wear = as_they_come(Wear::new(&prior).unwrap(), &[(10.0, 140.0), (20.0, 120.0)]);
    let line = wear.line().unwrap();
    close(line.residual_sd, 0.7, 1e-12);
    assert_eq!(line.degrees_of_freedom, None);
    // A normal variate: 1.2816 deviations (scipy 1.17.1, stats.norm.ppf).
    let forecast = wear.forecast(30.0, Of::Reading).unwrap();
    close(
        (forecast.quantile(0.9) - forecast.median_mm()) / forecast.sd_mm(),
        1.281_551_565_5,
        1e-9,
    );
}

#[test]
fn too_few_readings_give_no_line_and_no_number() {
    let none = Wear::flat();
    assert_eq!(none.line(), Err(WearError::TooFewReadings));
    let two = as_they_come(Wear::flat(), &[(1.0, 5.0), (2.0, 4.0)]);
    assert_eq!(two.line(), Err(WearError::TooFewReadings));
    let same = as_they_come(Wear::flat(), &[(7.0, 5.0), (7.0, 4.0), (7.0, 4.5)]);
    assert_eq!(same.remaining(7.0, 1.0), Err(WearError::TooFewReadings));
}

#[test]
fn a_late_reading_is_refused_where_the_rate_drifts() {
    let mut wear = as_they_come(Wear::new(&ClassPrior::default()).unwrap(), &[(50.0, 130.0)]);
    let before = wear;
    let late = Reading {
        used: 20.0,
        length_mm: 131.0,
    };
    assert_eq!(wear.take(late), Err(WearError::OutOfOrder));
    let none = Reading {
        used: f64::NAN,
        length_mm: 131.0,
    };
    assert_eq!(wear.take(none), Err(WearError::NotANumber("the use")));
    assert_eq!(wear, before);
}

#[test]
fn a_limit_has_the_day_on_which_its_use_is_gone() {
    let day = |nth: u32| chrono::NaiveDate::from_ymd_opt(2031, 6, nth).unwrap();
    let days: Vec<DayUse> = (1..=5)
        .map(|nth| DayUse {
            day: day(nth),
            uses: if nth == 3 { 0.0 } else { 10.0 },
        })
        .collect();
    let left = Remaining {
        p10: Some(0.0),
        p50: Some(21.0),
        p90: Some(41.0),
    };
    assert_eq!(dates(&left, &days), [Some(day(1)), Some(day(4)), None]);
}
