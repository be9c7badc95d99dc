//! What the tests need beyond cargo: a few programs, and a Python with pinned packages.
//!
//! What is missing is told, with the commands that install it, and nothing is touched. With `--install` those
//! commands are run.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::{console, process};

/// Whether what is missing may be installed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Install {
    /// `--install` was given.
    Asked,
    /// Say what is missing, and touch nothing.
    Unasked,
}

/// What is told after the list of what is missing.
const HOW: &str = "The same command with `--install` does all of that.";

/// A program that tests start.
struct Program {
    /// Any of these names will do.
    names: &'static [&'static str],
    /// What to ask it so that it answers with success.
    question: &'static [&'static str],
    /// The Debian package that brings it.
    package: &'static str,
    purpose: &'static str,
}

const PROGRAMS: &[Program] = &[
    Program {
        names: &["pdftotext"],
        question: &["-v"],
        package: "poppler-utils",
        purpose: "reads the papers' text and pages",
    },
    Program {
        names: &["chromium", "chromium-browser"],
        question: &["--version"],
        package: "chromium",
        purpose: "opens the workbench's pages",
    },
    Program {
        names: &["chromedriver"],
        question: &["--version"],
        package: "chromium-driver",
        purpose: "steers the browser",
    },
    Program {
        names: &["ngspice"],
        question: &["--version"],
        package: "ngspice",
        purpose: "solves the same circuits beside us",
    },
    Program {
        names: &["npm"],
        question: &["--version"],
        package: "npm",
        purpose: "fetches what looks for faults of accessibility",
    },
    Program {
        names: &["python3"],
        question: &["-c", "import venv, ensurepip"],
        package: "python3-venv",
        purpose: "runs the checks against the outside",
    },
];

/// The Python packages, one `name==version` a line.
const REQUIREMENTS: &str = "external/requirements.txt";
/// What looks for faults of accessibility in the workbench's pages, and where it is installed.
const AXE: &str = "axe-core@4.14.1";
const SCRIPTS: &str = "target/browser";
/// Where they are installed.
const VENV: &str = "target/venv";

/// Sees to it that everything is there, and hands back the Python that has the packages.
pub(crate) fn provide(root: &Path, install: Install) -> Result<PathBuf> {
    let mut told = Vec::new();
    let missing: Vec<&Program> = PROGRAMS.iter().filter(|program| !is_there(program)).collect();
    if !missing.is_empty() {
        if install == Install::Asked {
            install_programs(&missing)?;
        } else {
            told.push(programs_text(&missing));
        }
    }
    let python = match packages(root, REQUIREMENTS, VENV, install) {
        Ok(python) => python,
        Err(error) => {
            told.push(format!("{error:#}"));
            PathBuf::new()
        }
    };
    if !root.join(SCRIPTS).join("node_modules/axe-core/axe.min.js").is_file() {
        if install == Install::Asked {
            console::say(&format!("installing {AXE} in {SCRIPTS}"));
            process::run(
                Command::new("npm")
                    .args(["install", "--no-audit", "--no-fund", "--prefix", SCRIPTS, AXE])
                    .current_dir(root),
            )?;
        } else {
            told.push(format!(
                "The checks of accessibility want {AXE}. In the project's folder:\n  npm install --prefix {SCRIPTS} {AXE}"
            ));
        }
    }
    if !told.is_empty() {
        bail!("the tests need more than is here\n\n{}\n\n{HOW}", told.join("\n\n"));
    }
    Ok(python)
}

/// Sees to it that an environment has the pinned packages of a file, and hands back its Python.
pub(crate) fn packages(root: &Path, requirements: &str, venv: &str, install: Install) -> Result<PathBuf> {
    let python = root.join(venv).join("bin").join("python");
    let text = std::fs::read_to_string(root.join(requirements))
        .with_context(|| format!("{requirements} lists the Python packages that are needed"))?;
    let pins = pins(&text)?;
    if has_packages(&python, &pins) {
        return Ok(python);
    }
    if install == Install::Unasked {
        bail!("{}", packages_text(requirements, venv));
    }
    install_packages(root, &python, requirements, venv)?;
    if !has_packages(&python, &pins) {
        bail!("{venv} does not have the versions that {requirements} asks for; remove it and try again");
    }
    Ok(python)
}

fn is_root() -> bool {
    process::stdout(Command::new("id").arg("-u")).is_ok_and(|printed| printed.trim_ascii() == b"0")
}

fn is_there(program: &Program) -> bool {
    program.names.iter().any(|name| process::succeeds(Command::new(name).args(program.question)))
}

fn install_programs(missing: &[&Program]) -> Result<()> {
    let packages: Vec<&str> = missing.iter().map(|program| program.package).collect();
    console::say(&format!("installing {}", packages.join(", ")));
    apt_get(&["update", "--quiet"])?;
    apt_get(&[&["install", "--yes", "--quiet", "--no-install-recommends"], packages.as_slice()].concat())?;
    match missing.iter().find(|program| !is_there(program)) {
        Some(program) => {
            bail!("`{}` does not answer, although {} is installed", program.names[0], program.package)
        }
        None => Ok(()),
    }
}

fn apt_get(arguments: &[&str]) -> Result<()> {
    let mut command = if is_root() {
        Command::new("apt-get")
    } else {
        let mut command = Command::new("sudo");
        command.args(["--non-interactive", "--preserve-env=DEBIAN_FRONTEND", "apt-get"]);
        command
    };
    process::run(command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive"))
}

fn programs_text(missing: &[&Program]) -> String {
    let mut lines = vec!["These programs are missing:".to_owned()];
    for program in missing {
        lines.push(format!("  {:<12} {}", program.names[0], program.purpose));
    }
    let packages: Vec<&str> = missing.iter().map(|program| program.package).collect();
    lines.push(format!("On Debian and its relatives:\n  apt-get install -y {}", packages.join(" ")));
    lines.join("\n")
}

/// The pinned packages of a requirements file.
fn pins(requirements: &str) -> Result<Vec<String>> {
    requirements
        .lines()
        .map(|line| line.split('#').next().unwrap_or_default().trim())
        .filter(|line| !line.is_empty())
        .map(|line| match line.split_once("==") {
            Some((name, version)) if !name.trim().is_empty() && !version.trim().is_empty() => {
                Ok(format!("{}=={}", name.trim(), version.trim()))
            }
            _ => bail!("`{line}` is not pinned; write `name==version`"),
        })
        .collect()
}

/// Ends with success when each `name==version` among its arguments is installed.
const PACKAGES_QUESTION: &str = "\
import sys
from importlib.metadata import version
sys.exit(any(version(name) != wanted for name, wanted in (pin.split('==') for pin in sys.argv[1:])))";

fn has_packages(python: &Path, pins: &[String]) -> bool {
    process::succeeds(Command::new(python).args(["-c", PACKAGES_QUESTION]).args(pins))
}

fn install_packages(root: &Path, python: &Path, requirements: &str, venv: &str) -> Result<()> {
    console::say(&format!("installing the packages of {requirements} in {venv}"));
    process::run(Command::new("python3").args(["-m", "venv", venv]).current_dir(root))?;
    process::run(
        Command::new(python)
            .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r", requirements])
            .current_dir(root),
    )
}

fn packages_text(requirements: &str, venv: &str) -> String {
    format!(
        "The Python packages of {requirements} are missing. In the project's folder:\n  \
         python3 -m venv {venv}\n  \
         {venv}/bin/python -m pip install -r {requirements}"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pins_are_read_past_comments() {
        assert_eq!(pins("# papers\na==1.2  # why\n\nb == 3\n").unwrap(), ["a==1.2", "b==3"]);
    }

    #[test]
    fn an_unpinned_package_is_refused() {
        for line in ["a", "a>=1", "a==", "==1"] {
            assert!(pins(line).unwrap_err().to_string().contains("not pinned"), "{line}");
        }
    }

    #[test]
    fn the_text_names_program_and_package() {
        let missing: Vec<&Program> = PROGRAMS.iter().collect();
        let text = programs_text(&missing);
        for program in PROGRAMS {
            assert!(text.contains(program.names[0]) && text.contains(program.package));
        }
        assert!(text.contains("apt-get install -y poppler-utils chromium chromium-driver ngspice npm"));
    }

    #[test]
    fn nothing_is_installed_unasked() {
        let folder = crate::tree::root().unwrap();
        let venv = "target/no-such-venv-of-ours";
        let error = packages(&folder, REQUIREMENTS, venv, Install::Unasked).unwrap_err().to_string();
        assert!(error.contains(&format!("python3 -m venv {venv}")), "{error}");
        assert!(!folder.join(venv).exists());
    }

    #[test]
    fn a_python_that_is_not_there_has_no_packages() {
        assert!(!has_packages(Path::new("no-such-python-of-ours"), &[]));
    }
}
