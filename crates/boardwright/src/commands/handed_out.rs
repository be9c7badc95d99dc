//! What goes out beside the program and is made from its commands: manual pages, and completions for shells.

use clap::CommandFactory as _;
use clap_complete::Shell;

use crate::args::Arguments;

/// The text that a name asks for: `man`, `man-COMMAND`, or a shell; nothing for any other name.
pub(crate) fn text(name: &str) -> anyhow::Result<Option<String>> {
    let bytes = if name == "man" {
        manual_page(None)?
    } else if let Some(command) = name.strip_prefix("man-") {
        manual_page(Some(command))?
    } else {
        name.parse::<Shell>().ok().map(completions)
    };
    Ok(bytes.map(String::from_utf8).transpose()?)
}

/// The page of the program, or of one of its commands.
fn manual_page(command: Option<&str>) -> std::io::Result<Option<Vec<u8>>> {
    let mut program = Arguments::command().disable_help_subcommand(true);
    program.build();
    let page = match command {
        None => Some(program),
        Some(name) => program.find_subcommand(name).filter(|found| !found.is_hide_set()).cloned(),
    };
    let Some(page) = page else { return Ok(None) };
    let mut out = Vec::new();
    clap_mangen::Man::new(page).manual("Boardwright").render(&mut out)?;
    Ok(Some(out))
}

fn completions(shell: Shell) -> Vec<u8> {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "boardwright", &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_page_that_the_first_one_names_is_there() {
        let first = text("man").unwrap().unwrap();
        let named: Vec<String> = first
            .lines()
            .filter_map(|line| line.strip_prefix("boardwright\\-")?.strip_suffix("(1)"))
            .map(|name| name.replace('\\', ""))
            .collect();
        assert!(named.contains(&"check".to_owned()) && !named.contains(&"generate".to_owned()), "{named:?}");
        for name in named {
            let page = text(&format!("man-{name}")).unwrap().unwrap_or_default();
            assert!(page.contains(&format!("boardwright\\-{name}")), "{name}");
        }
        assert_eq!(text("man-generate").unwrap(), None);
    }

    #[test]
    fn each_shell_is_told_the_commands() {
        for shell in ["bash", "zsh", "fish"] {
            let told = text(shell).unwrap().unwrap();
            assert!(told.contains("papers") && told.contains("arrange"), "{shell}");
        }
        assert_eq!(text("abacus").unwrap(), None);
    }
}
