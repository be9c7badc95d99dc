//! What a field of the document holds, in the words of the bench.

use crate::Field;

impl Field {
    /// What stands there, for people: `height of jack S1 on D1`, never the keys of the document.
    pub fn words(&self) -> String {
        let parts: Vec<&str> = self.parts().iter().map(String::as_str).collect();
        match parts.as_slice() {
            ["device", rest @ ..] => device(rest),
            ["board", rest @ ..] => board(rest),
            ["lead", lead] => format!("lead {}", between(lead)),
            ["lead", lead, key] => lead_words(lead, key),
            ["plug", id, key] => format!("{} of plug {id}", plain(key)),
            ["connector", id, "nut"] => format!("nut and washer of connector {id}"),
            ["connector", id, key] => format!("{} of connector {id}", plain(key)),
            ["source", id, "electrics"] => format!("electrics of {id}"),
            ["source", id, "electrics", "kind"] => format!("kind of pickup of {id}"),
            ["source", id, "electrics", "resistance"] => format!("output impedance of {id}"),
            ["source", id, "electrics", key] => format!("{} of {id}", plain(key)),
            ["sink", id, "z"] => format!("input impedance of {id}"),
            ["sink", id, "phantom"] => format!("whether {id} has phantom power"),
            ["sink", id, "earthed"] => format!("whether {id} is earthed"),
            ["cable", id, key] => format!("{} of cable {id}", plain(key)),
            ["mass", name] => format!("mass of {name}"),
            ["run", name, "stops"] => format!("stops of run {name}"),
            ["state", name, "engaged"] => format!("what state {name} has on"),
            ["switching", name, "devices"] => format!("what switch {name} works"),
            ["switching", name, "way"] => format!("how switch {name} works"),
            ["brief", "carried"] => "how it travels".to_owned(),
            ["brief", "carriers"] => "how many people carry it".to_owned(),
            ["brief", "countries"] => "countries on the tour list".to_owned(),
            ["brief", "countries", name] => format!("mains in {name}"),
            ["job", "mains"] => "mains at home".to_owned(),
            ["accept", ..] => "an answer".to_owned(),
            [list, id, keys @ ..] if !keys.is_empty() => {
                let keys: Vec<String> = keys.iter().map(|key| plain(key)).collect();
                format!("{} of {list} {id}", keys.join(" "))
            }
            _ => parts.iter().map(|part| plain(part)).collect::<Vec<_>>().join(" "),
        }
    }

    /// Whether a tape, a scale or a meter tells the value, so that it can be measured at the bench.
    pub fn is_measured(&self) -> bool {
        const MEASURED: &[&str] = &[
            "size",
            "knobs",
            "treadle",
            "bracket",
            "mass",
            "offset",
            "height",
            "behind",
            "z",
            "current",
            "surge",
            "clear_below",
            "inside_width",
            "inside_depth",
            "inside_height",
            "depth",
            "width",
            "tail",
            "tail_width",
            "nut",
            "bend",
            "resistance",
            "resistance_per_metre",
            "capacitance_per_metre",
            "diameter",
            "inverts",
            "latency",
            "gain",
            "max_input",
            "noise",
            "level",
        ];
        let in_list = self.parts().last().is_some_and(|key| MEASURED.contains(&key.as_str()));
        in_list || self.parts().first().is_some_and(|list| list == "mass")
    }
}

fn device(rest: &[&str]) -> String {
    match rest {
        [tag] => format!("device {tag}"),
        [tag, "port"] => format!("jacks of {tag}"),
        [tag, "port", port] => format!("jack {port} on {tag}"),
        [tag, "port", port, key] => format!("{} of jack {port} on {tag}", port_word(key)),
        [tag, "outlet", outlet] => format!("outlet {outlet} on {tag}"),
        [tag, "outlet", outlet, key] => format!("{} of outlet {outlet} on {tag}", outlet_word(key)),
        [tag, "bank", bank, ..] => format!("limit of bank {bank} on {tag}"),
        [tag, "power", key] => format!("{} of {tag}", power_word(key)),
        [tag, "signal", "bare_pickup"] => format!("whether {tag} needs the bare pickup"),
        [tag, "signal", "inverts"] => format!("whether {tag} inverts"),
        [tag, "signal", "coil"] => format!("whether {tag} holds a coil"),
        [tag, "signal", "aerial"] => format!("whether {tag} has an aerial"),
        [tag, "signal", "tails"] => format!("whether the repeats of {tag} ring on"),
        [tag, "signal", "at"] => format!("what {tag} does at its supply voltage"),
        [tag, "signal", key] => format!("{} of {tag}", signal_word(key)),
        [tag, "feed"] => format!("feed of {tag}"),
        [tag, "feed", "plug"] => format!("plug at {tag} of its supply lead"),
        [tag, "feed", "outlet_plug"] => format!("plug at the outlet of the supply lead to {tag}"),
        [tag, "feed", key] => format!("{} of the feed of {tag}", plain(key)),
        [tag, "midi"] => format!("what {tag} hears by MIDI"),
        [tag, "midi", key] => format!("MIDI {} of {tag}", plain(key)),
        [tag, "insert", insert, "normal"] => format!("normal of insert {insert} on {tag}"),
        [tag, "insert", insert, ..] => format!("insert {insert} on {tag}"),
        [tag, "loop", circuit, ..] => format!("loop {circuit} on {tag}"),
        [tag, "size", side @ ("width" | "depth" | "height")] => format!("{side} of {tag}"),
        [tag, "knobs"] => format!("height of the knobs of {tag}"),
        [tag, "treadle"] => format!("height of the treadle of {tag}"),
        [tag, "place", ..] => format!("place of {tag}"),
        [tag, "total"] => format!("watts of {tag} in all"),
        [tag, keys @ ..] => {
            let keys: Vec<String> = keys.iter().map(|key| plain(key)).collect();
            format!("{} of {tag}", keys.join(" "))
        }
        [] => "devices".to_owned(),
    }
}

fn board(rest: &[&str]) -> String {
    match rest {
        ["lid", ..] => "inside height of the lid".to_owned(),
        ["case", key] => format!("{} of the case", plain(key)),
        ["deck", deck, "clear_below"] => format!("clear height below deck {deck}"),
        ["deck", deck, "passage", passage] => format!("passage {passage} of deck {deck}"),
        ["deck", _, "passage", passage, ..] => format!("edge of passage {passage}"),
        ["deck", deck, keys @ ..] => {
            let keys: Vec<String> = keys.iter().map(|key| plain(key)).collect();
            format!("{} of deck {deck}", keys.join(" "))
        }
        keys => {
            let keys: Vec<String> = keys.iter().map(|key| plain(key)).collect();
            format!("{} of the board", keys.join(" "))
        }
    }
}

fn lead_words(lead: &str, key: &str) -> String {
    let ends = lead.split_once(" > ");
    let end = |is_from: bool| ends.map_or(lead, |(from, to)| if is_from { from } else { to });
    match key {
        "from_exit" => format!("which way the cable leaves the plug at {}", end(true)),
        "to_exit" => format!("which way the cable leaves the plug at {}", end(false)),
        "from_plug" => format!("plug at {} of the lead to {}", end(true), end(false)),
        "to_plug" => format!("plug at {} of the lead from {}", end(false), end(true)),
        other => format!("{} of lead {}", plain(other), between(lead)),
    }
}

fn between(lead: &str) -> String {
    lead.replace(" > ", " to ")
}

fn plain(key: &str) -> String {
    key.replace('_', " ")
}

fn power_word(key: &str) -> String {
    match key {
        "current" => "draw".to_owned(),
        "volts" => "voltage".to_owned(),
        "type" => "supply type".to_owned(),
        "class" => "power class".to_owned(),
        "surge" => "start-up draw".to_owned(),
        "hertz" => "mains frequency".to_owned(),
        "sign" => "polarity".to_owned(),
        "positive_ground" => "ground".to_owned(),
        other => plain(other),
    }
}

fn port_word(key: &str) -> String {
    match key {
        "z" => "impedance".to_owned(),
        "phantom_safe" => "phantom rating".to_owned(),
        "midi_jack" => "MIDI wiring".to_owned(),
        "insulated" => "insulation".to_owned(),
        "behind" => "depth behind the wall".to_owned(),
        "role" => "purpose".to_owned(),
        other => plain(other),
    }
}

fn outlet_word(key: &str) -> String {
    match key {
        "set" => "setting".to_owned(),
        "setting" => "current".to_owned(),
        "sign" => "polarity".to_owned(),
        "type" => "supply type".to_owned(),
        "parallel" => "maker's leave to pair for current".to_owned(),
        "series" => "maker's leave to pair for voltage".to_owned(),
        other => plain(other),
    }
}

fn signal_word(key: &str) -> String {
    match key {
        "max_input" => "largest input".to_owned(),
        "latency" => "delay of the direct sound".to_owned(),
        "noise" => "own noise".to_owned(),
        "turns" => "turns ratio".to_owned(),
        other => plain(other),
    }
}

#[cfg(test)]
mod tests {
    use crate::Field;

    #[test]
    fn fields_are_told_in_words() {
        for (field, words, measured) in [
            (Field::device("D1", "port.S1.height"), "height of jack S1 on D1", true),
            (Field::device("A4", "power.current"), "draw of A4", true),
            (Field::device("A4", "power.sign"), "polarity of A4", false),
            (Field::device("SUP", "outlet.3.set"), "setting of outlet 3 on SUP", false),
            (
                Field::of("lead", "A1.OUT > B2.IN", "").below("to_exit"),
                "which way the cable leaves the plug at B2.IN",
                false,
            ),
            (Field::new(["mass", "leads"]), "mass of leads", true),
            (Field::of("sink", "desk", "phantom"), "whether desk has phantom power", false),
            (Field::device("A1", "signal.bare_pickup"), "whether A1 needs the bare pickup", false),
            (Field::device("A1", "signal.noise"), "own noise of A1", true),
            (Field::device("A1", "signal.turns"), "turns ratio of A1", false),
            (Field::device("A1", "signal.at"), "what A1 does at its supply voltage", false),
            (Field::of("switching", "solo", "devices"), "what switch solo works", false),
        ] {
            assert_eq!((field.words().as_str(), field.is_measured()), (words, measured));
            assert!(!field.words().contains('_'));
        }
    }
}
