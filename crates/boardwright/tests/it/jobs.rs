//! Examples, read and checked.

use std::path::PathBuf;

use finding::Finding;

/// The folder of an example.
pub(crate) fn example(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

/// Names of all examples, in order.
pub(crate) fn names() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(example(""))
        .expect("the examples are there")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| example(name).join("rig.toml").is_file())
        .collect();
    names.sort();
    names
}

/// The findings of a document's text, with its leads laid.
pub(crate) fn findings(text: &str) -> Result<Vec<Finding>, document::ReadError> {
    let job = document::read_text("rig.toml", text, None)?;
    Ok(checks::check(&design::derive(job.rig, job.limits).laid()))
}

/// The same without ways of leads: laying takes far longer than all other rules together.
pub(crate) fn findings_unlaid(text: &str) -> Result<Vec<Finding>, document::ReadError> {
    let job = document::read_text("rig.toml", text, None)?;
    Ok(checks::check(&design::derive(job.rig, job.limits).laid_on(design::Routes::none())))
}

/// The text of an example.
pub(crate) fn text(name: &str) -> String {
    std::fs::read_to_string(example(name).join("rig.toml")).expect("the example reads")
}
