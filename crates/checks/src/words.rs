//! How messages name things: lists of tags, figures, and the fields of a document.

use finding::{Field, Figure};

/// A figure as findings show it.
pub(crate) fn shown(figure: impl Into<Figure>) -> String {
    figure.into().to_string()
}

/// `A4`, `A4 and A5`, `A4, A5 and A6`.
pub(crate) fn list<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.as_ref().to_owned(),
        [front @ .., last] => {
            let front: Vec<&str> = front.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", front.join(", "), last.as_ref())
        }
    }
}

/// `the draw of A4 is unknown`, and so on for up to three values; the rest is counted.
pub(crate) fn lacking(fields: &[Field]) -> String {
    let mut names: Vec<String> = fields.iter().take(3).map(field_words).collect();
    match fields.len() {
        0..=3 => {}
        4 => names.extend(fields.iter().skip(3).map(field_words)),
        more => names.push(format!("{} more values", more - 3)),
    }
    format!("{} {} unknown", list(&names), if names.len() == 1 { "is" } else { "are" })
}

/// What a field of the document holds, in words.
pub(crate) fn field_words(field: &Field) -> String {
    let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
    match parts.as_slice() {
        ["device", tag, "port"] => format!("the ports of {tag}"),
        ["device", tag, "port", port] => format!("port {tag}.{port}"),
        ["device", tag, "port", port, key] => format!("the {} of {tag}.{port}", port_word(key)),
        ["device", tag, "outlet", outlet, key] => {
            format!("the {} of outlet {tag}.{outlet}", outlet_word(key))
        }
        ["device", tag, "bank", bank, ..] => format!("the limit of bank {bank} of {tag}"),
        ["device", tag, "power", key] => format!("the {} of {tag}", power_word(key)),
        ["device", tag, "signal", key] => format!("the {} of {tag}", signal_word(key)),
        ["device", tag, "feed", key] => format!("the {} of the feed of {tag}", key.replace('_', " ")),
        ["device", tag, "midi"] => format!("what {tag} hears by MIDI"),
        ["device", tag, "midi", key] => format!("the MIDI {key} of {tag}"),
        ["device", tag, "insert", insert, key] => format!("the {key} of insert {insert} of {tag}"),
        ["device", tag, "fasten", key] => format!("the {key} of what holds {tag}"),
        ["device", tag, "knobs"] => format!("the height of the knobs of {tag}"),
        ["device", tag, "treadle"] => format!("the height of the treadle of {tag}"),
        ["device", tag, key] => format!("the {} of {tag}", key.replace('_', " ")),
        ["board", "lid", _] => "the inside height of the lid".to_owned(),
        ["board", "case", key] => format!("the {} of the case", key.replace('_', " ")),
        ["board", "deck", deck, "clear_below"] => format!("the clear height below deck {deck}"),
        ["board", "deck", _, "passage", passage, ..] => format!("the edge of passage {passage}"),
        ["board", key] => format!("the {key} of the board"),
        ["lead", lead, key] => {
            let what = if key.ends_with("exit") { "exit" } else { "plug" };
            let end = if key.starts_with("from") { "first" } else { "second" };
            format!("the {what} at the {end} end of lead {lead}")
        }
        ["plug", id, key] => format!("the {} of plug {id}", key.replace('_', " ")),
        ["source", id, "electrics", "kind"] => format!("the kind of pickup of {id}"),
        ["source", id, "electrics", "resistance"] => format!("the output impedance of {id}"),
        ["sink", id, "z"] => format!("the input impedance of {id}"),
        ["sink", id, "phantom"] => format!("the phantom power of {id}"),
        ["sink", id, "earthed"] => format!("whether {id} is earthed"),
        ["cable", id, key] => format!("the {} of cable {id}", key.replace('_', " ")),
        ["mass", name] => format!("the mass of {name}"),
        ["brief", "carried"] => "the way it travels".to_owned(),
        ["job", "mains"] => "the mains at home".to_owned(),
        _ => field.to_string(),
    }
}

fn power_word(key: &str) -> &str {
    match key {
        "current" => "draw",
        "volts" => "voltage",
        "type" => "supply type",
        "class" => "power class",
        "surge" => "start-up draw",
        "positive_ground" => "ground",
        other => other,
    }
}

fn port_word(key: &str) -> &str {
    match key {
        "z" => "impedance",
        "offset" => "offset",
        "phantom_safe" => "phantom rating",
        "midi_jack" => "MIDI wiring",
        "insulated" => "insulation",
        "behind" => "depth behind",
        other => other,
    }
}

fn outlet_word(key: &str) -> &str {
    match key {
        "set" => "setting",
        "setting" => "current",
        "parallel" => "leave to pair for current",
        "series" => "leave to pair for voltage",
        other => other,
    }
}

fn signal_word(key: &str) -> &str {
    match key {
        "bare_pickup" => "wish for the bare pickup",
        "inverts" => "polarity",
        "tails" => "tail",
        "max_input" => "largest input",
        other => other,
    }
}

/// The name by which findings speak of the board as a whole.
pub(crate) const BOARD: &str = "board";
