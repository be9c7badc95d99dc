//! A shop's settings: limits and a catalogue of its own.

use std::path::{Path, PathBuf};

use rig::{LIMITS, Limits};

use crate::edit::is_there;
use crate::format::SHOP;
use crate::problem::{File, Problem, nearest, shown};
use crate::read::node::Node;
use crate::read::walk::walk;

/// What one workshop does differently.
#[derive(Debug, Clone, Default)]
pub struct Shop {
    /// The folder, when there is one.
    pub folder: Option<PathBuf>,
    /// The workshop's name.
    pub name: Option<String>,
    /// The limits in force.
    pub limits: Limits,
    /// What holds a device on its deck, unless the device or its kind says otherwise.
    pub(crate) fasten: Option<Node>,
}

impl Shop {
    /// The nearest folder at or above `start` that holds a `shop.toml`.
    pub fn find(start: &Path) -> Option<PathBuf> {
        let absolute = std::path::absolute(start).ok()?;
        absolute.ancestors().find(|folder| is_there(&folder.join("shop.toml"))).map(Path::to_path_buf)
    }

    /// Reads settings text. The file gets the given number among all files of a job.
    pub(crate) fn read_text(number: usize, file: &File) -> (Self, Vec<Problem>) {
        let (tree, mut problems) = walk(number, &file.text, &SHOP);
        let mut limits = Limits::default();
        for (key, node) in tree.named("limits") {
            let Some(text) = node.as_text() else { continue };
            match limits.set(key, text) {
                Some(Ok(())) => {}
                Some(Err(error)) => {
                    problems.push(Problem::new(node.at.clone(), format!("limit `{key}`: {error}")));
                }
                None => {
                    let message = format!("there is no limit `{}`", shown(key));
                    let problem = Problem::new(node.at.clone(), message);
                    problems.push(match nearest(key, LIMITS.iter().map(|limit| limit.key)) {
                        Some(near) => problem.help(format!("did you mean `{near}`?")),
                        None => problem.help("`docs/limit-settings.md` lists them all"),
                    });
                }
            }
        }
        let fasten = tree.get("fasten").cloned();
        (Self { folder: None, name: tree.text("name"), limits, fasten }, problems)
    }
}
