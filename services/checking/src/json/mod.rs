//! JSON: read strictly, looked at by the validator, written canonically, searched for places.

pub(crate) mod canonical;
pub(crate) mod fault;
pub(crate) mod node;
pub(crate) mod place;
pub(crate) mod pointer;
pub(crate) mod typed;
pub(crate) mod view;
