//! `docs/rig-file.md`, printed from the tables.

use std::collections::BTreeSet;
use std::fmt::Write;

use super::{CATALOGUE, EXAMPLES, FORMAT, Key, PRICES, RIG, SHOP, STOCK, Shape, Table};

/// The page.
pub(crate) fn page() -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "# The rig file\n\n<!-- Generated from crates/document/src/format by `cargo xtask generate`; edit there. -->\n\n\
         A job is a folder with `rig.toml`, written in [TOML](https://toml.io). Today's `format` is {FORMAT}.\n\n\
         - A quantity is text with its unit: `\"9 V\"`, `\"120 mA\"`, `\"1 MΩ\"` or `\"1 Mohm\"`, `\"470 pF\"`, `\"4 3/4 in\"`. A bare number is an error.\n\
         - A value marked ✎ may say where it comes from: `mass = {{ is = \"431 g\", from = \"measured\" }}`, with `from` one of \
         measured, printed, assumed, unknown, and `date` and `note` for the record. `\"unknown\"` alone says that nobody knows yet. \
         `from` in a table holds for all its values; where nothing is said a value counts as *assumed*, and papers say so.\n\
         - Lengths on a deck count from its front left corner as the player sees it: x to the right, y to the back. \
         x and y of a device are the front left corner of its body as turned. Turns are counter-clockwise.\n\
         - Where a plug's cable leaves (`exit`) is said on the device before turning: toe is away from the player, heel towards.\n\
         - Unknown keys are refused, with the nearest known one.\n\n\
         The JSON Schema is [`schema/rig-1.schema.json`](schema/rig-1.schema.json).\n"
    );
    let mut seen = BTreeSet::new();
    section(&mut out, "The rig document", &RIG, &mut seen);
    examples(&mut out);
    let _ = writeln!(
        out,
        "# Catalogue files\n\n{} Below `[device.ID]` stand the keys of a device, below `[board.ID]` those of a board.\n",
        CATALOGUE.doc
    );
    section(&mut out, "Catalogue", &CATALOGUE, &mut seen);
    let _ = writeln!(
        out,
        "# Shop settings\n\n`shop.toml` in a folder at or above the job. The limits are listed in [`limit-settings.md`](limit-settings.md). \
         A folder `catalogue` beside it overlays ours.\n"
    );
    section(&mut out, "Settings", &SHOP, &mut seen);
    let _ = writeln!(
        out,
        "# Stock\n\n`stock.toml` in the shop folder. `boardwright stock` lists it and adds to it; \
         `boardwright leads RIG --book` takes a cut plan from it.\n"
    );
    section(&mut out, "Stock", &STOCK, &mut seen);
    let _ = writeln!(
        out,
        "# Prices\n\n`prices.toml` in the shop folder. `boardwright quote` and `boardwright order` read it; without it a quote \
         counts parts and minutes alone.\n"
    );
    section(&mut out, "Prices", &PRICES, &mut seen);
    out.trim_end().to_owned() + "\n"
}

/// Whole small jobs, one for each thing that people look up.
fn examples(out: &mut String) {
    let _ = writeln!(out, "# Examples\n\nEach is a whole job that can be read and checked as it stands.\n");
    for example in EXAMPLES {
        let (title, words, text) = (example.title, example.words, example.text);
        let _ = writeln!(out, "## {title}\n\n{words}\n\n```toml\n{text}```\n");
    }
}

fn section(out: &mut String, title: &str, table: &'static Table, seen: &mut BTreeSet<*const Table>) {
    if !seen.insert(std::ptr::from_ref(table)) {
        return;
    }
    let _ = writeln!(
        out,
        "## {title}\n\n{}\n\n| key | what may stand there | what it says |\n|---|---|---|",
        table.doc
    );
    for key in table.keys {
        let _ = writeln!(
            out,
            "| `{}`{}{} | {} | {} |",
            key.name,
            if key.given { " ✎" } else { "" },
            if key.required { " *must*" } else { "" },
            shape(key.name, &key.shape),
            key.doc.replace('|', "\\|")
        );
    }
    let _ = writeln!(out);
    for key in table.keys {
        let (Shape::Table(inner)
        | Shape::Named(inner)
        | Shape::Tables(inner, _)
        | Shape::List(Shape::Table(inner))) = &key.shape
        else {
            continue;
        };
        section(out, &heading(table, key), inner, seen);
    }
}

fn heading(table: &Table, key: &Key) -> String {
    let name = match &key.shape {
        Shape::Named(_) => format!("{}.NAME", key.name),
        _ => key.name.to_owned(),
    };
    if std::ptr::eq(table, &raw const RIG)
        || std::ptr::eq(table, &raw const CATALOGUE)
        || std::ptr::eq(table, &raw const SHOP)
        || std::ptr::eq(table, &raw const STOCK)
        || std::ptr::eq(table, &raw const PRICES)
    {
        format!("`{name}`")
    } else {
        format!("`{name}` of {}", table.name)
    }
}

fn shape(name: &str, shape: &Shape) -> String {
    match shape {
        Shape::Text => "text".into(),
        Shape::Tag => "a short name".into(),
        Shape::Switch => "`true` or `false`".into(),
        Shape::Count(most) => format!("a whole number, 0 to {most}"),
        Shape::Turn => "`0`, `90`, `180` or `270`".into(),
        Shape::Words(words) => words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Shape::Measure(measure) => format!("{}: `\"{}\"`", measure.name, measure.example.replace('|', "\\|")),
        Shape::List(inner) => format!("list of: {}", self::shape(name, inner)),
        Shape::Table(table) => format!("table {}", table.name),
        Shape::Named(table) => format!("named tables {}", table.name),
        Shape::Values(inner) => format!("named values: {}", self::shape(name, inner)),
        Shape::Tables(..) => format!("list of tables `[[{name}]]`"),
    }
}
