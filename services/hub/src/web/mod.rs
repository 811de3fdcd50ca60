//! The rules of HTTP, each once: problems, callers, pages, formats, bodies, conditions, limits.

pub mod body;
pub mod caller;
pub mod codes;
pub mod codes_page;
pub mod etag;
pub mod framework;
pub mod limits;
pub mod metrics;
pub mod negotiation;
pub mod outermost;
pub mod paging;
pub mod problem;
pub mod request_id;
mod store_failure;

pub use caller::Caller;
pub use problem::{Answer, Problem};
