//! The mains side: what a rig takes, how warm its bricks get, and which countries suit it.

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
/// Valid for a steady load; the surge at switch-on is another matter. An efficiency or factor of nought gives nought.
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

/// The mains of a country.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Country {
    /// Two letters of ISO 3166.
    pub code: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Nominal voltages; two where both are met.
    pub volts: &'static [u32],
    /// Frequencies; two where both are met.
    pub hertz: &'static [u32],
    /// Plug types, as letters of the IEC's list of world plugs.
    pub plugs: &'static str,
}

const fn land(
    code: &'static str,
    name: &'static str,
    volts: &'static [u32],
    hertz: &'static [u32],
    plugs: &'static str,
) -> Country {
    Country { code, name, volts, hertz, plugs }
}

/// The countries that tours go to most. The list of the IEC (World Plugs) has them all; this is a part of it, written
/// down from memory: look it up before a tour.
pub const COUNTRIES: &[Country] = &[
    land("AE", "United Arab Emirates", &[230], &[50], "G"),
    land("AR", "Argentina", &[220], &[50], "C I"),
    land("AT", "Austria", &[230], &[50], "C F"),
    land("AU", "Australia", &[230], &[50], "I"),
    land("BE", "Belgium", &[230], &[50], "C E"),
    land("BR", "Brazil", &[127, 220], &[60], "C N"),
    land("CA", "Canada", &[120], &[60], "A B"),
    land("CH", "Switzerland", &[230], &[50], "C J"),
    land("CL", "Chile", &[220], &[50], "C L"),
    land("CN", "China", &[220], &[50], "A C I"),
    land("CO", "Colombia", &[110], &[60], "A B"),
    land("CZ", "Czechia", &[230], &[50], "C E"),
    land("DE", "Germany", &[230], &[50], "C F"),
    land("DK", "Denmark", &[230], &[50], "C E F K"),
    land("ES", "Spain", &[230], &[50], "C F"),
    land("FI", "Finland", &[230], &[50], "C F"),
    land("FR", "France", &[230], &[50], "C E"),
    land("GB", "United Kingdom", &[230], &[50], "G"),
    land("GR", "Greece", &[230], &[50], "C F"),
    land("HU", "Hungary", &[230], &[50], "C F"),
    land("IE", "Ireland", &[230], &[50], "G"),
    land("IL", "Israel", &[230], &[50], "C H"),
    land("IN", "India", &[230], &[50], "C D M"),
    land("IS", "Iceland", &[230], &[50], "C F"),
    land("IT", "Italy", &[230], &[50], "C F L"),
    land("JP", "Japan", &[100], &[50, 60], "A B"),
    land("KR", "South Korea", &[220], &[60], "C F"),
    land("MX", "Mexico", &[127], &[60], "A B"),
    land("NL", "Netherlands", &[230], &[50], "C F"),
    land("NO", "Norway", &[230], &[50], "C F"),
    land("NZ", "New Zealand", &[230], &[50], "I"),
    land("PL", "Poland", &[230], &[50], "C E"),
    land("PT", "Portugal", &[230], &[50], "C F"),
    land("SE", "Sweden", &[230], &[50], "C F"),
    land("SG", "Singapore", &[230], &[50], "G"),
    land("TR", "Turkey", &[230], &[50], "C F"),
    land("TW", "Taiwan", &[110], &[60], "A B"),
    land("US", "United States", &[120], &[60], "A B"),
    land("ZA", "South Africa", &[230], &[50], "C M N"),
];

/// A country by its letters or its name, in any case.
pub fn country(name: &str) -> Option<&'static Country> {
    let wanted = name.trim();
    COUNTRIES.iter().find(|country| {
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
        assert!(COUNTRIES.iter().all(|country| refuses(country, window(100.0, 240.0), None).is_empty()));
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
    fn countries_are_sorted_and_single() {
        assert!(COUNTRIES.windows(2).all(|pair| pair[0].code < pair[1].code));
    }
}
