//! The JSON Schemas of what the commands print, made from the types that are printed.

use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde_json::{Value, json};

use crate::commands;

/// The schema of a command's JSON by the name of the generated document; nothing where there is no such name.
pub(crate) fn named(name: &str) -> Option<String> {
    Some(match name {
        "findings-schema" => {
            of::<super::json::Answer<'_>>("findings", 2, "Findings of `boardwright check --format json`")
        }
        "leads-schema" => {
            of::<leads::wire::Leads<'_>>("leads", 1, "Leads of `boardwright leads --format json`")
        }
        "feed-schema" => {
            of::<commands::feed::Answer<'_>>("feed", 1, "Feeds of `boardwright feed --format json`")
        }
        "fault-schema" => {
            of::<commands::fault::FaultAnswer>("fault", 1, "Fault of `boardwright fault --format json`")
        }
        "signal-schema" => {
            of::<signal::wire::Signal<'_>>("signal", 1, "Signal of `boardwright signal --format json`")
        }
        "arrange-schema" => {
            of_answer(verdict::json, "arrange", 1, "Placement of `boardwright arrange --format json`")
        }
        "choices-schema" => of_answer(
            verdict::choices_json,
            "choices",
            1,
            "Choices of `boardwright arrange --choices --format json`",
        ),
        "boards-schema" => of_answer(
            verdict::boards_json,
            "boards",
            1,
            "Boards of `boardwright arrange --boards --format json`",
        ),
        "change-schema" => {
            of::<commands::change::Answer<'_>>("change", 1, "Change of `boardwright change --format json`")
        }
        "quote-schema" => {
            of::<estimate::wire::Quote<'_>>("quote", 1, "Quote of `boardwright quote --format json`")
        }
        "band-schema" => {
            of::<commands::quote::Band<'_>>("band", 1, "Band of `boardwright quote --band --format json`")
        }
        "measure-schema" => {
            of::<commands::measure::Answer<'_>>("measure", 1, "List of `boardwright measure --format json`")
        }
        "kinds-schema" => {
            of::<commands::kinds::Answer<'_>>("kinds", 1, "Kinds of `boardwright kinds --format json`")
        }
        "orders-schema" => {
            of::<commands::order::Answer<'_>>("orders", 1, "Orders of `boardwright order --format json`")
        }
        "manifest-schema" => {
            of::<commands::papers::Manifest<'_>>("manifest", 1, "Manifest of `boardwright papers`")
        }
        "takes-schema" => {
            of::<takes::wire::Several>("takes", 1, "Takes of `boardwright take read` with several recordings")
        }
        "test-schema" => {
            of::<commands::test::Sheet<'_>>("test", 1, "Test sheet of `boardwright test --format json`")
        }
        "photo-schema" => {
            of::<commands::photo::Answer>("photo", 1, "Sizes of `boardwright photo --format json`")
        }
        "take-schema" => of::<takes::wire::Read>("take", 1, "Take of `boardwright take read --format json`"),
        "resolved-schema" => {
            of::<design::wire::Resolved<'_>>("resolved", 1, "Resolved rig of `boardwright export --as json`")
        }
        _ => return None,
    })
}

/// The schema of what a function answers whose type has no name.
fn of_answer<'a, I: 'a, T: JsonSchema>(_: fn(&'a I) -> T, name: &str, version: u32, title: &str) -> String {
    of::<T>(name, version, title)
}

/// The schema of a type as it is printed: every key that is always there is required, and no other is allowed.
fn of<T: JsonSchema>(name: &str, version: u32, title: &str) -> String {
    let settings = schemars::generate::SchemaSettings::draft2020_12()
        .for_serialize()
        .with_transform(RecursiveTransform(close))
        .with_transform(RecursiveTransform(plain));
    let made = settings.into_generator().into_root_schema_for::<T>();
    let mut out = serde_json::Map::new();
    out.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
    out.insert("$id".to_owned(), json!(format!("urn:boardwright:{name}:{version}")));
    out.insert("title".to_owned(), json!(title));
    for (key, value) in made.as_object().into_iter().flatten() {
        out.entry(key.clone()).or_insert_with(|| value.clone());
    }
    serde_json::to_string_pretty(&Value::Object(out)).unwrap_or_default() + "\n"
}

/// No keys but those that are named.
fn close(schema: &mut Schema) {
    if schema.get("properties").is_some() && schema.get("additionalProperties").is_none() {
        schema.insert("additionalProperties".to_owned(), json!(false));
    }
}

/// Without the names that Rust has for its numbers: JSON has one kind of number.
fn plain(schema: &mut Schema) {
    schema.remove("format");
}
