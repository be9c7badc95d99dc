//! Our own catalogue reads without a problem, and the printed format is whole.

use document::{Family, format_page, format_schema, read_text};

use crate::refusals::told;

#[test]
fn our_catalogue_reads_and_has_every_family() {
    let job = read_text("rig.toml", "format = 1\njob = { title = \"t\" }\n", None)
        .unwrap_or_else(|error| panic!("{}", told(&error)));
    let entries = job.catalogue.entries();
    for family in Family::ALL {
        assert!(entries.iter().any(|entry| entry.family == family), "{family:?}");
    }
    for entry in entries {
        assert!(!entry.title.is_empty(), "{} has a title", entry.id);
    }
}

#[test]
fn the_schema_is_json_and_names_every_key() {
    let schema = format_schema();
    let value: serde_json::Value = serde_json::from_str(&schema).expect("JSON");
    assert_eq!(value["properties"]["format"]["maximum"], 999);
    assert!(!schema.contains("null"), "every definition is filled");
    let page = format_page();
    for key in document::format::DEVICE.keys {
        assert!(page.contains(&format!("| `{}`", key.name)), "{}", key.name);
        assert!(value["$defs"]["device"]["properties"][key.name].is_object(), "{}", key.name);
    }
}
