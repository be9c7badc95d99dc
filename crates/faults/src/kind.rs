//! Kinds of parts, symptoms and trials, with the tables that say how often and how long.

use std::sync::OnceLock;

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A lead that carries sound.
    Lead,
    /// A lead that carries low-voltage power.
    PowerLead,
    /// A mains lead.
    MainsLead,
    /// A jack with the plug in it.
    Jack,
    /// The normal of an insert.
    Normal,
    /// An outlet of a brick.
    Outlet,
    /// A supply brick.
    Brick,
    /// A row of mains sockets, or the inlet of a panel.
    Strip,
    /// A foot switch or relay contact.
    Switch,
    /// A device's own adaptor.
    Adaptor,
    /// A device.
    Device,
    /// The guitar, or whatever stands at the beginning.
    Source,
    /// The amp, or whatever stands at the end.
    Sink,
    /// Two earths that meet in the screens.
    EarthLoop,
}

/// All kinds with their names, in the order of the table.
const KINDS: [(Kind, &str); 14] = [
    (Kind::Lead, "lead"),
    (Kind::PowerLead, "power_lead"),
    (Kind::MainsLead, "mains_lead"),
    (Kind::Jack, "jack"),
    (Kind::Normal, "normal"),
    (Kind::Outlet, "outlet"),
    (Kind::Brick, "brick"),
    (Kind::Strip, "strip"),
    (Kind::Switch, "switch"),
    (Kind::Adaptor, "adaptor"),
    (Kind::Device, "device"),
    (Kind::Source, "source"),
    (Kind::Sink, "sink"),
    (Kind::EarthLoop, "earth_loop"),
];

impl Kind {
    /// Its name in tables and JSON.
    pub fn word(self) -> &'static str {
        KINDS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    /// The kind of this name.
    pub fn of(word: &str) -> Option<Self> {
        KINDS.iter().find(|(_, own)| *own == word).map(|(kind, _)| *kind)
    }

    /// How often a part of this kind is what is wrong, against the others.
    pub fn odds(self, symptom: Symptom) -> f64 {
        static TABLE: OnceLock<Vec<(String, Vec<f64>)>> = OnceLock::new();
        let table = TABLE.get_or_init(|| {
            let rows = include_str!("../tables/odds.txt").lines().filter(|line| !line.starts_with('#'));
            rows.filter_map(|row| {
                let mut words = row.split_whitespace();
                let name = words.next()?.to_owned();
                Some((name, words.filter_map(|word| word.parse().ok()).collect()))
            })
            .collect()
        });
        let row = table.iter().find(|(name, _)| name == self.word());
        row.and_then(|(_, odds)| odds.get(symptom.place())).copied().unwrap_or(0.0)
    }
}

/// What is heard, or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symptom {
    /// No sound at all.
    Dead,
    /// Too quiet.
    Weak,
    /// No treble.
    Dull,
    /// It hums.
    Hum,
    /// It crackles.
    Crackle,
    /// One of two sides is silent.
    OneSide,
    /// Silent in one state of the switches only.
    OneState,
    /// One device has no light.
    NoPower,
    /// It works until something is moved.
    Moved,
}

impl Symptom {
    /// All of them, in the order of the table of odds, with a word for arguments and one for people.
    pub const ALL: [(Self, &'static str, &'static str); 9] = [
        (Self::Dead, "dead", "No sound"),
        (Self::Weak, "weak", "Weak"),
        (Self::Dull, "dull", "Dull"),
        (Self::Hum, "hum", "Hum"),
        (Self::Crackle, "crackle", "Crackle"),
        (Self::OneSide, "one-side", "One side silent"),
        (Self::OneState, "one-state", "Silent in one state"),
        (Self::NoPower, "no-power", "One device without power"),
        (Self::Moved, "moved", "Works until moved"),
    ];

    fn place(self) -> usize {
        Self::ALL.iter().position(|(symptom, ..)| *symptom == self).unwrap_or(0)
    }

    /// Its word as an argument.
    pub fn word(self) -> &'static str {
        Self::ALL[self.place()].1
    }

    /// What a person calls it.
    pub fn title(self) -> &'static str {
        Self::ALL[self.place()].2
    }

    /// The symptom of this word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, own, _)| *own == word).map(|(symptom, ..)| *symptom)
    }

    /// Whether nothing at all is heard: a part shows it when nothing passes without that part.
    pub(crate) fn is_silence(self) -> bool {
        matches!(self, Self::Dead | Self::OneSide | Self::OneState)
    }

    /// What is asked after a trial.
    pub(crate) fn question(self) -> &'static str {
        match self {
            Self::Dead | Self::OneSide | Self::OneState => "Sound?",
            Self::Weak => "As loud as it should be?",
            Self::Dull => "Treble back?",
            Self::Hum => "Hum gone?",
            Self::Crackle => "Crackle gone?",
            Self::NoPower => "Light?",
            Self::Moved => "Does it stay when you move things?",
        }
    }
}

/// What a person does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TrialKind {
    /// Plugs the guitar in further on.
    Into,
    /// Switches a device off.
    Off,
    /// Puts a lead that is known to be good in place of one.
    Swap,
    /// Looks whether a device has its light.
    Look,
    /// Meters an outlet.
    Meter,
    /// Moves a plug in its jack.
    Wiggle,
    /// Works a switch or a normal a few times.
    Work,
    /// Puts a power plug into another outlet.
    Move,
    /// Plugs past a device.
    Around,
    /// Pulls the lead of the other end.
    Lone,
    /// Plugs the amp's lead into an earlier output.
    Out,
    /// Pulls a lead that hangs beside the way.
    Pull,
    /// Feeds a device from a battery or an adaptor.
    Apart,
}

/// What must be at hand for a trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tool {
    /// A lead that is known to be good.
    SpareLead,
    /// A meter.
    Meter,
    /// A battery or an adaptor that a device can be fed from.
    Supply,
}

impl Tool {
    /// All of them, with a word for arguments and addresses and one for people.
    pub const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::SpareLead, "spare-lead", "a lead known to be good"),
        (Self::Meter, "meter", "a meter"),
        (Self::Supply, "supply", "a battery or an adaptor that fits"),
    ];

    /// What it is called.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(tool, ..)| *tool == self).map_or("", |(.., words)| words)
    }

    /// Its word in arguments and addresses.
    pub fn argument(self) -> &'static str {
        Self::ALL.iter().find(|(tool, ..)| *tool == self).map_or("", |(_, word, _)| word)
    }

    /// The tool of this word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, own, _)| *own == word).map(|(tool, ..)| *tool)
    }
}

/// All kinds of trials with their names.
const TRIALS: [(TrialKind, &str); 13] = [
    (TrialKind::Into, "into"),
    (TrialKind::Off, "off"),
    (TrialKind::Swap, "swap"),
    (TrialKind::Look, "look"),
    (TrialKind::Meter, "meter"),
    (TrialKind::Wiggle, "wiggle"),
    (TrialKind::Work, "work"),
    (TrialKind::Move, "move"),
    (TrialKind::Around, "around"),
    (TrialKind::Lone, "lone"),
    (TrialKind::Out, "out"),
    (TrialKind::Pull, "pull"),
    (TrialKind::Apart, "apart"),
];

impl TrialKind {
    /// Its name in tables and in the names of trials.
    pub fn word(self) -> &'static str {
        TRIALS.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }

    fn row(self) -> Option<&'static (String, f64, Option<Tool>)> {
        static TABLE: OnceLock<Vec<(String, f64, Option<Tool>)>> = OnceLock::new();
        let table = TABLE.get_or_init(|| {
            let rows = include_str!("../tables/trials.txt").lines().filter(|line| !line.starts_with('#'));
            rows.filter_map(|row| {
                let mut words = row.split_whitespace();
                let (name, minutes, tool) = (words.next()?, words.next()?, words.next()?);
                Some((name.to_owned(), minutes.parse().ok()?, Tool::of(tool)))
            })
            .collect()
        });
        table.iter().find(|(name, ..)| name == self.word())
    }

    /// How long it takes, in minutes.
    pub fn minutes(self) -> f64 {
        self.row().map_or(1.0, |row| row.1)
    }

    /// What must be at hand.
    pub fn tool(self) -> Option<Tool> {
        self.row().and_then(|row| row.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_tables_are_whole() {
        for (kind, word) in KINDS {
            let known: f64 = Symptom::ALL.iter().map(|(symptom, ..)| kind.odds(*symptom)).sum();
            assert!(0.0 < known, "{word} can show something");
        }
        let rows = include_str!("../tables/odds.txt").lines().filter(|line| !line.starts_with('#'));
        for row in rows {
            assert_eq!(row.split_whitespace().count(), Symptom::ALL.len() + 1, "{row}");
        }
        for (kind, word) in TRIALS {
            assert!(kind.row().is_some(), "{word} has its minutes");
        }
    }
}
