//! A first plan without the solver: the most urgent first, each to the nearest place that still has
//! room. And any plan as a solution of the programme.

use haulout_schemas::vocabulary::Triage;

use super::model::{Model, Part, Whole};

/// A plan of a part: animals of each arc.
pub(crate) type Amounts = Vec<u32>;

impl Model {
    /// The plan as values of all columns.
    pub fn values(&self, whole: &Whole<'_>, part: &Part, amounts: &[u32]) -> Vec<f64> {
        let mut values = vec![0.0; self.program.upper.len()];
        for (columns, amount) in self.arcs.iter().zip(amounts) {
            self.set(&mut values, columns, *amount);
        }
        let mut left: Vec<u32> =
            part.requests.iter().map(|request| whole.task.requests[*request].individual_count).collect();
        for (columns, amount) in self.arcs.iter().zip(amounts) {
            // A solution that places more than there are does not hold, and is seen not to.
            left[columns.request] = left[columns.request].saturating_sub(*amount);
        }
        for ((column, step), left) in self.unplaced.iter().zip(left) {
            values[*column] = f64::from(left / step);
        }
        values[self.load] = as_figure(self.highest_load(amounts, 0));
        values
    }

    fn set(&self, values: &mut [f64], columns: &super::model::ArcColumns, amount: u32) {
        values[columns.x] = f64::from(amount / columns.step);
        if let Some(units) = columns.units {
            values[units] = f64::from(amount.div_ceil(columns.cap));
        }
        if let Some(heads) = columns.heads {
            values[heads] += f64::from(amount);
        }
        if amount > 0 {
            for one in &columns.ones {
                values[*one] = 1.0;
            }
        }
    }

    /// The highest load of the part's centres, no less than `least`.
    pub fn highest_load(&self, amounts: &[u32], least: u64) -> u64 {
        let loads = self.loads.iter().map(|(load, arcs)| {
            let placed: u64 = arcs.iter().map(|at| u64::from(amounts[*at])).sum();
            ((load.present + placed) * 1000).div_ceil(load.heads)
        });
        loads.max().unwrap_or(0).max(least)
    }

    /// What the plan comes to in a stage.
    pub fn cost(&self, costs: &[f64], values: &[f64]) -> u64 {
        let cost: f64 = costs.iter().zip(values).map(|(cost, value)| cost * value).sum();
        as_count(cost)
    }

    /// The plan of a solution: whole animals of each arc.
    pub fn amounts(&self, values: &[f64]) -> Amounts {
        let amounts = self.arcs.iter();
        amounts
            .map(|columns| {
                let of_x = u32::try_from(as_count(values[columns.x])).unwrap_or(u32::MAX);
                of_x.saturating_mul(columns.step)
            })
            .collect()
    }

    /// True when every row and column holds.
    pub fn holds(&self, values: &[f64]) -> bool {
        let columns = self.program.upper.iter().zip(values);
        let mut columns = columns.map(|(upper, value)| *value >= 0.0 && *value <= upper + 1e-6);
        columns.all(|holds| holds)
            && self.program.rows.iter().all(|row| {
                let sum: f64 = row.terms.iter().map(|(column, factor)| factor * values[*column]).sum();
                sum >= row.lower - 1e-6 && sum <= row.upper + 1e-6
            })
    }

    /// A first plan.
    pub fn first(&self, whole: &Whole<'_>, part: &Part) -> Amounts {
        let mut rows_of: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.program.upper.len()];
        for (row_at, row) in self.program.rows.iter().enumerate() {
            for (column, factor) in &row.terms {
                rows_of[*column].push((row_at, *factor));
            }
        }
        let nobody = vec![0; self.arcs.len()];
        let mut values = self.values(whole, part, &nobody);
        // The load is a consequence here, not a limit.
        values[self.load] = self.program.upper[self.load];
        let mut sums: Vec<f64> = self.program.rows.iter().map(|_| 0.0).collect();
        for (row, sum) in self.program.rows.iter().zip(&mut sums) {
            *sum = row.terms.iter().map(|(column, factor)| factor * values[*column]).sum();
        }
        let mut ground = Ground { model: self, rows_of, values, sums, amounts: nobody };
        let mut of_request: Vec<Vec<usize>> = vec![Vec::new(); part.requests.len()];
        for (at, columns) in self.arcs.iter().enumerate() {
            of_request[columns.request].push(at);
        }
        let mut order: Vec<usize> = (0..part.requests.len()).collect();
        order.sort_by_key(|at| {
            let request = &whole.task.requests[part.requests[*at]];
            let urgent = match request.triage {
                Triage::Red => 0,
                Triage::Yellow => 1,
                Triage::Green => 2,
            };
            // Who has fewest places chooses first.
            (urgent, of_request[*at].len(), std::cmp::Reverse(request.individual_count), *at)
        });
        for at in order {
            let mut left = whole.task.requests[part.requests[at]].individual_count;
            let mut arcs = of_request[at].clone();
            arcs.sort_by(|one, other| {
                let near = |at: &usize| self.minutes[self.arcs[*at].x] / f64::from(self.arcs[*at].step);
                near(one).total_cmp(&near(other)).then(one.cmp(other))
            });
            for arc in arcs {
                if left == 0 {
                    break;
                }
                left -= ground.most(at, arc, left);
            }
        }
        ground.amounts
    }
}

/// A plan in the making, with what each row comes to.
struct Ground<'a> {
    model: &'a Model,
    rows_of: Vec<Vec<(usize, f64)>>,
    values: Vec<f64>,
    sums: Vec<f64>,
    amounts: Amounts,
}

impl Ground<'_> {
    /// Puts the most that goes, up to `left`, into an arc, and says how many.
    fn most(&mut self, request: usize, arc: usize, left: u32) -> u32 {
        let step = self.model.arcs[arc].step;
        let (mut fits, mut beyond) = (0, left / step + 1);
        // All at once goes most often.
        let mut next = beyond - 1;
        while beyond - fits > 1 {
            if self.tried(request, arc, next * step) {
                fits = next;
            } else {
                beyond = next;
            }
            next = fits + (beyond - fits) / 2;
        }
        if fits > 0 {
            self.put(request, arc, fits * step);
        }
        fits * step
    }

    fn changes(&self, request: usize, arc: usize, amount: u32) -> Vec<(usize, f64)> {
        let columns = &self.model.arcs[arc];
        let mut after = vec![(columns.x, f64::from(amount / columns.step))];
        if let Some(units) = columns.units {
            after.push((units, f64::from(amount.div_ceil(columns.cap))));
        }
        if let Some(heads) = columns.heads {
            after.push((heads, self.values[heads] + f64::from(amount)));
        }
        after.extend(columns.ones.iter().map(|one| (*one, 1.0)));
        let (unplaced, step) = self.model.unplaced[request];
        after.push((unplaced, self.values[unplaced] - f64::from(amount / step)));
        after
    }

    fn tried(&self, request: usize, arc: usize, amount: u32) -> bool {
        let changes = self.changes(request, arc, amount);
        let mut sums: Vec<(usize, f64)> = Vec::new();
        for (column, after) in &changes {
            if *after > self.model.program.upper[*column] || *after < 0.0 {
                return false;
            }
            let more = after - self.values[*column];
            sums.extend(self.rows_of[*column].iter().map(|(row, factor)| (*row, factor * more)));
        }
        sums.sort_unstable_by_key(|(row, _)| *row);
        sums.chunk_by(|one, other| one.0 == other.0).all(|of_row| {
            let Some((row_at, _)) = of_row.first() else { return true };
            let row = &self.model.program.rows[*row_at];
            let sum = self.sums[*row_at] + of_row.iter().map(|(_, more)| more).sum::<f64>();
            sum >= row.lower - 1e-6 && sum <= row.upper + 1e-6
        })
    }

    fn put(&mut self, request: usize, arc: usize, amount: u32) {
        for (column, after) in self.changes(request, arc, amount) {
            let more = after - self.values[column];
            self.values[column] = after;
            for (row, factor) in &self.rows_of[column] {
                self.sums[*row] += factor * more;
            }
        }
        self.amounts[arc] = amount;
    }
}

/// A whole figure as the solver takes it.
pub(crate) fn as_figure(count: u64) -> f64 {
    // Objectives are far below the whole numbers that a double holds exactly.
    #[allow(clippy::cast_precision_loss)]
    let figure = count as f64;
    figure
}

/// The solver's figure as a whole number, zero at least.
pub(crate) fn as_count(figure: f64) -> u64 {
    // A float cast saturates, which is what is wanted here.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = figure.round() as u64;
    count
}
