//! Documents that nobody wrote in good faith: never a panic, always a message.

use std::cell::Cell;

use document::{ReadError, read, read_in_shop, read_text};
use proptest::prelude::*;

use crate::refusals::told;
use crate::sample::SAMPLE;

fn refused(text: &str) -> String {
    told(&read_text("rig.toml", text, None).expect_err("refused"))
}

#[test]
fn deep_nesting_is_refused() {
    let text = format!("{SAMPLE}\n[x]\ny = {}{}", "[".repeat(200_000), "]".repeat(200_000));
    assert!(refused(&text).contains("this is not TOML"), "{}", refused(&text));
}

#[test]
fn long_files_are_refused_by_their_length() {
    let text = "# ".to_owned() + &"x".repeat(10_000_000);
    assert_eq!(refused(&text), "rig.toml:1:1: the file has 10000002 bytes; at most 2000000 are allowed\n");
}

#[test]
fn utf_16_is_recognised() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rig.toml");
    let bytes: Vec<u8> = "\u{feff}format = 1".encode_utf16().flat_map(u16::to_le_bytes).collect();
    std::fs::write(&path, bytes).expect("written");
    let error = read(&path, None).expect_err("refused");
    assert!(
        matches!(error, ReadError::NotText { hint: "it begins like UTF-16; save it as UTF-8", .. }),
        "{error}"
    );
}

#[test]
fn a_folder_without_a_document_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let error = read(folder.path(), None).expect_err("refused").to_string();
    assert!(error.contains("rig.toml"), "{error}");
}

#[test]
fn runs_that_go_in_circles_read() {
    let text = SAMPLE.replace("\"A2.IN\", \"amp\"", "\"A2\", \"A1\", \"A2\", \"amp\"");
    assert!(read_text("rig.toml", &text, None).is_ok(), "judging them is left to the checks");
}

#[test]
fn an_empty_document_says_what_it_lacks() {
    let told = refused("");
    assert!(told.contains("`format` is missing") && told.contains("`job` is missing"), "{told}");
}

/// Values that documents get wrong.
const WILD: &[&str] = &[
    "\"\"",
    "\"NaN mm\"",
    "\"-1 mm\"",
    "\"1e400 V\"",
    "\"999 m\"",
    "\"0 mm\"",
    "\"1/3 in\"",
    "true",
    "17",
    "-4",
    "1.5",
    "[]",
    "{}",
    "\"unknown\"",
    "{ is = \"unknown\" }",
    "\"SUP.1\"",
    "[\"A1\", \"A1\"]",
    "\"\\u202e#import\"",
    "\"99999999999999999999 mA\"",
    "\"floor\"",
    "1979-05-27",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    /// Lines dropped, doubled or swapped, values replaced: reading answers, and answers twice alike.
    #[test]
    fn mutilated_documents_never_panic(
        drops in proptest::collection::vec(0usize..200, 0..3),
        wild in proptest::collection::vec((0usize..200, 0usize..WILD.len()), 0..3),
    ) {
        let mut lines: Vec<String> = SAMPLE.lines().map(str::to_owned).collect();
        let count = lines.len();
        for (index, value) in wild {
            let line = &mut lines[index % count];
            if let Some((key, _)) = line.clone().split_once(" = ") {
                *line = format!("{key} = {}", WILD[value]);
            }
        }
        for index in drops {
            lines[index % count].clear();
        }
        let text = lines.join("\n");
        let first = read_text("rig.toml", &text, None).map(|job| format!("{:?}", job.rig)).map_err(|error| told(&error));
        let again = read_text("rig.toml", &text, None).map(|job| format!("{:?}", job.rig)).map_err(|error| told(&error));
        prop_assert_eq!(first, again);
    }

    /// Any text at all.
    #[test]
    fn any_text_is_answered(text in "\\PC{0,300}") {
        let _ = read_text("rig.toml", &text, None);
    }
}

#[test]
fn half_of_the_mutilated_documents_reach_the_checks() {
    // The same mutations as above, drawn evenly: one line dropped, or one value replaced.
    let lines: Vec<&str> = SAMPLE.lines().collect();
    let read = Cell::new(0);
    let all = Cell::new(0);
    let tries = |text: String| {
        all.set(all.get() + 1);
        if read_text("rig.toml", &text, None).is_ok() {
            read.set(read.get() + 1);
        }
    };
    for index in 0..lines.len() {
        let mut copy = lines.clone();
        copy.remove(index);
        tries(copy.join("\n"));
    }
    assert!(all.get() < 2 * read.get(), "{} of {} read", read.get(), all.get());
}

/// Puts something under a name.
#[cfg(unix)]
type Make = fn(&std::path::Path);

/// What may stand where a plain file belongs, and what it is called.
#[cfg(unix)]
const NO_FILES: [(&str, Make); 4] = [
    ("a pipe", |path| {
        rustix::fs::mknodat(rustix::fs::CWD, path, rustix::fs::FileType::Fifo, 0o644.into(), 0)
            .expect("a pipe");
    }),
    ("a folder", |path| std::fs::create_dir(path).expect("a folder")),
    ("a socket", |path| drop(std::os::unix::net::UnixListener::bind(path).expect("a socket"))),
    ("a device", |path| std::os::unix::fs::symlink("/dev/zero", path).expect("a link to a device")),
];

#[cfg(unix)]
#[test]
fn what_is_no_plain_file_is_refused_at_once_and_never_taken_for_absent() {
    for (what, make) in NO_FILES {
        for name in ["shop.toml", "prices.toml", "catalogue/own.toml", "job/rig.toml"] {
            let folder = tempfile::tempdir().expect("a folder");
            let folder = folder.path();
            for inner in ["catalogue", "job"] {
                std::fs::create_dir(folder.join(inner)).expect("a folder");
            }
            std::fs::write(folder.join("shop.toml"), "").expect("written");
            std::fs::write(folder.join("job/rig.toml"), SAMPLE).expect("written");
            let path = folder.join(name);
            let _ = std::fs::remove_file(&path);
            make(&path);
            let refusals = if name == "prices.toml" {
                vec![document::prices_in(folder).map(drop).expect_err(name)]
            } else {
                let in_shop = read_in_shop("rig.toml", SAMPLE, folder).map(drop);
                let found = read(&folder.join("job"), None).map(drop).expect_err(name);
                let named = read(&folder.join("job"), Some(folder)).map(drop).expect_err(name);
                // The text is given there, so that nobody reads the document's file.
                if name == "job/rig.toml" {
                    vec![found, named]
                } else {
                    vec![in_shop.expect_err(name), found, named]
                }
            };
            for refusal in refusals {
                let ReadError::File { path, error } = refusal else { panic!("{what} as {name}: {refusal}") };
                let said = format!("{}: {error}", path.display());
                let file = name.rsplit('/').next().expect("a name");
                assert!(said.contains(what) && said.contains(file), "{what} as {name}: {said}");
            }
        }
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("shop.toml"), "").expect("written");
        if what != "a folder" {
            make(&folder.path().join("catalogue"));
            let refused = read_in_shop("rig.toml", SAMPLE, folder.path()).map(drop).expect_err("refused");
            let ReadError::File { error, .. } = refused else { panic!("{what}: {refused}") };
            assert!(error.to_string().contains("not a folder"), "{what}: {error}");
        }
    }
}
