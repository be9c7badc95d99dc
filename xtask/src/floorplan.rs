//! `cargo xtask floorplan BLOCKS NETS PL …`: published floorplanning instances through the search of `layout`.

use std::path::Path;

use anyhow::Result;

use crate::{console, process};

/// Places the blocks of one instance and prints JSON: `outline`, `placements[]`, `hpwl`, `overlap`, `outside`, `moves`,
/// `wall_s`, `cancelled`.
///
/// The work is an example of the crate `layout`, built for speed: this crate stands alone and links none of the product.
/// `arguments` are handed on as they are; paths among them count from the folder the command is given in.
pub fn run(root: &Path, arguments: &[String]) -> Result<()> {
    let mut command = process::cargo(
        root,
        &["run", "--quiet", "--release", "--package", "layout", "--example", "floorplan", "--"],
    );
    for argument in arguments {
        let path = Path::new(argument);
        if path.is_file() {
            command.arg(std::path::absolute(path)?);
        } else {
            command.arg(argument);
        }
    }
    let printed = process::stdout(&mut command)?;
    console::print(String::from_utf8_lossy(&printed).trim_end());
    Ok(())
}
