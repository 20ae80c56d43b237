//! The restricted master: the cheapest mix of the rounds known so far, and the prices at which it is so.
//!
//! Rows: every visit once, by rounds or by leaving it out; no more rounds of a group than it has crews; the
//! limits of tools; for each group the seconds above the fair share. A primal simplex with the inverse of the
//! basis kept dense: a day has few rows, leaving everything out is a basis to begin with, and rounds are only
//! ever added. The prices it gives are only suggestions, so its rounding does no harm.

use super::pricing::Halt;

/// Reduced costs above this, in cents, do not count.
const EPSILON: f64 = 1e-7;
/// Columns that are looked at again before all are.
const CANDIDATES: usize = 40;
/// Pivots after which the inverse is computed anew.
const FRESH: usize = 150;

/// A column: its cost in cents and what it adds to the rows.
#[derive(Debug)]
pub(super) struct Column {
    pub cost: f64,
    pub rows: Vec<(usize, f64)>,
}

/// A linear problem: least cost with every row's sum equal to its side, no column below nothing.
#[derive(Debug)]
pub(super) struct Master {
    columns: Vec<Column>,
    side: Vec<f64>,
    /// The column of each row.
    basis: Vec<usize>,
    basic: Vec<bool>,
    /// Row by row.
    inverse: Vec<Vec<f64>>,
    amounts: Vec<f64>,
    /// What one more of each row's side costs, in cents.
    pub prices: Vec<f64>,
    pivots: usize,
}

impl Master {
    /// Begins with one column of one row each, in order, as the basis.
    pub fn new(side: Vec<f64>, costs: &[f64]) -> Self {
        let m = side.len();
        let unit = |i: usize| (0..m).map(|k| f64::from(u8::from(k == i))).collect();
        let column = |(i, &cost): (usize, &f64)| Column {
            cost,
            rows: vec![(i, 1.0)],
        };
        Self {
            columns: costs.iter().enumerate().map(column).collect(),
            basis: (0..m).collect(),
            basic: vec![true; m],
            inverse: (0..m).map(unit).collect(),
            amounts: side.clone(),
            prices: costs.to_vec(),
            side,
            pivots: 0,
        }
    }

    pub fn add(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.basic.push(false);
        self.columns.len() - 1
    }

    /// Makes a column too dear to be used.
    pub fn forbid(&mut self, column: usize) {
        self.columns[column].cost = 1e12;
    }

    /// What a column costs beside the prices, in cents.
    pub fn reduced(&self, column: &Column) -> f64 {
        let worth: f64 = column.rows.iter().map(|&(i, a)| a * self.prices[i]).sum();
        column.cost - worth
    }

    pub fn cost(&self) -> f64 {
        let each = self.basis.iter().zip(&self.amounts);
        each.map(|(&j, x)| self.columns[j].cost * x).sum()
    }

    /// The columns in use.
    pub fn used(&self) -> impl Iterator<Item = usize> {
        let all = self.basis.iter().copied().zip(&self.amounts);
        all.filter(|&(_, &x)| x > 1e-4).map(|(column, _)| column)
    }

    /// Finds the least cost, or comes near it in so many pivots. Stopped on the way it has nothing to say.
    pub fn solve(&mut self, most: usize, go_on: &mut dyn FnMut() -> bool) -> Result<(), Halt> {
        self.refresh();
        let mut some = Vec::new();
        for _ in 0..most {
            let enter = self.cheapest(&some).or_else(|| {
                some = self.candidates();
                self.cheapest(&some)
            });
            let Some(enter) = enter else { break };
            let Some((row, direction)) = self.leaving(enter) else {
                break;
            };
            self.pivot(row, enter, &direction);
            if !go_on() {
                return Err(Halt::Stopped);
            }
        }
        Ok(())
    }

    /// The columns that are worth most to take in.
    fn candidates(&self) -> Vec<usize> {
        let free = (0..self.columns.len()).filter(|&j| !self.basic[j]);
        let costs = free.map(|j| (self.reduced(&self.columns[j]), j));
        let mut some: Vec<(f64, usize)> = costs.filter(|c| c.0 < -EPSILON).collect();
        some.sort_by(|a, b| a.0.total_cmp(&b.0));
        some.into_iter().take(CANDIDATES).map(|c| c.1).collect()
    }

    fn cheapest(&self, some: &[usize]) -> Option<usize> {
        let free = some.iter().copied().filter(|&j| !self.basic[j]);
        let costs = free.map(|j| (self.reduced(&self.columns[j]), j));
        let (cost, column) = costs.min_by(|a, b| a.0.total_cmp(&b.0))?;
        (cost < -EPSILON).then_some(column)
    }

    fn leaving(&self, enter: usize) -> Option<(usize, Vec<f64>)> {
        let rows = &self.columns[enter].rows;
        let direction: Vec<f64> = self
            .inverse
            .iter()
            .map(|row| rows.iter().map(|&(k, a)| row[k] * a).sum())
            .collect();
        let mut best: Option<(f64, usize)> = None;
        for (i, &d) in direction.iter().enumerate() {
            if d < 1e-9 {
                continue;
            }
            let ratio = self.amounts[i].max(0.0) / d;
            let better = best.is_none_or(|(least, at)| {
                ratio < least - 1e-12 || ratio < least + 1e-12 && d > direction[at]
            });
            if better {
                best = Some((ratio, i));
            }
        }
        best.map(|(_, i)| (i, direction))
    }

    fn pivot(&mut self, row: usize, enter: usize, direction: &[f64]) {
        let reduced = self.reduced(&self.columns[enter]);
        let by = 1.0 / direction[row];
        let mut pivot = std::mem::take(&mut self.inverse[row]);
        for x in &mut pivot {
            *x *= by;
        }
        let amount = self.amounts[row].max(0.0) * by;
        for (i, &d) in direction.iter().enumerate() {
            if i != row && d != 0.0 {
                for (x, p) in self.inverse[i].iter_mut().zip(&pivot) {
                    *x -= d * p;
                }
                self.amounts[i] -= d * amount;
            }
        }
        self.amounts[row] = amount;
        for (price, p) in self.prices.iter_mut().zip(&pivot) {
            *price += reduced * p;
        }
        self.inverse[row] = pivot;
        self.basic[self.basis[row]] = false;
        self.basic[enter] = true;
        self.basis[row] = enter;
        self.pivots += 1;
        if self.pivots.is_multiple_of(FRESH) {
            self.invert();
            self.refresh();
        }
    }

    /// Computes prices and amounts from the inverse.
    fn refresh(&mut self) {
        let m = self.side.len();
        self.prices = vec![0.0; m];
        for (row, &j) in self.inverse.iter().zip(&self.basis) {
            let cost = self.columns[j].cost;
            for (price, x) in self.prices.iter_mut().zip(row) {
                *price += cost * x;
            }
        }
        let amount = |row: &Vec<f64>| row.iter().zip(&self.side).map(|(x, s)| x * s).sum();
        self.amounts = self.inverse.iter().map(amount).collect();
    }

    /// Inverts the basis (Gauss-Jordan with row exchange); leaves the old inverse where it is singular.
    fn invert(&mut self) {
        let m = self.side.len();
        let mut left = vec![vec![0.0; m]; m];
        for (k, &j) in self.basis.iter().enumerate() {
            for &(i, a) in &self.columns[j].rows {
                left[i][k] += a;
            }
        }
        let unit = |i: usize| -> Vec<f64> { (0..m).map(|k| f64::from(u8::from(k == i))).collect() };
        let mut right: Vec<Vec<f64>> = (0..m).map(unit).collect();
        for k in 0..m {
            let at = (k..m).max_by(|&a, &b| left[a][k].abs().total_cmp(&left[b][k].abs()));
            let Some(at) = at.filter(|&at| left[at][k].abs() > 1e-10) else {
                return;
            };
            left.swap(k, at);
            right.swap(k, at);
            let by = 1.0 / left[k][k];
            let (l, r) = (std::mem::take(&mut left[k]), std::mem::take(&mut right[k]));
            let (l, r): (Vec<f64>, Vec<f64>) = (
                l.iter().map(|x| x * by).collect(),
                r.iter().map(|x| x * by).collect(),
            );
            for i in (0..m).filter(|&i| i != k) {
                let f = left[i][k];
                if f != 0.0 {
                    for (x, y) in left[i].iter_mut().zip(&l).skip(k) {
                        *x -= f * y;
                    }
                    for (x, y) in right[i].iter_mut().zip(&r) {
                        *x -= f * y;
                    }
                }
            }
            (left[k], right[k]) = (l, r);
        }
        self.inverse = right;
    }
}
