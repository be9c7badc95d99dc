//! Values of devices that differ, in the words of the bench.

use finding::Field;
use quantity::{Decibels, Grams, Length, Milliamps, Ohms, Ratio, Seconds, Volts, Watts};
use serde_json::Value as Json;

use crate::Value;

/// Keys of the resolved rig below which things have names, and what the document calls one of them.
const LISTS: &[(&str, &str)] = &[
    ("ports", "port"),
    ("outlets", "outlet"),
    ("banks", "bank"),
    ("switches", "switch"),
    ("controls", "control"),
    ("loops", "loop"),
    ("inserts", "insert"),
];

/// Keys whose values are words of the format: `centre-negative`.
const FORMAT_WORDS: &[&str] =
    &["type", "sign", "bypass", "isolation", "class", "role", "face", "lies", "held"];

/// Shows a figure in its unit; `None` for what is no finite number.
type Show = fn(f64) -> Option<String>;

/// Units at the end of a key, and how such a figure is shown.
const UNITS: &[(&str, Show)] = &[
    ("_mm", |mm| mm.is_finite().then(|| Length::from_mm_rounded(mm).to_string())),
    ("_ma", |value| Milliamps::new(value).map(|value| value.to_string())),
    ("_ohm", |value| Ohms::new(value).map(|value| value.to_string())),
    ("_db", |value| Decibels::new(value).map(|value| value.to_string())),
    ("_ratio", |value| Ratio::new(value).map(|value| value.to_string())),
    ("_g", |value| Grams::new(value).map(|value| value.to_string())),
    ("_v", |value| Volts::new(value).map(|value| value.to_string())),
    ("_w", |value| Watts::new(value).map(|value| value.to_string())),
    ("_s", |value| Seconds::new(value).map(|value| value.to_string())),
];

impl Value {
    /// The change in one line: `current of outlet 4: 100 mA, now 500 mA`. `tag` is the device's.
    pub fn words(&self, tag: &str) -> String {
        let [name, before, after] = self.parts(tag);
        format!("{name}: {before}, now {after}")
    }

    /// The change in three: what the value is called, and what stands there before and after. `tag` is the device's.
    pub fn parts(&self, tag: &str) -> [String; 3] {
        let mut parts: Vec<&str> = self.key.split('.').collect();
        let is_origin = parts.last() == Some(&"from");
        if matches!(parts.last(), Some(&("is" | "from"))) {
            parts.pop();
        }
        let key = parts.pop().unwrap_or_default();
        // The name of a thing may end like a unit.
        let is_name = LISTS.iter().any(|(list, _)| parts.last() == Some(list));
        let (bare, show) = if is_name { (key, None) } else { unit_of(key) };
        let name = name(tag, &parts, bare);
        let source = if is_origin { " (source)" } else { "" };
        // A thing with a name of its own comes or goes as a whole.
        let is_thing = [&self.before, &self.after].into_iter().any(|text| text == "there");
        let says = |text: &str| match text {
            "-" if is_thing => "not there".to_owned(),
            text => said(text, key, show),
        };
        [format!("{name}{source}"), says(&self.before), says(&self.after)]
    }
}

/// A key without its unit, and how its figures are shown.
fn unit_of(key: &str) -> (&str, Option<Show>) {
    UNITS.iter().find_map(|(unit, show)| Some((key.strip_suffix(unit)?, Some(*show)))).unwrap_or((key, None))
}

/// What a value is called: the words of its field, without the device that it stands under.
fn name(tag: &str, above: &[&str], key: &str) -> String {
    if above == ["power"] && key == "positive_ground" {
        return "positive ground".to_owned();
    }
    let mut parts = vec!["device", tag];
    for part in above {
        parts.push(LISTS.iter().find(|(list, _)| list == part).map_or(*part, |(_, one)| *one));
    }
    // A setting has no name of its own; its current is that of its outlet.
    if parts.ends_with(&["settings", ""]) {
        parts.truncate(parts.len() - 2);
        parts.push(if key == "current" { "setting" } else { "set" });
    } else {
        parts.push(key);
    }
    let words = Field::new(parts).words();
    let own = |joint: &str| words.strip_suffix(&format!(" {joint} {tag}")).map(str::to_owned);
    own("of").or_else(|| own("on")).unwrap_or(words)
}

/// What stands there, in words; a figure with its unit.
fn said(text: &str, key: &str, show: Option<Show>) -> String {
    match (text, show) {
        ("-", _) => return "not known".to_owned(),
        ("true", _) => return "yes".to_owned(),
        ("false", _) => return "no".to_owned(),
        (_, None) if FORMAT_WORDS.contains(&key) => return text.replace('-', " "),
        (_, None) if !text.starts_with('{') => return text.to_owned(),
        _ => {}
    }
    let value = serde_json::from_str::<Json>(text).unwrap_or(Json::Null);
    // A value that was not there before stands there with its origin.
    let value = value.get("is").unwrap_or(&value);
    let figure = |value: &Json| value.as_f64().zip(show).and_then(|(value, show)| show(value));
    let words = match value {
        Json::Array(items) => {
            let each: Option<Vec<String>> = items.iter().map(figure).collect();
            each.map(|each| joined(&each))
        }
        one => figure(one),
    };
    words.unwrap_or_else(|| text.to_owned()).replace('-', "−")
}

/// A voltage from the least to the greatest, a size along its three edges.
fn joined(each: &[String]) -> String {
    match each {
        [low, high] if low == high => low.clone(),
        [low, high] => format!("{low} to {high}"),
        sides => {
            let bare: Vec<&str> = sides.iter().map(|side| side.trim_end_matches(" mm")).collect();
            format!("{} mm", bare.join(" × "))
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::Value;

    #[test]
    fn values_are_told_in_words_and_quantities() {
        for (key, before, after, words) in [
            (
                "size_mm.is",
                "[180.0,75.0,30.0]",
                "[180.0,75.0,24.0]",
                "size: 180 × 75 × 30 mm, now 180 × 75 × 24 mm",
            ),
            (
                "outlets.4.settings..current_ma.is",
                "100.0",
                "500.0",
                "current of outlet 4: 100 mA, now 500 mA",
            ),
            ("power.volts_v.is", "[9.0,9.0]", "[9.0,12.0]", "voltage: 9 V, now 9 V to 12 V"),
            ("power.current_ma.from", "assumed", "measured", "draw (source): assumed, now measured"),
            ("power.sign.is", "-", "centre-negative", "polarity: not known, now centre negative"),
            ("signal.inverts.is", "false", "true", "whether D1 inverts: no, now yes"),
            (
                "treadle_mm",
                "-",
                "{\"from\":\"measured\",\"is\":20.0}",
                "height of the treadle: not known, now 20 mm",
            ),
            ("ports.IN", "-", "there", "jack IN: not there, now there"),
            ("ports.IN.connector", "jack-6.35-ts", "-", "connector of jack IN: jack-6.35-ts, now not known"),
        ] {
            let value = Value { key: key.to_owned(), before: before.to_owned(), after: after.to_owned() };
            assert_eq!(value.words("D1"), words);
        }
    }
}
