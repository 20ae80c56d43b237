//! How a part's length against its use is drawn: where its lines lie, without a word and without a colour. Pages and mail draw
//! it each in their own way, and say the same figures in words beside it.

/// The drawing's measures, in its own units; it is as wide as its place.
pub const WIDTH: i64 = 640;
/// Its height.
pub const HEIGHT: i64 = 260;
/// What is left free for the lengths.
pub const LEFT: i64 = 96;
/// What is left free for the uses.
pub const BOTTOM: i64 = 36;
/// What is left free above.
pub const TOP: i64 = 18;
/// What is left free at the end.
pub const RIGHT: i64 = 10;

/// A length that is expected at some use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ahead {
    /// The use, m.
    pub used_m: i64,
    /// One time in ten it is shorter, µm.
    pub low_um: i64,
    /// As likely shorter as longer, µm.
    pub likely_um: i64,
    /// One time in ten it is longer, µm.
    pub high_um: i64,
}

/// What is drawn.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Drawing {
    /// The most use that has a place, m.
    pub most_m: i64,
    /// The greatest length that has a place, µm.
    pub most_um: i64,
    /// The length at which it is worn out, as a height.
    pub limit_y: i64,
    /// The use so far, as a place along.
    pub now_x: i64,
    /// The two axes, as an SVG path.
    pub axes: String,
    /// The likely range of what is to come, as an SVG path.
    pub band: String,
    /// What is likely to come, as an SVG path.
    pub ahead: String,
    /// Its length so far, as an SVG path.
    pub line: String,
    /// The length at which it is worn out, as an SVG path.
    pub limit: String,
    /// The use so far, as an SVG path.
    pub now: String,
    /// Where what was measured lies.
    pub dots: Vec<(i64, i64)>,
}

/// A part's life in figures: uses in m, lengths in µm.
#[derive(Clone, Copy, Debug)]
pub struct Life<'a> {
    /// Its length when new.
    pub start_um: i64,
    /// The length at which it is worn out.
    pub limit_um: i64,
    /// How far it was pulled so far.
    pub used_m: i64,
    /// Its length at uses so far, in order.
    pub line: &'a [(i64, i64)],
    /// What was measured of it.
    pub measured: &'a [(i64, i64)],
    /// What is to come, in order.
    pub ahead: &'a [Ahead],
}

impl Drawing {
    /// Draws a part's life.
    pub fn of(life: &Life<'_>) -> Self {
        let ends = life.ahead.last().map_or(0, |point| point.used_m);
        let scale = Self {
            most_m: ends.max(life.used_m).max(1),
            most_um: life.start_um.max(1),
            ..Self::default()
        };
        let ahead = life.ahead.iter();
        let above = ahead.clone().map(|point| (point.used_m, point.high_um));
        let below = ahead.clone().map(|point| (point.used_m, point.low_um));
        let mut band = scale.path(above.chain(below.rev()));
        if !band.is_empty() {
            band.push('Z');
        }
        let (floor, end) = (HEIGHT - BOTTOM, WIDTH - RIGHT);
        let (limit_y, now_x) = (scale.y(life.limit_um), scale.x(life.used_m));
        Self {
            limit_y,
            now_x,
            axes: format!("M{LEFT} {TOP}V{floor}H{end}"),
            band,
            ahead: scale.path(ahead.map(|point| (point.used_m, point.likely_um))),
            line: scale.path(life.line.iter().copied()),
            limit: format!("M{LEFT} {limit_y}H{end}"),
            now: format!("M{now_x} {TOP}V{floor}"),
            dots: life.measured.iter().map(|at| scale.place(*at)).collect(),
            ..scale
        }
    }

    /// Where a length at some use lies.
    pub fn place(&self, (used_m, um): (i64, i64)) -> (i64, i64) {
        (self.x(used_m), self.y(um))
    }

    fn x(&self, used_m: i64) -> i64 {
        LEFT + used_m.clamp(0, self.most_m) * (WIDTH - LEFT - RIGHT) / self.most_m
    }

    fn y(&self, um: i64) -> i64 {
        let most = self.most_um;
        HEIGHT - BOTTOM - um.clamp(0, most) * (HEIGHT - BOTTOM - TOP) / most
    }

    fn path(&self, points: impl Iterator<Item = (i64, i64)>) -> String {
        let steps = points.enumerate().map(|(nth, at)| {
            let how = if nth == 0 { 'M' } else { 'L' };
            let (x, y) = self.place(at);
            format!("{how}{x} {y}")
        });
        steps.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIFE: Life<'_> = Life {
        start_um: 100_000,
        limit_um: 50_000,
        used_m: 1_000,
        line: &[(0, 100_000), (1_000, 80_000)],
        measured: &[(500, 90_000), (900, 140_000)],
        ahead: &[],
    };

    #[test]
    fn a_longer_part_lies_higher_and_a_later_use_further_along_and_all_within_the_drawing() {
        let ahead = [(1_000, 80_000), (2_000, 50_000)].map(|(used_m, um)| Ahead {
            used_m,
            low_um: um - 5_000,
            likely_um: um,
            high_um: um + 5_000,
        });
        let drawn = Drawing::of(&Life {
            ahead: &ahead,
            ..LIFE
        });
        let (new, worn) = (drawn.place((0, 100_000)), drawn.place((2_000, 50_000)));
        assert_eq!((new, worn), ((LEFT, TOP), (WIDTH - RIGHT, drawn.limit_y)));
        assert!(drawn.now_x > LEFT && drawn.now_x < WIDTH - RIGHT);
        // Longer than new it cannot be drawn: it lies at the top.
        assert_eq!(drawn.dots[1].1, TOP);
        assert!(drawn.band.starts_with('M') && drawn.band.ends_with('Z'));
    }

    #[test]
    fn a_part_of_which_nothing_is_to_come_has_no_band_and_an_unused_one_is_drawn_all_the_same() {
        let drawn = Drawing::of(&LIFE);
        assert_eq!((drawn.band.as_str(), drawn.ahead.as_str()), ("", ""));
        let unused = Drawing::of(&Life {
            used_m: 0,
            start_um: 0,
            line: &[],
            measured: &[],
            ..LIFE
        });
        assert_eq!(unused.now_x, LEFT);
    }
}
