//! The table of checks against the outside is true: each row's test is there and names the row's function, what is
//! called shipped is not listed as unshipped, every test of `external` has a row, and the figures over the table are its
//! own.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::Result;

use super::{Project, Remark};
use crate::markdown;
use crate::rust::tokens::{Token, tokens};

/// Rows below a heading; the last three cells are function, `yes` or `not shipped`, and test.
pub(super) const TABLE: &str = "docs/external-checks.md";

/// What no program reaches.
const UNSHIPPED: &str = "xtask/tables/unshipped.txt";

/// Below it stand the values that somebody else published.
const PUBLISHED: &str = "## Values from outside";

/// Files whose every test is a check against the outside.
const CHECKS: &str = "external/tests/it/";

/// As many published values as there are at least.
const LEAST: usize = 100;

/// A row of the page.
struct Row<'a> {
    line: usize,
    function: &'a str,
    shipped: &'a str,
    test: &'a str,
    is_published: bool,
}

pub(super) fn check(project: &Project) -> Result<Vec<Remark>> {
    let tree = &project.tree;
    let read = |path: &str| if tree.has(path) { tree.text(path) } else { Ok(String::new()) };
    let texts = tree.texts(&["rs"])?;
    let sources: BTreeMap<&str, &str> = texts
        .iter()
        .filter(|(path, _)| path.contains("/tests/"))
        .map(|(path, text)| (*path, text.as_str()))
        .collect();
    Ok(judge(&read(TABLE)?, &read(UNSHIPPED)?, &sources))
}

fn judge(page: &str, unshipped: &str, sources: &BTreeMap<&str, &str>) -> Vec<Remark> {
    let rows = rows(page);
    let mut remarks = figures(page, &rows);
    let mut read: BTreeMap<&str, Vec<Token<'_>>> = BTreeMap::new();
    for row in &rows {
        let Some((path, test)) = row.test.split_once("::") else {
            let what = format!("`{}` names no test", row.test);
            remarks.push(Remark::new(TABLE, row.line, what, "`path/of/file.rs::test`"));
            continue;
        };
        let tokens =
            read.entry(path).or_insert_with(|| sources.get(path).map_or(Vec::new(), |text| tokens(text)));
        if !tests(tokens).contains(test) {
            let what = format!("the test `{}` is not there", row.test);
            remarks.push(Remark::new(TABLE, row.line, what, "a test of that file"));
        } else if !names(tokens, row.function) {
            let what = format!("`{path}` does not name `{}`", row.function);
            remarks.push(Remark::new(TABLE, row.line, what, "the function that the test goes through"));
        }
        match row.shipped {
            "not shipped" => {}
            "yes" if !is_listed(row.function, unshipped) => {}
            "yes" => {
                let what = format!("`{}` is called shipped", row.function);
                remarks.push(Remark::new(
                    TABLE,
                    row.line,
                    what,
                    format!("`not shipped`, as {UNSHIPPED} has it"),
                ));
            }
            other => {
                remarks.push(Remark::new(TABLE, row.line, format!("`{other}`"), "`yes` or `not shipped`"));
            }
        }
    }
    let told: BTreeSet<&str> = rows.iter().map(|row| row.test).collect();
    for (path, text) in sources.iter().filter(|(path, _)| path.starts_with(CHECKS)) {
        for test in tests(&tokens(text)) {
            let name = format!("{path}::{test}");
            if !told.contains(name.as_str()) {
                remarks.push(Remark::new(
                    path,
                    1,
                    format!("`{test}` has no row"),
                    format!("a row in {TABLE}"),
                ));
            }
        }
    }
    remarks
}

/// What is wrong with the figures over the table.
fn figures(page: &str, rows: &[Row<'_>]) -> Vec<Remark> {
    let published = rows.iter().filter(|row| row.is_published);
    let (count, shipped) = (published.clone().count(), published.filter(|row| row.shipped == "yes").count());
    let said = format!("**{count} values, {shipped} of them through what ships.**");
    let mut remarks = Vec::new();
    if !page.lines().any(|line| line == said) {
        remarks.push(Remark::new(TABLE, 1, "the figures are not those of the rows", format!("`{said}`")));
    }
    if count < LEAST {
        remarks.push(Remark::new(TABLE, 1, format!("{count} published values"), format!("{LEAST} or more")));
    }
    remarks
}

fn rows(page: &str) -> Vec<Row<'_>> {
    let mut rows = Vec::new();
    let mut is_published = false;
    for line in markdown::lines(page) {
        if line.text.starts_with("## ") {
            is_published = line.text == PUBLISHED;
        }
        let Some(cells) = line.text.strip_prefix('|').and_then(|rest| rest.trim_end().strip_suffix('|'))
        else {
            continue;
        };
        let cells: Vec<&str> = cells.split('|').map(str::trim).collect();
        let [.., function, shipped, test] = cells.as_slice() else { continue };
        // The head and the rule below it.
        if *test == "test" || test.starts_with("---") {
            continue;
        }
        rows.push(Row {
            line: line.number,
            function: function.trim_matches('`'),
            shipped,
            test: test.trim_matches('`'),
            is_published,
        });
    }
    rows
}

/// The functions that stand below `#[test]`.
fn tests<'a>(tokens: &[Token<'a>]) -> BTreeSet<&'a str> {
    let is_mark = |at: usize| {
        let found: Vec<&str> = tokens[at..].iter().take(4).map(|token| token.text).collect();
        found == ["#", "[", "test", "]"]
    };
    let name = |at: usize| {
        let after = at + tokens[at..].iter().position(|token| token.text == "fn")?;
        tokens.get(after + 1).map(|token| token.text)
    };
    (0..tokens.len()).filter(|at| is_mark(*at)).filter_map(name).collect()
}

/// Whether the last part of a path is a word of the file.
fn names(tokens: &[Token<'_>], function: &str) -> bool {
    let name = function.rsplit("::").next().unwrap_or(function);
    tokens.iter().any(|token| token.is_word && token.text == name)
}

/// Whether a function, or the module it is in, is listed as reached by no program.
fn is_listed(function: &str, unshipped: &str) -> bool {
    let parts: Vec<&str> = function.split("::").collect();
    let (Some(member), Some(name)) = (parts.first(), parts.last()) else { return false };
    unshipped.lines().filter(|line| !line.starts_with('#')).any(|line| {
        let Some((file, listed)) = line.split_once(' ') else { return false };
        let Some(file) = file.strip_prefix("crates/").and_then(|file| file.strip_prefix(member)) else {
            return false;
        };
        let is_module = file == "/src/lib.rs" && parts.len() > 2 && parts[1] == listed;
        file.starts_with('/') && (listed.rsplit("::").next() == Some(name) || is_module)
    })
}

#[cfg(test)]
mod proof {
    use super::*;

    const FILE: &str = "external/tests/it/pickups.rs";
    const TEST: &str =
        "use signal::loading::resonance;\n#[test]\nfn measured() { resonance() }\nfn helper() {}";
    const GOOD: &str = "| peak | 4.4 kHz | 1 % | 5 % | a table | `signal::loading::resonance` | yes | `external/tests/it/pickups.rs::measured` |";

    fn told(row: &str, unshipped: &str, file: &str) -> Vec<String> {
        let shipped = usize::from(row.contains("| yes |"));
        let rest = GOOD.replace("| yes |", "| not shipped |");
        let others = vec![rest.as_str(); LEAST - 1].join("\n");
        let page = format!(
            "# Checks\n\n{PUBLISHED}\n\n**{LEAST} values, {shipped} of them through what ships.**\n\n\
             | what | published | deviation | allowed | source | function | shipped | test |\n|---|---|---|---|---|---|---|---|\n\
             {row}\n{others}\n"
        );
        judge(&page, unshipped, &BTreeMap::from([(FILE, file)]))
            .iter()
            .map(|remark| remark.what.clone())
            .collect()
    }

    #[test]
    fn silent_on_a_row_that_is_true() {
        assert_eq!(told(GOOD, "", TEST), Vec::<String>::new());
        let other = "crates/signal/src/loading.rs low_pass\ncrates/signals/src/a.rs resonance";
        assert_eq!(told(GOOD, other, TEST), Vec::<String>::new());
    }

    #[test]
    fn fires_on_a_test_that_is_not_there() {
        for wrong in
            ["external/tests/it/pickups.rs::guessed", "external/tests/it/coils.rs::measured", "measured"]
        {
            let row = GOOD.replace("external/tests/it/pickups.rs::measured", wrong);
            let told = told(&row, "", TEST);
            assert_eq!(told.len(), 1, "{told:?}");
            assert!(told[0].contains(wrong), "{told:?}");
        }
        let helper = GOOD.replace("::measured", "::helper");
        assert_eq!(told(&helper, "", TEST), ["the test `external/tests/it/pickups.rs::helper` is not there"]);
    }

    #[test]
    fn fires_on_a_function_that_the_test_does_not_go_through() {
        let row = GOOD.replace("loading::resonance", "loading::corner");
        assert_eq!(
            told(&row, "", TEST),
            ["`external/tests/it/pickups.rs` does not name `signal::loading::corner`"]
        );
    }

    #[test]
    fn fires_on_what_is_called_shipped_and_is_not() {
        for listed in ["crates/signal/src/loading.rs resonance", "crates/signal/src/lib.rs loading"] {
            let unshipped = format!("# The list.\n\n## why\n{listed}\n");
            assert_eq!(told(GOOD, &unshipped, TEST), ["`signal::loading::resonance` is called shipped"]);
        }
        let row = GOOD.replace("| yes |", "| perhaps |");
        assert!(told(&row, "", TEST).contains(&"`perhaps`".to_owned()));
    }

    #[test]
    fn fires_on_a_test_without_a_row_and_on_wrong_figures() {
        let more = format!("{TEST}\n#[test]\nfn forgotten() {{}}");
        assert_eq!(told(GOOD, "", &more), ["`forgotten` has no row"]);
        let few = format!("{PUBLISHED}\n\n**2 values, 1 of them through what ships.**\n\n{GOOD}\n");
        let told: Vec<String> = judge(&few, "", &BTreeMap::from([(FILE, TEST)]))
            .iter()
            .map(|remark| remark.what.clone())
            .collect();
        assert_eq!(told, ["the figures are not those of the rows", "1 published values"]);
    }
}
