//! What can go wrong when a paper is made.

/// Why a paper could not be made. Both are faults of this program, never of the job.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// The template was refused by the typesetter.
    #[error("the {paper} paper could not be set (a fault of this program, please report it): {reason}")]
    Typeset {
        /// The paper.
        paper: &'static str,
        /// What the typesetter says.
        reason: String,
    },
    /// The pages could not be written as PDF.
    #[error(
        "the {paper} paper could not be written as PDF (a fault of this program, please report it): {reason}"
    )]
    Write {
        /// The paper.
        paper: &'static str,
        /// What the writer says.
        reason: String,
    },
}
