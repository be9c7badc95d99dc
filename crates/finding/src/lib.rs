//! What a check says about a rig, as pure data.
//!
//! A [`Finding`] names its rule, its [`Severity`], the devices it is about, the [`Field`]s of the
//! document it rests on, and its [`Evidence`]: what was found, what is allowed, how much is left. A [`Judged`] says
//! likewise whether a wish of the brief is met.
//! Nothing here prints, colours or knows a file; renderers are leaves elsewhere.

mod edit;
mod evidence;
mod field;
mod report;
mod wish;
mod words;

pub use edit::{Cells, Change, Edit, Value};
pub use evidence::{Bound, Evidence, Figure};
pub use field::Field;
pub use report::{Acceptance, Finding, Identity, Mark, Scope, Severity, Touched};
pub use wish::{Judged, Verdict};
