//! The mains side: what a rig takes, how warm its bricks get, and which countries suit it.

use std::sync::OnceLock;

use quantity::{Hertz, Milliamps, Ratio, VoltAmps, Volts, Watts, Window};

/// Efficiency of a brick when nobody measured it.
pub const EFFICIENCY: Ratio = crate::energy::EFFICIENCY;

/// Power factor of small supplies without correction. *Common practice, no source.*
pub const POWER_FACTOR: Ratio = Ratio::of(0.6);

/// What a supply takes from the mains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// Real power: P/η.
    pub watts: Watts,
    /// Apparent power: P/(η·pf).
    pub volt_amps: VoltAmps,
    /// Current at the nominal voltage.
    pub current: Milliamps,
    /// What the supply turns into heat: P·(1/η − 1).
    pub heat: Watts,
}

/// What a supply takes when it gives `load`, at an efficiency and a power factor.
///
/// Valid for a steady load; the surge at switch-on is another matter. An efficiency or factor of zero gives zero.
pub fn taken(load: Watts, efficiency: Ratio, power_factor: Ratio, mains: Volts) -> Taken {
    let over = |value: f64, by: f64| if 0.0 < by { value / by } else { 0.0 };
    let watts = over(load.get(), efficiency.get());
    let volt_amps = over(watts, power_factor.get());
    let milliamps = over(volt_amps, mains.get()) * 1000.0;
    Taken {
        watts: Watts::new(watts).unwrap_or_default(),
        volt_amps: VoltAmps::new(volt_amps).unwrap_or_default(),
        current: Milliamps::new(milliamps).unwrap_or_default(),
        heat: Watts::new(watts - load.get()).unwrap_or_default(),
    }
}

/// How far the lists that a country's mains is taken from agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Agreement {
    /// All that list the country say the same.
    Agreed,
    /// They differ in plugs alone.
    PlugsDiffer,
    /// They differ in volts or hertz.
    Disputed,
    /// One list alone has it.
    OneSource,
}

/// The mains of a country.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Country {
    /// Two letters of ISO 3166.
    pub code: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Nominal voltages; two or more where several are met.
    pub volts: Vec<u32>,
    /// Frequencies; two where both are met.
    pub hertz: Vec<u32>,
    /// Plug types, as letters of the IEC's list of world plugs run together.
    pub plugs: &'static str,
    /// The lists that have it, by the ids of `catalogue/mains.tsv`'s sources.
    pub sources: &'static str,
    /// How far they agree.
    pub status: Agreement,
    /// A remark.
    pub note: &'static str,
}

impl Country {
    /// Whether one must ask on the spot: both classes of voltage or both frequencies are met there, or the lists disagree
    /// on the class. What they disagree on within a class (220, 230 or 240 V) harms no supply.
    pub fn must_ask(&self) -> bool {
        let high = |volts: &u32| 200 <= *volts;
        let both = self.volts.iter().any(high) && !self.volts.iter().all(high);
        both || 1 < self.hertz.len() || CLASS_DISPUTED.contains(&self.code)
    }

    /// Its household sockets, as catalogue ids: `socket-f`.
    pub fn sockets(&self) -> Vec<String> {
        self.plugs.chars().map(|letter| format!("socket-{}", letter.to_ascii_lowercase())).collect()
    }
}

/// 240 countries and territories, tab separated under one line of heads; several values of one cell are joined by `/`.
///
/// Compared from four public lists, read November 2026: S1 the IEC's list World Plugs as copied in 2017, S2 the
/// encyclopaedia table of 2017 (follows S1), S3 a list worded as World Standards' of 2023, S4 a mixture of 2025.
const TABLE: &str = include_str!("../../../catalogue/mains.tsv");

/// Countries of which one list names the other class of voltage, though the table has one. Of the United States and Canada
/// that is the 240 V between the two legs, which no ordinary outlet has: they are not among them.
const CLASS_DISPUTED: &[&str] = &["ID", "KN", "LY", "MF", "MS"];

/// Names that are said otherwise than the table has them.
const ALSO: &[(&str, &str)] = &[
    ("England", "GB"),
    ("Great Britain", "GB"),
    ("Holland", "NL"),
    ("Scotland", "GB"),
    ("South Korea", "KR"),
    ("Turkey", "TR"),
    ("UK", "GB"),
    ("USA", "US"),
    ("Wales", "GB"),
];

/// Every country of the table, by code.
pub fn countries() -> &'static [Country] {
    static READ: OnceLock<Vec<Country>> = OnceLock::new();
    READ.get_or_init(|| TABLE.lines().skip(1).filter_map(row).collect())
}

fn row(line: &'static str) -> Option<Country> {
    let cells: Vec<&'static str> = line.split('\t').collect();
    let [code, name, volts, hertz, plugs, sources, status, _, note] = cells[..] else { return None };
    let figures = |cell: &str| cell.split('/').map(str::parse).collect::<Result<Vec<u32>, _>>().ok();
    Some(Country {
        code,
        name,
        volts: figures(volts)?,
        hertz: figures(hertz)?,
        plugs,
        sources,
        status: match status {
            "agreed" => Agreement::Agreed,
            "plugs differ" => Agreement::PlugsDiffer,
            "disputed" => Agreement::Disputed,
            "one source" => Agreement::OneSource,
            _ => return None,
        },
        note,
    })
}

/// A country by its letters or its name, in any case.
pub fn country(name: &str) -> Option<&'static Country> {
    let wanted = name.trim();
    let also = ALSO.iter().find(|(said, _)| said.eq_ignore_ascii_case(wanted)).map(|(_, code)| *code);
    let wanted = also.unwrap_or(wanted);
    countries().iter().find(|country| {
        country.code.eq_ignore_ascii_case(wanted) || country.name.eq_ignore_ascii_case(wanted)
    })
}

/// Why a country does not suit a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// A voltage that the device does not take.
    Volts(u32),
    /// A frequency that the device does not take.
    Hertz(u32),
}

/// Everything that speaks against a country; nothing when it is accepted.
///
/// The voltage must lie within the window the device takes. `made_for` names the one frequency a device takes, of those
/// that do not take both: a transformer for 60 Hz saturates at 50 Hz.
pub fn refuses(country: &Country, takes: Window, made_for: Option<Hertz>) -> Vec<Refused> {
    let volts = country.volts.iter().filter(|volts| !takes.contains(Volts::of(f64::from(**volts))));
    // A transformer made for 50 Hz runs at 60 Hz, only cooler; the other way round it burns.
    let hertz =
        country.hertz.iter().filter(|hertz| made_for.is_some_and(|made| f64::from(**hertz) < made.get()));
    volts.map(|volts| Refused::Volts(*volts)).chain(hertz.map(|hertz| Refused::Hertz(*hertz))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_supply_takes_more_than_it_gives() {
        // 40 W at 85 % and a factor of 0.6 on 230 V: 47.06 W and 0.341 A.
        let taken = taken(Watts::of(40.0), Ratio::of(0.85), POWER_FACTOR, Volts::of(230.0));
        assert!((taken.watts.get() - 47.06).abs() < 0.005);
        assert!((taken.current.get() - 341.0).abs() < 0.5);
        assert!((taken.heat.get() - 7.06).abs() < 0.005);
    }

    #[test]
    fn a_wide_input_goes_everywhere_and_a_narrow_one_does_not() {
        let window = |low: f64, high: f64| Window::new(Volts::of(low), Volts::of(high)).unwrap();
        assert!(countries().iter().all(|country| refuses(country, window(100.0, 240.0), None).is_empty()));
        let gb = country("gb").unwrap();
        assert_eq!(
            refuses(gb, window(110.0, 127.0), Some(Hertz::of(60.0))),
            [Refused::Volts(230), Refused::Hertz(50)]
        );
        let jp = country("Japan").unwrap();
        assert_eq!(refuses(jp, window(100.0, 240.0), Some(Hertz::of(60.0))), [Refused::Hertz(50)]);
        assert!(country("Atlantis").is_none());
    }

    #[test]
    fn every_row_is_read_and_no_country_stands_twice() {
        // Each line but the heads, and so none was passed over for a cell that does not read.
        assert_eq!(countries().len(), TABLE.lines().count() - 1);
        assert_eq!(countries().len(), 240);
        assert!(countries().windows(2).all(|pair| pair[0].code < pair[1].code));
        assert!(ALSO.iter().all(|(_, code)| country(code).is_some()));
        for country in countries() {
            assert!(country.volts.iter().all(|volts| (100..=240).contains(volts)), "{}", country.code);
            assert!(country.hertz.iter().all(|hertz| [50, 60].contains(hertz)), "{}", country.code);
            let letters = country.plugs.chars().all(|letter| ('A'..='O').contains(&letter));
            assert!(letters && !country.plugs.is_empty(), "{}", country.code);
        }
    }

    #[test]
    fn where_lists_disagree_one_must_ask() {
        let ask = |code: &str| country(code).unwrap().must_ask();
        assert!(ask("BR") && ask("JP") && ask("SR") && ask("ID"));
        // Disputed within a class, or by what no outlet has.
        assert!(!ask("DE") && !ask("GB") && !ask("CH") && !ask("TR") && !ask("US"));
        assert!(CLASS_DISPUTED.iter().all(|code| country(code).is_some()));
        assert_eq!(country("south korea").unwrap().hertz, [60]);
        assert_eq!(country("CH").unwrap().sockets(), ["socket-c", "socket-j"]);
    }
}
