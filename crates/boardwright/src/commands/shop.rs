//! `boardwright shop`: looking a shop folder through, repairing its journal, backing it up and restoring it.

use std::collections::BTreeSet;
use std::path::Path;

use document::{Files, Problem, ReadError};
use store::{Condition, Repaired};

use crate::args::ShopCommand;
use crate::commands::new::BLANK;
use crate::shell::{self, Outcome};

pub(crate) fn run(command: &ShopCommand) -> anyhow::Result<Outcome> {
    match command {
        ShopCommand::Check { shop } => check(shop),
        ShopCommand::Repair { shop } => repair(shop),
        ShopCommand::Backup { shop, file } => backup(shop, file),
        ShopCommand::Restore { file, folder } => restore(file, folder),
    }
}

fn check(shop: &Path) -> anyhow::Result<Outcome> {
    let mut found = store::check(shop)?;
    contents(shop, &mut found)?;
    shown(&found)
}

/// What stands in the files of a shop and cannot be understood: each problem once, however many jobs read the file.
fn contents(shop: &Path, found: &mut Condition) -> anyhow::Result<()> {
    let mut wrong = BTreeSet::new();
    let mut problems = |error: ReadError| match error {
        ReadError::Problems { problems, files } => {
            wrong.extend(problems.iter().filter_map(|problem| told(problem, &files)));
        }
        // What cannot be read at all was said already.
        ReadError::File { .. } | ReadError::NotText { .. } => {}
    };
    // The settings and the shop's own kinds, whether there is a job or not.
    problems_of(document::read_in_shop("a blank job", BLANK, shop), &mut problems);
    problems_of(document::prices_in(shop), &mut problems);
    problems_of(workbench::stock_of(shop), &mut problems);
    let mut well = 0;
    for entry in shop.read_dir()? {
        let path = entry?.path().join("rig.toml");
        let Ok(text) = document::edit::read_plain_text(&path) else { continue };
        match document::read_in_shop(&path.display().to_string(), &text, shop) {
            Ok(_) => well += 1,
            Err(error) => problems(error),
        }
    }
    if 0 < well {
        found.well.push(match well {
            1 => "1 job can be understood".to_owned(),
            _ => format!("{well} jobs can be understood"),
        });
    }
    found.wrong.extend(wrong);
    Ok(())
}

fn problems_of<T>(read: Result<T, ReadError>, problems: &mut impl FnMut(ReadError)) {
    if let Err(error) = read {
        problems(error);
    }
}

/// `shop.toml, line 3: …`, of a problem in a file that is not our own.
fn told(problem: &Problem, files: &Files) -> Option<String> {
    let file = files.0.get(problem.at.file)?;
    let line = file.text.get(..problem.at.start)?.matches('\n').count() + 1;
    let help = problem.help.as_ref().map_or_else(String::new, |help| format!("; {help}"));
    Some(format!("`{}`, line {line}: {}{help}", file.name, problem.message))
}

/// What was found: what is not well first, for whoever reads one line only.
fn shown(found: &Condition) -> anyhow::Result<Outcome> {
    let mut out = lines("not well", &found.wrong);
    out += &lines("well", &found.well);
    out += &lines("note", &found.notes);
    shell::data(&out)?;
    Ok(if found.wrong.is_empty() { Outcome::Clean } else { Outcome::Stop })
}

fn lines(what: &str, all: &[String]) -> String {
    let head = format!("{what}:");
    all.iter().fold(String::new(), |text, line| text + &format!("{head:<10}{line}\n"))
}

fn repair(shop: &Path) -> anyhow::Result<Outcome> {
    let Some(Repaired { found, done, lost }) = store::repair(shop)? else {
        shell::data("nothing to repair: the journal is well\n")?;
        return Ok(still(shop)?);
    };
    let mut out = lines("found", &found);
    out += &lines("done", &done);
    out += &lines("lost", &lost);
    if lost.is_empty() {
        out += "lost:     nothing\n";
    }
    shell::data(&out)?;
    shell::say("boardwright: a workbench that was open on this shop is to be ended and started again");
    Ok(still(shop)?)
}

/// What a repair of the journal does not put right is said once more.
fn still(shop: &Path) -> Result<Outcome, store::StoreError> {
    let found = store::check(shop)?;
    for wrong in &found.wrong {
        shell::say(&format!("boardwright: still not well: {wrong}"));
    }
    Ok(if found.wrong.is_empty() { Outcome::Clean } else { Outcome::Stop })
}

fn backup(shop: &Path, file: &Path) -> anyhow::Result<Outcome> {
    let made = store::backup(shop, file)?;
    for left in &made.left_out {
        shell::say(&format!("boardwright: not in the backup: {left}"));
    }
    if let Some(told) = &made.told {
        shell::say(&format!("boardwright: backed up as it is: {told}"));
    }
    shell::data(&format!(
        "{}: {} files, {} KB, written and read back; `boardwright shop restore {0} FOLDER` makes a shop of it\n",
        file.display(),
        made.files,
        made.bytes.div_ceil(1024)
    ))?;
    Ok(if made.told.is_some() { Outcome::Stop } else { Outcome::Clean })
}

fn restore(file: &Path, folder: &Path) -> anyhow::Result<Outcome> {
    let files = store::restore(file, folder)?;
    shell::data(&format!("{}: {files} files restored, each as it was backed up\n", folder.display()))?;
    shown(&store::check(folder)?)
}
