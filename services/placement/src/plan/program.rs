//! An integer programme, and the solver behind it.

use highs::{Col, HighsModelStatus, HighsSolutionStatus, RowProblem, Sense};

/// Threads of the solver. It has one scheduler for the whole process, which takes one number only.
const THREADS: i32 = 2;

/// Simplifications that the solver leaves out, by the bits of its `presolve_rule_off`: the enumeration of
/// rows, seventeenth of its rules. It may drop a row of which exactly one column is to be one, and then says
/// that no plan exists, or one that breaks the rows (ERGO-Code/HiGHS issue 3216; versions 1.14 to 1.16).
const WITHOUT_ENUMERATION: i32 = 1 << 16;

/// Columns, all whole and not below zero, and rows.
#[derive(Debug, Clone, Default)]
pub(crate) struct Program {
    /// Upper end of each column.
    pub upper: Vec<f64>,
    pub rows: Vec<Row>,
}

/// A row: lower end, upper end, terms.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub lower: f64,
    pub upper: f64,
    pub terms: Vec<(usize, f64)>,
}

impl Row {
    pub fn at_most(upper: f64, terms: Vec<(usize, f64)>) -> Self {
        Self { lower: f64::NEG_INFINITY, upper, terms }
    }

    pub fn at_least(lower: f64, terms: Vec<(usize, f64)>) -> Self {
        Self { lower, upper: f64::INFINITY, terms }
    }

    pub fn exactly(value: f64, terms: Vec<(usize, f64)>) -> Self {
        Self { lower: value, upper: value, terms }
    }
}

impl Program {
    pub fn column(&mut self, upper: f64) -> usize {
        self.upper.push(upper);
        self.upper.len() - 1
    }

    pub fn row(&mut self, row: Row) {
        self.rows.push(row);
    }
}

/// How to solve.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Effort {
    pub seconds: f64,
    /// Whole numbers, or the relaxation.
    pub whole: bool,
    pub presolve: bool,
    /// A gap, relative to the objective, at which it may stop.
    pub gap: f64,
}

/// What the solver starts from.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Start<'a> {
    /// A solution known.
    pub values: Option<&'a [f64]>,
    /// Columns that stay at its value.
    pub held: Option<&'a [bool]>,
}

/// What the solver says.
#[derive(Debug, Clone)]
pub(crate) struct Solved {
    /// Value of each column, where a solution was found.
    pub values: Option<Vec<f64>>,
    /// What no solution goes below; minus infinity where nothing is proven.
    pub bound: f64,
    /// Its word cannot be taken: it gave up, it says that there is no solution, or its solution does not
    /// cost what it says. The second has been seen where an earlier objective is fixed, the third where it
    /// was given a start: it proved the optimum and returned the start.
    pub doubtful: bool,
    /// Its own words, where it gave up.
    pub failure: Option<String>,
    /// Reduced costs of the columns, of a relaxation.
    pub reduced: Vec<f64>,
}

impl Solved {
    fn failed(words: String) -> Self {
        let (values, bound) = (None, f64::NEG_INFINITY);
        Self { values, bound, doubtful: true, failure: Some(words), reduced: Vec::new() }
    }
}

pub(crate) const REFUSED: &str = "an option was refused";

/// Gives a model the threads that every model has.
///
/// # Errors
/// When the solver refuses them.
pub(crate) fn with_threads(model: &mut highs::Model) -> Result<(), String> {
    model.try_set_option("threads", THREADS).map_err(|_| REFUSED.to_owned())
}

/// Minimises `costs` over the programme with `more` rows.
///
/// # Errors
/// The solver's own words, where it does not take the programme.
pub(crate) fn minimise(
    program: &Program,
    more: &[Row],
    costs: &[f64],
    start: Start<'_>,
    effort: Effort,
) -> Result<Solved, String> {
    // Only what is open goes to the solver: on a large programme, of which a part is free, most of the
    // time would go into reading the rest.
    let settled: Vec<Option<f64>> = (0..costs.len())
        .map(|at| match (start.held, start.values) {
            (Some(held), Some(values)) if held[at] => Some(values[at]),
            _ => (program.upper[at] == 0.0).then_some(0.0),
        })
        .collect();
    let known: f64 = settled.iter().zip(costs).map(|(settled, cost)| settled.unwrap_or(0.0) * cost).sum();
    let mut problem = RowProblem::default();
    let columns: Vec<Option<Col>> = (0..costs.len())
        .map(|at| {
            let ends = 0.0..=program.upper[at];
            let open = settled[at].is_none();
            open.then(|| problem.add_column_with_integrality(costs[at], ends, effort.whole))
        })
        .collect();
    for row in program.rows.iter().chain(more) {
        let taken: f64 =
            row.terms.iter().map(|(column, factor)| settled[*column].unwrap_or(0.0) * factor).sum();
        let open = row.terms.iter().filter_map(|(column, factor)| Some((columns[*column]?, *factor)));
        let open: Vec<(Col, f64)> = open.collect();
        if !open.is_empty() {
            problem.add_row(row.lower - taken..=row.upper - taken, open);
        }
    }
    let told = |status| format!("{status:?}");
    let mut model = problem.try_optimise(Sense::Minimise).map_err(told)?;
    let refused = |_| REFUSED.to_owned();
    with_threads(&mut model)?;
    model.try_set_option("time_limit", effort.seconds.max(0.01)).map_err(refused)?;
    model.try_set_option("mip_rel_gap", effort.gap).map_err(refused)?;
    // Objectives are whole numbers: a bound less than one below is a proof.
    model.try_set_option("mip_abs_gap", 0.9).map_err(refused)?;
    model.try_set_option("presolve_rule_off", WITHOUT_ENUMERATION).map_err(refused)?;
    if !effort.presolve {
        model.try_set_option("presolve", "off").map_err(refused)?;
    }
    if let Some(start) = start.values {
        // A start that the solver does not take is no loss.
        let open: Vec<f64> =
            columns.iter().zip(start).filter_map(|(column, value)| column.map(|_| *value)).collect();
        let _ = model.try_set_solution(Some(&open), None, None, None);
    }
    let solved = match model.try_solve() {
        Ok(solved) => solved,
        Err(status) => return Ok(Solved::failed(told(status))),
    };
    let found = solved.primal_solution_status() == HighsSolutionStatus::Feasible;
    let values = found.then(|| solved.get_solution());
    let optimal = solved.status() == HighsModelStatus::Optimal;
    let bound = if effort.whole {
        solved.double_info_value(c"mip_dual_bound").unwrap_or(f64::NEG_INFINITY)
    } else if optimal {
        solved.objective_value()
    } else {
        f64::NEG_INFINITY
    };
    let full = |open: &[f64], settled: &dyn Fn(usize) -> f64| -> Vec<f64> {
        let at = columns.iter().enumerate();
        at.map(|(at, column)| column.map_or_else(|| settled(at), |column| open[column.index()])).collect()
    };
    let reduced = values.as_ref().map_or_else(Vec::new, |found| full(found.dual_columns(), &|_| 0.0));
    let values = values.map(|found| full(found.columns(), &|at| settled[at].unwrap_or(0.0)));
    let cost = values.as_ref().map(|values| values.iter().zip(costs).map(|(value, cost)| value * cost).sum());
    let said = solved.objective_value() + known;
    let contradicts = cost.is_some_and(|cost: f64| (cost - said).abs() > 0.5 + said.abs() * 1e-9);
    let nothing =
        matches!(solved.status(), HighsModelStatus::Infeasible | HighsModelStatus::UnboundedOrInfeasible);
    Ok(Solved {
        bound: if bound.is_finite() { bound + known } else { f64::NEG_INFINITY },
        doubtful: effort.whole && (nothing || contradicts),
        failure: None,
        reduced,
        values,
    })
}
