//! A relaxation that grows by columns, solved again from where it stood.

use std::time::Instant;

use highs::{Col, ColProblem, HighsModelStatus, Model, Row, Sense};

use super::program::{REFUSED, with_threads};

/// What the solver says of it.
#[derive(Debug, Clone)]
pub(crate) struct Relaxed {
    pub objective: f64,
    pub columns: Vec<f64>,
    pub duals: Vec<f64>,
    /// Reduced costs of the columns.
    pub reduced: Vec<f64>,
}

/// The relaxation.
pub(crate) struct Growing {
    /// The solver takes it and gives it back.
    model: Option<Model>,
    rows: Vec<Row>,
    columns: Vec<Col>,
    /// Columns have come in since it was last solved.
    columns_came: bool,
    /// It was not solved yet: the dual method begins.
    fresh: bool,
    /// Seconds that it has taken so far: the solver's limit counts from its first run.
    spent: f64,
}

/// The simplex methods, in the solver's own numbers. New columns leave the last solution standing, which
/// the primal method goes on from; new rows leave its duals, which the dual method does.
const DUAL: i32 = 1;
const PRIMAL: i32 = 4;
const LOST: &str = "the solver lost its model";

impl Growing {
    /// With so many rows that come to one, and no column yet.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn of(rows: usize) -> Result<Self, String> {
        let mut problem = ColProblem::new();
        let rows = (0..rows).map(|_| problem.add_row(1.0..=1.0)).collect();
        let mut model = problem.try_optimise(Sense::Minimise).map_err(told)?;
        with_threads(&mut model)?;
        Ok(Self {
            model: Some(model),
            rows,
            columns: Vec::new(),
            columns_came: false,
            fresh: true,
            spent: 0.0,
        })
    }

    /// Adds a column, not below zero, and says which it is.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn add(&mut self, cost: f64, terms: &[(usize, f64)]) -> Result<usize, String> {
        let terms = terms.iter().map(|(row, factor)| (self.rows[*row], *factor)).collect::<Vec<_>>();
        let model = self.model.as_mut().ok_or(LOST)?;
        self.columns_came = !self.fresh;
        self.columns.push(model.try_add_column(cost, 0.0.., terms).map_err(told)?);
        Ok(self.columns.len() - 1)
    }

    /// Adds a row that the terms, of columns, stay below.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn limit(&mut self, limit: f64, terms: &[(usize, f64)]) -> Result<usize, String> {
        let terms = terms.iter().map(|(column, factor)| (self.columns[*column], *factor)).collect::<Vec<_>>();
        let model = self.model.as_mut().ok_or(LOST)?;
        self.rows.push(model.try_add_row(..=limit, terms).map_err(told)?);
        Ok(self.rows.len() - 1)
    }

    /// Holds a column at one, or lets it go.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn hold(&mut self, column: usize, held: bool) -> Result<(), String> {
        let model = self.model.as_mut().ok_or(LOST)?;
        let least = if held { 1.0 } else { 0.0 };
        model.change_column_bounds(self.columns[column], least..);
        Ok(())
    }

    /// Solves it; nothing where the time was not enough, or there is no solution.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn solve(&mut self, seconds: f64) -> Result<Option<Relaxed>, String> {
        let mut model = self.model.take().ok_or(LOST)?;
        let limit = self.spent + seconds.max(0.01);
        let method = if self.columns_came { PRIMAL } else { DUAL };
        let refused = |_| REFUSED.to_owned();
        model.try_set_option("time_limit", limit).map_err(refused)?;
        model.try_set_option("simplex_strategy", method).map_err(refused)?;
        self.columns_came = false;
        self.fresh = false;
        let began = Instant::now();
        let solved = model.try_solve().map_err(told)?;
        self.spent += began.elapsed().as_secs_f64();
        let relaxed = (solved.status() == HighsModelStatus::Optimal).then(|| {
            let solution = solved.get_solution();
            Relaxed {
                objective: solved.objective_value(),
                columns: solution.columns().to_vec(),
                duals: solution.dual_rows().to_vec(),
                reduced: solution.dual_columns().to_vec(),
            }
        });
        self.model = Some(solved.into());
        Ok(relaxed)
    }
}

fn told(status: highs::HighsStatus) -> String {
    format!("{status:?}")
}
