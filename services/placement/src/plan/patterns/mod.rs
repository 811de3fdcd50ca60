//! A stage by patterns: a request's whole placing is one column, so that units taken whole, what a
//! centre costs once and what may not be divided are in its price exactly. Rows that requests share are
//! left to the relaxation over patterns (Dantzig and Wolfe), and every set of its duals gives a bound
//! (Lagrange) that holds however many patterns are known.

mod bound;
mod choice;
mod coupled;
mod cuts;
mod dive;
mod facets;
mod master;
mod mixture;
mod part;
mod parts;
mod places;
mod pools;
mod pricing;
mod scene;
mod search;
mod shares;
#[cfg(test)]
mod tests;

pub(crate) use choice::Choice;
pub(crate) use search::{MANY_ARCS, search, steps};
