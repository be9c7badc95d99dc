//! The answer in words.

use finding::Field;

use crate::range::Tool;
use crate::values::Unsure;

/// How many decide, and how many do not.
pub(crate) fn summary(decide: usize, minutes: u32, others: usize) -> String {
    let minutes = if minutes == 1 { "1 minute".to_owned() } else { format!("{minutes} minutes") };
    let others = match others {
        0 => "No other value is assumed or unknown".to_owned(),
        1 => "The other one changes nothing that is judged".to_owned(),
        others => format!("The other {others} change nothing that is judged"),
    };
    match decide {
        0 => format!("No value that is assumed or unknown decides anything. {others}."),
        1 => format!("1 value decides; {minutes}. {others}."),
        decide => format!("{decide} values decide; {minutes}. {others}."),
    }
}

/// What the budget left out.
pub(crate) fn left_out(not_routed: usize, not_paired: usize) -> Option<String> {
    let laid = match not_routed {
        0 => None,
        1 => Some(
            "1 value of a plug, jack or cable was tried with the leads as they run, not laid anew".to_owned(),
        ),
        more => Some(format!(
            "{more} values of plugs, jacks and cables were tried with the leads as they run, not laid anew"
        )),
    };
    let paired = match not_paired {
        0 => None,
        1 => Some("1 pair of values was not tried together".to_owned()),
        more => Some(format!("{more} pairs of values were not tried together")),
    };
    match (laid, paired) {
        (Some(laid), Some(paired)) => Some(format!("{laid}; {paired}")),
        (laid, paired) => laid.or(paired),
    }
}

/// What comes of devices that the best allocation feeds, or not.
pub(crate) fn fed(devices: &[String]) -> String {
    format!("whether an outlet is left for {}", devices.join(", "))
}

/// Which leads are cut otherwise.
pub(crate) fn cut(leads: &[(String, f64)]) -> String {
    let (tag, off) = leads.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())).cloned().unwrap_or_default();
    let more = match leads.len() {
        0 | 1 => String::new(),
        many => format!(", and {} more", many - 1),
    };
    format!("lead {tag} is {:.0} mm {}{more}", off.abs(), if off < 0.0 { "shorter" } else { "longer" })
}

/// From which figure on, or with which word.
pub(crate) fn when(unsure: &Unsure, point: f64) -> String {
    let shown = unsure.words(point);
    if unsure.is_word {
        return format!("if {shown}");
    }
    // An end of the range that no finer search went below or above.
    if [unsure.range.low, unsure.range.high].iter().any(|end| (end - point).abs() <= f64::EPSILON * end.abs())
    {
        return format!("at {shown}");
    }
    let is_below = point < unsure.range.usual;
    // No finer than a tape: what changes at a hair changes with anything more.
    if shown == unsure.words(unsure.range.usual) {
        return format!("{} than {shown}", if is_below { "less" } else { "more" });
    }
    if is_below { format!("from {shown} down") } else { format!("from {shown}") }
}

/// The same turned round: with all but that figure or word. Of what nobody knows nothing is said now that could be said no
/// longer.
pub(crate) fn unless(unsure: &Unsure, point: f64) -> String {
    let shown = unsure.words(point);
    match shown.as_str() {
        "no" if unsure.is_word => return "if yes".to_owned(),
        "yes" if unsure.is_word => return "if no".to_owned(),
        _ => {}
    }
    let is_end = [unsure.range.low, unsure.range.high]
        .iter()
        .any(|end| (end - point).abs() <= f64::EPSILON * end.abs());
    if unsure.is_word || is_end {
        return format!("unless {shown}");
    }
    let is_below = point < unsure.range.usual;
    format!("{} {shown}", if is_below { "over" } else { "under" })
}

/// What is taken now, and what it may be.
pub(crate) fn range(assumed: Option<&str>, [low, high]: &[String; 2], is_word: bool) -> String {
    let between = if is_word { "or" } else { "to" };
    match assumed {
        Some(assumed) if assumed == low => format!("{low} assumed, may be {high}"),
        Some(assumed) => format!("{assumed} assumed, may be {low} {between} {high}"),
        None => format!("not known, may be {low} {between} {high}"),
    }
}

/// Where to put the tool.
pub(crate) fn place(field: &Field, tool: Tool) -> String {
    let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
    let words = match parts.as_slice() {
        ["device", _, "size", "width"] => "body, left to right",
        ["device", _, "size", "depth"] => "body, front to back, without plugs",
        ["device", _, "size", "height"] => "base to top of the box, feet as they stay, without knobs",
        ["device", _, "knobs"] => "top of the box to the highest knob or switch",
        ["device", _, "treadle"] => "top of the box to the treadle, toe up",
        ["device", _, "bracket"] => "thickness of the bracket",
        ["device", _, "port", _, "offset"] => "edge of the box to the middle of the jack",
        ["device", _, "port", _, "height"] => "base to the middle of the jack",
        ["device", _, "port", _, "behind"] => "inner face of the wall to the end of the jack",
        ["device", _, "port", _, "z"] => "maker’s sheet: impedance",
        ["device", _, "port", _, "insulated"] => "sleeve to case, nothing plugged, nothing fed",
        ["device", _, "port", _, "track"] => "the two outer contacts of the pot",
        ["device", _, "mass"] | ["mass", ..] => "as it is fitted, with its feet",
        ["device", _, "signal", "transformer"] => "sleeve of the input to sleeve of the output, nothing fed",
        ["device", _, "signal", "inverts"] => {
            "battery tapped on the input, plus to tip: first kick at the output"
        }
        ["device", _, "signal", "bypass"] => "tip to tip with the device off and nothing fed: 0 Ω is hard",
        ["device", _, "power", _] | ["device", _, "outlet", _, "current" | "set"] => {
            "beside the inlet or outlet, or under the base"
        }
        ["plug", _, "depth"] => "nut to the end of the plug",
        ["plug", _, "tail"] => "axis of the plug to the end of its sleeve",
        ["plug", _, "bend"] => "end of the sleeve to where the cable lies free",
        ["plug", _, _] => "across the plug",
        ["connector", _, "nut"] => "wall to the outer face of the nut",
        ["connector", _, _] => "across the hole or the nut",
        ["cable", _, "diameter"] => "over the jacket, not squeezed",
        ["board", "deck", ..] => "floor to the underside of the deck",
        ["board", "lid", ..] => "deck to the inside of the lid",
        ["board", "case", ..] => "inside, foam to foam",
        ["sink", _, "earthed"] => {
            "earth pin of its mains lead to the sleeve of the jack, unplugged from the wall"
        }
        _ => match tool {
            Tool::DataPlate => "data plate or maker’s sheet",
            Tool::Scale => "on the scale",
            Tool::Ohmmeter => "with nothing plugged and nothing fed",
            Tool::Tape => "end to end",
            _ => "",
        },
    };
    words.to_owned()
}
