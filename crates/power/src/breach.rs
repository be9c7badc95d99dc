//! A rule that an allocation breaks, with the quantities that break it.

use rig::FeedKind;

use crate::input::{milliamps_text, volts_text, watts, watts_apart, window_text};

/// A rule that an allocation breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach {
    /// The devices it is about.
    pub devices: Vec<String>,
    /// Which rule, and by how much.
    pub kind: BreachKind,
}

impl Breach {
    /// The fact in one line.
    pub fn words(&self) -> String {
        self.kind.words()
    }
}

/// Which rule an allocation breaks.
#[derive(Debug, Clone, PartialEq)]
pub enum BreachKind {
    /// A device has two feeds.
    FedTwice,
    /// A feed has more or fewer outlets than its kind takes.
    OutletCount {
        /// The kind.
        kind: FeedKind,
        /// How many it has.
        outlets: usize,
    },
    /// A locked feed was changed.
    LockedFeedChanged,
    /// The outlet of a locked feed was set otherwise.
    LockedOutletReset,
    /// There is no adaptor of its own.
    NoAdaptor,
    /// Its adaptor gives another voltage.
    AdaptorVoltage,
    /// Alternating current where direct is wanted, or the other way about.
    MixedCurrents,
    /// Plus and minus are crossed.
    Polarity,
    /// A voltage outside the device's window.
    Voltage {
        /// What arrives, in millivolts.
        arrives_mv: i64,
        /// The lower end of the window.
        low_mv: i64,
        /// Its upper end.
        high_mv: i64,
    },
    /// The outlet is kept for another device.
    Reserved,
    /// A brick on an outlet of its own.
    OwnOutlet,
    /// Positive ground on an outlet that is not isolated.
    PositiveGround,
    /// The plug does not fit.
    Plug,
    /// A barrel adaptor is missing, or one is there for nothing.
    BarrelAdaptor,
    /// Two outlets that may not be joined.
    NotJoinable,
    /// Outlets of two bricks in parallel.
    ParallelAcrossBricks,
    /// A draw that nobody knows, halved.
    UnknownHalved,
    /// Too much of the voltage is lost along the lead.
    Lost {
        /// What is lost, in volts.
        lost: f64,
        /// What the outlet gives, in millivolts.
        given_mv: i64,
    },
    /// One outlet at two voltages.
    TwoVoltages,
    /// More is drawn from an outlet than it may give.
    OutletOverloaded {
        /// What is drawn, in microamperes.
        drawn_ua: i64,
        /// What the outlet gives.
        given_ua: i64,
    },
    /// A paired outlet feeds something else too.
    PairedShared,
    /// More devices on one outlet than may be.
    TooManyShare {
        /// The most that may.
        most: usize,
    },
    /// A device that nobody knows enough of shares an outlet.
    UnknownShared,
    /// A device that must be alone shares an outlet.
    AloneShared,
    /// Devices of different polarity share an outlet.
    PolaritiesShared,
    /// A device that must be alone shares a negative.
    NegativeShared,
    /// More is drawn from a bank than it may give.
    BankOverloaded {
        /// Its name.
        bank: String,
        /// What is drawn, in microamperes.
        drawn_ua: i64,
        /// What the bank gives.
        given_ua: i64,
    },
    /// More is drawn from a brick than it may give.
    BrickOverloaded {
        /// Its tag.
        brick: String,
        /// What is drawn, in nanowatts.
        drawn_nw: i64,
        /// What the brick gives.
        given_nw: i64,
    },
    /// A brick that is fed itself gives more than it takes.
    IntakeOverloaded {
        /// Its tag.
        brick: String,
        /// What is drawn from it, in nanowatts.
        drawn_nw: i64,
    },
    /// A brick feeds others and is not fed.
    BrickUnfed {
        /// Its tag.
        brick: String,
    },
    /// A brick feeds itself by way of others.
    Ring {
        /// Its tag.
        brick: String,
    },
    /// A strip has too few sockets for what hangs there.
    TooFewSockets {
        /// Its tag.
        strip: String,
    },
}

impl BreachKind {
    fn words(&self) -> String {
        let words = match self {
            Self::OutletCount { kind, outlets } => {
                return format!("a {} feed has {outlets} outlets", kind.word());
            }
            Self::Voltage { arrives_mv, low_mv, high_mv } => {
                return format!(
                    "{} arrive, {} wanted",
                    volts_text(*arrives_mv),
                    window_text(*low_mv, *high_mv)
                );
            }
            Self::Lost { lost, given_mv } => {
                return format!("{lost:.2} V of {} lost along the lead", volts_text(*given_mv));
            }
            Self::OutletOverloaded { drawn_ua, given_ua } => return milliamps_of(*drawn_ua, *given_ua),
            Self::TooManyShare { most } => return format!("more than {most} share an outlet"),
            Self::BankOverloaded { bank, drawn_ua, given_ua } => {
                return format!("bank {bank}: {}", milliamps_of(*drawn_ua, *given_ua));
            }
            Self::BrickOverloaded { brick, drawn_nw, given_nw } => {
                let (drawn, given) = watts_apart(*drawn_nw, *given_nw);
                return format!("brick {brick}: {drawn} drawn, {given} given");
            }
            Self::IntakeOverloaded { brick, drawn_nw } => {
                return format!(
                    "brick {brick} gives {:.1} W, more than its own feed allows",
                    watts(*drawn_nw)
                );
            }
            Self::BrickUnfed { brick } => return format!("brick {brick} feeds others and is not fed"),
            Self::Ring { brick } => return format!("brick {brick} feeds itself in a ring"),
            Self::TooFewSockets { strip } => {
                return format!("strip {strip} has too few sockets for what hangs there");
            }
            Self::FedTwice => "has two feeds",
            Self::LockedFeedChanged => "the feed is locked and was changed",
            Self::LockedOutletReset => "the feed is locked and its outlet was set otherwise",
            Self::NoAdaptor => "there is no adaptor of its own",
            Self::AdaptorVoltage => "its adaptor gives another voltage",
            Self::MixedCurrents => "alternating and direct current are mixed up",
            Self::Polarity => "the polarity is the wrong way round",
            Self::Reserved => "the outlet is kept for another device",
            Self::OwnOutlet => "it feeds itself",
            Self::PositiveGround => "positive ground on an outlet that is not isolated",
            Self::Plug => "the plug does not fit",
            Self::BarrelAdaptor => "a barrel adaptor is missing, or one is there for nothing",
            Self::NotJoinable => "the two outlets may not be joined",
            Self::ParallelAcrossBricks => "outlets of two bricks are not joined in parallel",
            Self::UnknownHalved => "an unknown draw is not halved",
            Self::TwoVoltages => "one outlet at two voltages",
            Self::PairedShared => "a paired outlet feeds something else too",
            Self::UnknownShared => "one that nobody knows enough of has company",
            Self::AloneShared => "one of those that share must be alone",
            Self::PolaritiesShared => "those that share have different polarities",
            Self::NegativeShared => "one that must be alone shares a negative",
        };
        words.to_owned()
    }
}

fn milliamps_of(drawn_ua: i64, given_ua: i64) -> String {
    format!("{} drawn, {} given", milliamps_text(drawn_ua), milliamps_text(given_ua))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_told_as_people_read_them() {
        let words = |kind: BreachKind| kind.words();
        let voltage = BreachKind::Voltage { arrives_mv: 12_000, low_mv: 9_000, high_mv: 9_000 };
        assert_eq!(words(voltage), "12 V arrive, 9 V wanted");
        let outlet = BreachKind::OutletOverloaded { drawn_ua: 315_000, given_ua: 100_000 };
        assert_eq!(words(outlet), "315 mA drawn, 100 mA given");
        let lost = BreachKind::Lost { lost: 0.312, given_mv: 9_000 };
        assert_eq!(words(lost), "0.31 V of 9 V lost along the lead");
        let intake = BreachKind::IntakeOverloaded { brick: "P1".to_owned(), drawn_nw: 6_300_000_000 };
        assert_eq!(words(intake), "brick P1 gives 6.3 W, more than its own feed allows");
        let bank = BreachKind::BankOverloaded { bank: "A".to_owned(), drawn_ua: 600_000, given_ua: 500_000 };
        assert_eq!(words(bank), "bank A: 600 mA drawn, 500 mA given");
        let (drawn_nw, given_nw) = (8_100_000_000, 8_000_000_000);
        let brick = BreachKind::BrickOverloaded { brick: "P1".to_owned(), drawn_nw, given_nw };
        assert_eq!(words(brick), "brick P1: 8.1 W drawn, 8.0 W given");
    }
}
