//! `cargo xtask package`: what goes to somebody who has no compiler, as one archive with its checksum.
//!
//! The archive is laid out below a prefix (`bin/`, `share/…`), so that it can be unpacked over `/usr/local` or
//! `~/.local`. Everything in it is made here: manual pages and completions by the program itself, the licences from
//! the packages that are in it. Times are those of the last commit, so that the same source gives the same archive.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::{console, generate, metadata, process};

mod licences;

/// The program, and the crate that it is made from.
const PROGRAM: &str = "boardwright";

/// Where archives are made.
const FOLDER: &str = "target/package";

/// How the program in the archive is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Profile {
    /// Small and stripped, to be handed out.
    Release,
    /// As the tests have built it: to see that all the rest of the archive is right.
    Dev,
}

/// Texts that go along, and where they stand in the archive.
const TEXTS: &[(&str, &str)] = &[
    ("README.md", "share/doc/boardwright/README.md"),
    ("CHANGELOG.md", "share/doc/boardwright/CHANGELOG.md"),
    ("docs/install.md", "share/doc/boardwright/install.md"),
    ("docs/guide.md", "share/doc/boardwright/guide.md"),
    ("docs/shop.md", "share/doc/boardwright/shop.md"),
    ("SECURITY.md", "share/doc/boardwright/SECURITY.md"),
    ("docs/rig-file.md", "share/doc/boardwright/rig-file.md"),
    ("docs/rules.md", "share/doc/boardwright/rules.md"),
    ("docs/power-cost.md", "share/doc/boardwright/power-cost.md"),
    ("docs/limit-settings.md", "share/doc/boardwright/limit-settings.md"),
    ("LICENSE-MIT", "share/doc/boardwright/LICENSE-MIT"),
    ("LICENSE-APACHE", "share/doc/boardwright/LICENSE-APACHE"),
    ("xtask/handout/boardwright.desktop", "share/applications/boardwright.desktop"),
    ("xtask/handout/boardwright.svg", "share/icons/hicolor/scalable/apps/boardwright.svg"),
];

/// Completions: what the shell is called, and where it looks.
const SHELLS: &[(&str, &str)] = &[
    ("bash", "share/bash-completion/completions/boardwright"),
    ("zsh", "share/zsh/site-functions/_boardwright"),
    ("fish", "share/fish/vendor_completions.d/boardwright.fish"),
];

/// Makes the archive and its checksum, unpacks it again and sees that the program in it answers.
pub fn run(root: &Path, profile: Profile) -> Result<()> {
    let platform = metadata::platform()?;
    let program = match profile {
        Profile::Release => built(root)?,
        Profile::Dev => generate::build(root)?,
    };
    let shipped = metadata::shipped(root, PROGRAM, &platform)?;
    let version =
        shipped.iter().find(|package| package.name == PROGRAM).context("the program is a package")?;
    // Our own crates stand under the texts that the archive has anyway.
    let brought: Vec<_> =
        shipped.iter().filter(|package| !package.folder.starts_with(root)).cloned().collect();
    let suffix = if profile == Profile::Dev { "-dev" } else { "" };
    let name = format!("{PROGRAM}-{}-{platform}{suffix}", version.version);
    let folder = root.join(FOLDER);
    fill(root, &program, &folder.join(&name), &licences::text(&brought)?)?;
    let archive = archive(root, &folder, &name)?;
    judge(&folder, &name, &archive)?;
    console::say(&format!(
        "{FOLDER}/{archive}: {}, the program in it {}, {} packages' licences",
        size(&folder.join(&archive)),
        size(&folder.join(&name).join("bin").join(PROGRAM)),
        brought.len()
    ));
    Ok(())
}

/// A file's size in megabytes.
fn size(path: &Path) -> String {
    let tenths = std::fs::metadata(path).map(|file| file.len().div_ceil(100_000)).unwrap_or_default();
    format!("{}.{} MB", tenths / 10, tenths % 10)
}

/// Builds the program to be handed out.
fn built(root: &Path) -> Result<PathBuf> {
    let arguments = ["build", "--release", "--package", PROGRAM, "--message-format=json-render-diagnostics"];
    let messages = process::stdout(&mut process::cargo(root, &arguments))?;
    generate::executable(&String::from_utf8_lossy(&messages)).context("cargo built no program")
}

/// Writes everything that the archive holds into a fresh folder.
fn fill(root: &Path, program: &Path, into: &Path, licences: &str) -> Result<()> {
    if into.exists() {
        std::fs::remove_dir_all(into).with_context(|| format!("cannot clear {}", into.display()))?;
    }
    let bytes = std::fs::read(program).with_context(|| format!("cannot read {}", program.display()))?;
    put(into, &format!("bin/{PROGRAM}"), &bytes)?;
    for (from, to) in TEXTS {
        put(into, to, &std::fs::read(root.join(from)).with_context(|| format!("cannot read {from}"))?)?;
    }
    let said = |name: &str| process::stdout(Command::new(program).args(["generate", name]));
    for (shell, to) in SHELLS {
        put(into, to, &said(shell)?)?;
    }
    let manual = said("man")?;
    for command in commands(&String::from_utf8_lossy(&manual)) {
        put(into, &format!("share/man/man1/{PROGRAM}-{command}.1"), &said(&format!("man-{command}"))?)?;
    }
    put(into, &format!("share/man/man1/{PROGRAM}.1"), &manual)?;
    put(into, "share/doc/boardwright/licences.txt", licences.as_bytes())
}

/// The commands whose pages the program's own page names.
fn commands(manual: &str) -> Vec<String> {
    manual
        .lines()
        .filter_map(|line| {
            line.replace('\\', "").strip_prefix("boardwright-")?.strip_suffix("(1)").map(str::to_owned)
        })
        .collect()
}

fn put(into: &Path, to: &str, bytes: &[u8]) -> Result<()> {
    if bytes.is_empty() {
        bail!("{to} would be empty");
    }
    let file = into.join(to);
    let folder = file.parent().context("a file stands in a folder")?;
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    std::fs::write(&file, bytes).with_context(|| format!("cannot write {}", file.display()))
}

/// Packs the folder, writes the checksum beside it, and tells the archive's name.
fn archive(root: &Path, folder: &Path, name: &str) -> Result<String> {
    let program = folder.join(name).join("bin").join(PROGRAM);
    process::run(Command::new("chmod").args(["-R", "u=rwX,go=rX"]).arg(folder.join(name)))?;
    process::run(Command::new("chmod").arg("a+x").arg(program))?;
    let date = process::stdout(
        Command::new("git").args(["-c", "safe.directory=*", "log", "-1", "--format=@%ct"]).current_dir(root),
    )?;
    let date = String::from_utf8_lossy(&date).trim().to_owned();
    let archive = format!("{name}.tar.gz");
    let mut tar = Command::new("tar");
    tar.args(["--create", "--sort=name", "--owner=0", "--group=0", "--numeric-owner", "--format=ustar"]);
    tar.arg(format!("--mtime={date}")).args(["--use-compress-program", "gzip --no-name --best"]);
    process::run(tar.arg("--file").arg(&archive).arg(name).current_dir(folder))?;
    let sum = process::stdout(Command::new("sha256sum").arg(&archive).current_dir(folder))?;
    std::fs::write(folder.join(format!("{archive}.sha256")), sum).context("cannot write the checksum")?;
    Ok(archive)
}

/// Unpacks the archive elsewhere, compares its checksum, and asks the program in it for its version, a rule and kinds.
fn judge(folder: &Path, name: &str, archive: &str) -> Result<()> {
    let sum = format!("{archive}.sha256");
    process::run(Command::new("sha256sum").args(["--check", "--quiet"]).arg(sum).current_dir(folder))?;
    let elsewhere = folder.join("unpacked");
    if elsewhere.exists() {
        std::fs::remove_dir_all(&elsewhere).context("cannot clear what was unpacked before")?;
    }
    std::fs::create_dir_all(&elsewhere).context("cannot make the folder to unpack in")?;
    process::run(
        Command::new("tar").arg("--extract").arg("--file").arg(folder.join(archive)).current_dir(&elsewhere),
    )?;
    let program = elsewhere.join(name).join("bin").join(PROGRAM);
    for words in [&["--version"][..], &["explain", "junction-loss"], &["kinds", "small"]] {
        let said = process::stdout(Command::new(&program).args(words).current_dir(&elsewhere))?;
        if said.is_empty() {
            bail!("the program in {archive} says nothing when asked for `{}`", words.join(" "));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pages_that_the_manual_names_are_found() {
        let manual = ".SH SUBCOMMANDS\n.TP\nboardwright\\-check(1)\nSay it\n.TP\nboardwright\\-new(1)\nBegin boardwright\\-old(1)\n";
        assert_eq!(commands(manual), ["check", "new"]);
    }

    #[test]
    fn every_text_is_there_and_none_lands_on_another() {
        let root = crate::tree::root().unwrap();
        let mut places: Vec<&str> = TEXTS.iter().chain(SHELLS).map(|(_, to)| *to).collect();
        let count = places.len();
        places.sort_unstable();
        places.dedup();
        assert_eq!(places.len(), count);
        for (from, _) in TEXTS {
            assert!(root.join(from).is_file(), "{from}");
        }
    }

    #[test]
    fn the_desktop_entry_has_what_the_standard_asks_for() {
        let entry =
            std::fs::read_to_string(crate::tree::root().unwrap().join("xtask/handout/boardwright.desktop"))
                .unwrap();
        assert!(entry.starts_with("[Desktop Entry]\n"));
        for key in ["Type=Application", "Name=", "Exec=boardwright bench", "Icon=boardwright", "Categories="]
        {
            assert!(entry.lines().any(|line| line.starts_with(key)), "{key}");
        }
    }

    #[test]
    fn an_empty_file_is_refused() {
        assert!(
            put(Path::new("target"), "bin/nothing", b"").unwrap_err().to_string().contains("bin/nothing")
        );
    }

    /// Answers every question with the question, and names one command in its manual.
    const STANDS_IN: &str =
        "#!/bin/sh\nif [ \"$2\" = man ]; then echo 'boardwright\\-check(1)'; fi\necho \"$@\"\n";

    #[cfg(target_os = "linux")]
    #[test]
    fn the_same_content_gives_the_same_archive_and_a_damaged_one_is_refused() {
        let root = crate::tree::root().unwrap();
        let place = std::env::temp_dir().join(format!("boardwright-package-{}", std::process::id()));
        let program = place.join("stands-in");
        put(&place, "stands-in", STANDS_IN.as_bytes()).unwrap();
        process::run(Command::new("chmod").arg("a+x").arg(&program)).unwrap();
        let archives: Vec<Vec<u8>> = ["first", "second"]
            .iter()
            .map(|run| {
                let folder = place.join(run);
                fill(&root, &program, &folder.join("name"), "Terms.").unwrap();
                let archive = archive(&root, &folder, "name").unwrap();
                judge(&folder, "name", &archive).unwrap();
                std::fs::read(folder.join(archive)).unwrap()
            })
            .collect();
        let unpacked = place.join("first/unpacked/name");
        for file in
            ["bin/boardwright", "share/man/man1/boardwright-check.1", "share/doc/boardwright/licences.txt"]
        {
            assert!(unpacked.join(file).is_file(), "{file}");
        }
        let folder = place.join("second");
        std::fs::write(folder.join("name.tar.gz"), &archives[0][1..]).unwrap();
        let refused = judge(&folder, "name", "name.tar.gz").is_err();
        std::fs::remove_dir_all(&place).unwrap();
        assert!(archives[0] == archives[1] && refused);
    }
}
