//! Whether the band of the forecast holds what it says, on brushes that do not keep to the forecast's own assumptions.
//!
//! The brushes here wear by another rule than the prior's: rates from half to twice the class's mean, every one as
//! likely (a mean of 1.25); a rate that falls as a power of the length; a slow wave in it, as of a damp and a dry
//! month; readings rounded to the millimetre; and one reading in fifty off by 8 to 30 mm. A reading that is doubted is
//! taken again at once, as a crew would. What is counted is the use left until the brush is truly down to its limit.
//!
//! Measured, of 2,000 brushes, the share whose true remaining use lay between the 10 % and the 90 % quantile:
//!
//! | readings | 0 | 1 | 2 | 3 | 4 | 5 | 6 | 8 | 10 | 15 | 20 | 25 | 30 |
//! |---|---|---|---|---|---|---|---|---|---|---|---|---|---|
//! | held, % | 85 | 86 | 87 | 87 | 86 | 83 | 82 | 82 | 82 | 79 | 78 | 79 | 79 |
//! | truly sooner, % | 12 | 11 | 9 | 7 | 6 | 7 | 7 | 6 | 6 | 6 | 7 | 7 | 7 |
//! | no late end, % | 0 | 9 | 8 | 6 | 3 | 2 | 2 | 2 | 2 | 1 | 1 | 1 | 1 |
//!
//! What led there. Without easing, and with a drift of a fifth of the rate over a life, the band held 44 % after ten
//! readings: the line was sure of itself and wrong. With easing and a drift of 0.3 that was the same for slow and fast
//! brushes it held 73 %, and named no late end for every fifth. With a drift that goes with the brush's own rate it holds.
//! Where all brushes of a class are alike in what the prior does not know, it holds less or more than it says: 55 to 72 %
//! where none eases and all have a wave of a fifth or more, 90 to 97 % where all ease alike and none has a wave.

use super::*;

/// Numbers without a pattern (`SplitMix64`; Steele, Lea and Flood 2014, from memory): small, and the same for ever.
struct Lots(u64);

impl Lots {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Between 0 and 1.
    fn share(&mut self) -> f64 {
        let top = u32::try_from(self.next() >> 32).unwrap();
        (f64::from(top) + 0.5) / 4_294_967_296.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        (high - low).mul_add(self.share(), low)
    }

    /// A standard normal variate (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let (far, turn) = (self.share(), self.share());
        (-2.0 * far.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }
}

const LIMIT_MM: f64 = 66.675;
/// Courts groomed between two readings.
const A_WEEK: f64 = 33.0;

/// A brush as it truly wears.
struct Brush {
    /// Its length after each court, the limit included.
    lengths: Vec<f64>,
}

impl Brush {
    fn drawn(lots: &mut Lots) -> Self {
        let start = lots.between(4.5 * 25.4, 6.0 * 25.4);
        let usual = 133.35 / 2.0 / 900.0;
        let rate = usual * lots.between(0.5, 2.0);
        let power = lots.between(0.0, 1.5);
        let (wave, phase) = (
            lots.between(0.0, 0.25),
            lots.between(0.0, std::f64::consts::TAU),
        );
        let mut lengths = vec![start];
        let (mut length, mut used) = (start, 0.0);
        while length > LIMIT_MM {
            let season = wave.mul_add((used / 130.0 + phase).sin(), 1.0);
            length -= rate * (length / start).powf(power) * season;
            used += 1.0;
            lengths.push(length);
        }
        Self { lengths }
    }

    /// The use at which it is down to its limit.
    fn life(&self) -> f64 {
        f64::from(u32::try_from(self.lengths.len() - 1).unwrap())
    }

    fn read(&self, used: f64, lots: &mut Lots) -> Reading {
        let at = (0_u32..)
            .zip(&self.lengths)
            .find(|(nth, _)| f64::from(*nth) >= used);
        let mut length = at.map_or(LIMIT_MM, |(_, length)| *length);
        length = 0.9_f64.mul_add(lots.normal(), length);
        if lots.share() < 0.02 {
            let sign = if lots.share() < 0.5 { -1.0 } else { 1.0 };
            length += sign * lots.between(8.0, 30.0);
        }
        Reading {
            used,
            length_mm: length.round().max(1.0),
        }
    }
}

/// What became of the brushes still in use after so many readings.
#[derive(Clone, Copy, Default)]
struct Count {
    in_use: u32,
    sooner: u32,
    later: u32,
    endless: u32,
}

impl Count {
    fn share(&self, of: u32) -> f64 {
        f64::from(of) / f64::from(self.in_use)
    }

    fn held(&self) -> f64 {
        self.share(self.in_use - self.sooner - self.later)
    }
}

/// Counts by the number of readings, from none.
fn counted(brushes: u32, most: usize) -> Vec<Count> {
    let mut lots = Lots(20_310_614);
    let new = Record::new(Wear::new(&ClassPrior::default()).unwrap());
    let mut counts = vec![Count::default(); most + 1];
    for _ in 0..brushes {
        let brush = Brush::drawn(&mut lots);
        let mut record = new.clone();
        let mut used = 0.0;
        for count in &mut counts {
            if used >= brush.life() {
                break;
            }
            let left = record.wear.remaining(used, LIMIT_MM).unwrap();
            let truly = brush.life() - used;
            // Where no finite end can be named, the band goes on for ever.
            count.in_use += 1;
            count.sooner += u32::from(left.p10.is_some_and(|early| truly < early));
            count.later += u32::from(left.p90.is_some_and(|late| truly > late));
            count.endless += u32::from(left.p90.is_none());
            used += A_WEEK;
            if let Told::Doubted(_) = record.tell(brush.read(used, &mut lots)).unwrap() {
                record.tell(brush.read(used, &mut lots)).unwrap();
            }
        }
    }
    counts
}

#[test]
fn the_band_holds_what_it_says() {
    for (readings, count) in counted(2_000, 30).into_iter().enumerate() {
        let held = count.held();
        println!(
            "{readings} readings: {} in use, held {held:.3}, sooner {:.3}, later {:.3}, no late end {:.3}",
            count.in_use,
            count.share(count.sooner),
            count.share(count.later),
            count.share(count.endless),
        );
        assert!(
            readings < 3 || (0.75..=0.88).contains(&held),
            "{readings} readings: {held}"
        );
    }
}
