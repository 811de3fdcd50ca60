//! What requests share out among themselves: the rows of the programme that a request's own placing
//! does not already keep.

use crate::plan::model::{ArcColumns, Model};
use crate::plan::program::Row;
use crate::plan::start::as_count;

/// Rows of the form "no more than", with factors that are not below zero.
pub(crate) struct Coupled {
    pub limits: Vec<f64>,
    /// By column of the programme: rows, with the factor.
    by_column: Vec<Vec<(usize, f64)>>,
}

impl Coupled {
    /// Those of a programme and of what earlier stages fixed. Rows that say what a column means have
    /// factors below zero and hold for every placing as it is written down; what does not reach its
    /// limit, however much is placed, binds nobody.
    pub fn of(model: &Model, fixed: &[Row]) -> Self {
        let mut heads_of: Vec<Vec<(usize, f64)>> = vec![Vec::new(); model.program.upper.len()];
        for columns in &model.arcs {
            if let Some(heads) = columns.heads {
                heads_of[heads].push((columns.x, f64::from(columns.step)));
            }
        }
        let mut coupled = Self { limits: Vec::new(), by_column: vec![Vec::new(); model.program.upper.len()] };
        for row in model.program.rows.iter().chain(fixed) {
            if row.lower.is_finite() || row.terms.iter().any(|(_, factor)| *factor < 0.0) {
                continue;
            }
            let mut terms: Vec<(usize, f64)> = Vec::new();
            for (column, factor) in &row.terms {
                match heads_of[*column].as_slice() {
                    [] => terms.push((*column, *factor)),
                    // The heads of a shared unit are the animals of all who come to it.
                    heads => terms.extend(heads.iter().map(|(x, step)| (*x, step * factor))),
                }
            }
            let most: f64 = terms.iter().map(|(column, factor)| factor * model.program.upper[*column]).sum();
            if most > row.upper {
                let at = coupled.limits.len();
                coupled.limits.push(row.upper);
                for (column, factor) in terms {
                    coupled.by_column[column].push((at, factor));
                }
            }
        }
        coupled
    }

    /// What columns at these values come to in each row.
    pub fn sums(&self, values: &[(usize, f64)]) -> Vec<(usize, f64)> {
        let mut sums: Vec<(usize, f64)> = Vec::new();
        for (column, value) in values {
            sums.extend(self.by_column[*column].iter().map(|(row, factor)| (*row, factor * value)));
        }
        sums.sort_unstable_by_key(|(row, _)| *row);
        sums.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        sums
    }
}

/// What placings are priced at: the costs of columns, less what the duals make of what they take, and
/// what is left of each row.
pub(crate) struct Terms<'a> {
    pub model: &'a Model,
    pub coupled: &'a Coupled,
    pub costs: &'a [f64],
    pub duals: &'a [f64],
    pub left: &'a [f64],
}

impl Terms<'_> {
    pub fn price(&self, column: usize) -> f64 {
        let rows = self.coupled.by_column[column].iter();
        self.costs[column] - rows.map(|(row, factor)| self.duals[*row] * factor).sum::<f64>()
    }

    /// The most that an arc by itself can take, in steps of its column.
    pub fn most(&self, columns: &ArcColumns) -> u32 {
        let times = |column: usize| {
            let rows = self.coupled.by_column[column].iter().filter(|(_, factor)| *factor > 0.0);
            rows.map(|(row, factor)| (self.left[*row] / factor + 1e-6).floor()).fold(f64::INFINITY, f64::min)
        };
        if columns.ones.iter().any(|one| times(*one) < 1.0) {
            return 0;
        }
        let units = columns.units.map_or(f64::INFINITY, |units| times(units) * f64::from(columns.cap));
        let most = self.model.program.upper[columns.x].min(times(columns.x)).min(units);
        u32::try_from(as_count(most.max(0.0))).unwrap_or(u32::MAX)
    }
}

/// Columns of a request's placing that are not zero: where its animals go, and how many of `count` do
/// not.
pub(crate) fn values(
    model: &Model,
    request: usize,
    count: u32,
    places: &[(usize, u32)],
) -> Vec<(usize, f64)> {
    let mut values: Vec<(usize, f64)> = Vec::new();
    let mut ones: Vec<usize> = Vec::new();
    let mut placed = 0;
    for (at, amount) in places {
        let ArcColumns { x, step, units, cap, ones: of_arc, .. } = &model.arcs[*at];
        placed += amount;
        values.push((*x, f64::from(amount / step)));
        if let Some(units) = units {
            values.push((*units, f64::from(amount.div_ceil(*cap))));
        }
        ones.extend(of_arc);
    }
    ones.sort_unstable();
    ones.dedup();
    values.extend(ones.into_iter().map(|one| (one, 1.0)));
    let (unplaced, step) = model.unplaced[request];
    let left = count.saturating_sub(placed) / step;
    if left > 0 {
        values.push((unplaced, f64::from(left)));
    }
    values
}
