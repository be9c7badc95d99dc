//! The workshop's thresholds: one table, each with a default that the shop settings may change.

use quantity::{
    Area, Decibels, Devices, Grams, Length, Milliamps, Ohms, ParseError, Quantity, Ratio, Seconds, Watts,
};

/// One entry of the table of limits.
#[derive(Debug, Clone, Copy)]
pub struct Limit {
    /// The key in the shop settings, under `[limits]`.
    pub key: &'static str,
    /// What it limits.
    pub what: &'static str,
    /// The published figure to set beside the default, how ours stands to it (`; ours …`), and the key of
    /// `docs/sources.md`; or that there is none.
    pub source: &'static str,
    /// The quantity, for messages: `length`, `ratio`.
    pub quantity: &'static str,
    /// How a value is written.
    pub example: &'static str,
}

/// A limit's value, of any quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitValue {
    /// A length.
    Length(Length),
    /// A ratio.
    Ratio(Ratio),
    /// A level.
    Decibels(Decibels),
    /// An impedance.
    Ohms(Ohms),
    /// A time.
    Seconds(Seconds),
    /// A mass.
    Grams(Grams),
    /// A current.
    Milliamps(Milliamps),
    /// A power.
    Watts(Watts),
    /// An area.
    Area(Area),
    /// A number of devices.
    Devices(Devices),
}

impl std::fmt::Display for LimitValue {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Length(value) => value.fmt(f),
            Self::Ratio(value) => value.fmt(f),
            Self::Decibels(value) => value.fmt(f),
            Self::Ohms(value) => value.fmt(f),
            Self::Seconds(value) => value.fmt(f),
            Self::Grams(value) => value.fmt(f),
            Self::Milliamps(value) => value.fmt(f),
            Self::Watts(value) => value.fmt(f),
            Self::Area(value) => value.fmt(f),
            Self::Devices(value) => value.fmt(f),
        }
    }
}

/// Limits that may be set below zero: foam gives, a board may stand over its edge, and a level may lie under another.
const SIGNED: &[&str] = &[
    "board_edge_stop",
    "clear_height_stop",
    "lid_foam_stop",
    "loom_level_look",
    "high_gain",
    "shared_gain_look",
];

/// No share counts for more than this many times the usual.
const MOST_SHARE: f64 = 1000.0;

/// What a limit may be, when the value is outside of it.
fn allowed(key: &str, value: LimitValue) -> Option<&'static str> {
    let number = match value {
        #[expect(clippy::cast_precision_loss, reason = "only the sign is looked at")]
        LimitValue::Length(length) => length.nm() as f64,
        LimitValue::Ratio(ratio) if MOST_SHARE < ratio.get() => return Some("0 to 100 000 %"),
        LimitValue::Ratio(ratio) => ratio.get(),
        LimitValue::Decibels(level) => level.get(),
        LimitValue::Ohms(ohms) => ohms.get(),
        LimitValue::Seconds(time) => time.get(),
        LimitValue::Grams(mass) => mass.get(),
        LimitValue::Milliamps(current) => current.get(),
        LimitValue::Watts(power) => power.get(),
        LimitValue::Area(area) => area.get(),
        LimitValue::Devices(devices) if devices.get() < 1.0 => return Some("1 device or more"),
        LimitValue::Devices(devices) => devices.get(),
    };
    (number < 0.0 && !SIGNED.contains(&key)).then_some("0 or more")
}

/// The source of a limit that has none.
const CUSTOM: &str = "common practice, no source";

/// A published figure, and how ours stands to it.
macro_rules! sourced {
    () => {
        CUSTOM
    };
    ($source:literal) => {
        $source
    };
}

macro_rules! limits {
    ($($key:ident: $quantity:ident = $default:expr, $what:literal $(, $source:literal)?;)*) => {
        /// The thresholds in force for a job.
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct Limits {
            $(#[doc = $what] pub $key: $quantity,)*
        }

        impl Default for Limits {
            fn default() -> Self {
                Self { $($key: $default,)* }
            }
        }

        /// Every limit, in the order of the settings page.
        pub const LIMITS: &[Limit] = &[
            $(Limit {
                key: stringify!($key),
                what: $what,
                source: sourced!($($source)?),
                quantity: <$quantity as Quantity>::NAME,
                example: <$quantity as Quantity>::EXAMPLE,
            },)*
        ];

        impl Limits {
            /// Sets one limit from text with its unit. `None` when there is no such key.
            ///
            /// # Errors
            /// What is no quantity of the limit's kind, and what is below zero where that means nothing.
            pub fn set(&mut self, key: &str, text: &str) -> Option<Result<(), ParseError>> {
                match key {
                    $(stringify!($key) => Some(<$quantity as Quantity>::parse(text).and_then(|value| {
                        if let Some(allowed) = allowed(key, LimitValue::$quantity(value)) {
                            let quantity = <$quantity as Quantity>::NAME;
                            return Err(ParseError::OutOfRange { found: text.to_owned(), quantity, allowed });
                        }
                        self.$key = value;
                        Ok(())
                    })),)*
                    _ => None,
                }
            }

            /// The value of one limit. `None` when there is no such key.
            pub fn get(&self, key: &str) -> Option<LimitValue> {
                match key {
                    $(stringify!($key) => Some(LimitValue::$quantity(self.$key)),)*
                    _ => None,
                }
            }
        }
    };
}

limits! {
    outlet_load_look: Ratio = Ratio::of(0.80), "load of an outlet above which to look",
        "NEC 210.20(A): a load of 3 h or more counts 125 %, which leaves 80 %; ours is the same [src:NEC-210.20]";
    outlet_load_stop: Ratio = Ratio::of(1.0), "load of an outlet above which to stop";
    brick_load_look: Ratio = Ratio::of(0.85), "load of a brick or bank above which to look",
        "NEC 210.20(A): 80 %; ours is looser by 5 points [src:NEC-210.20]";
    brick_load_stop: Ratio = Ratio::of(1.0), "load of a brick or bank above which to stop";
    surge_factor: Ratio = Ratio::of(1.5), "what an outlet should give over a digital device's stated draw when its surge is unknown",
        "input capacitors draw 5 to 25 times the rated current when they charge; ours is another thing, the draw of starting up after that [src:INRUSH-TYPICAL]";
    shared_analogue_look: Milliamps = Milliamps::of(60.0), "sum of analogue devices on one outlet above which to look";
    outlet_share_most: Devices = Devices::of(4.0), "the most devices that share one outlet";
    junction_loss_look: Decibels = Decibels::of(0.5), "loss at one junction above which to look",
        "an input of ten times the source loses 0.83 dB; ours is stricter [src:SENGPIEL-BRIDGING]";
    junction_loss_stop: Decibels = Decibels::of(1.0), "loss at one junction above which to stop",
        "a loss below 1 dB is held acceptable in studios; ours is the same [src:SENGPIEL-BRIDGING]";
    chain_loss_look: Decibels = Decibels::of(1.5), "loss of all junctions of a run together above which to look",
        "a step of 0.3 to 0.8 dB is just heard; ours is two to five such steps [src:LEVEL-STEP]";
    treble_change_look: Decibels = Decibels::of(2.0), "change at 4 kHz against the player's own lead and amp above which to look",
        "a step of 0.3 to 0.8 dB is just heard; ours is three to six such steps [src:LEVEL-STEP]";
    treble_change_stop: Decibels = Decibels::of(4.0), "change at 4 kHz against the player's own lead and amp above which to stop";
    resonance_shift_look: Ratio = Ratio::of(0.20), "shift of the pickup's resonance above which to look",
        "a shift of 0.079·F/√Q is just heard, 4 to 8 % at a Q of 4 to 1, measured up to 2 kHz; ours is looser, plainly heard [src:RESONANCE-STEP]";
    resonance_shift_stop: Ratio = Ratio::of(0.35), "shift of the pickup's resonance above which to stop",
        "a shift of 4 to 8 % is just heard at a Q of 4 to 1; ours is looser, a coarse stop [src:RESONANCE-STEP]";
    parallel_load_look: Ohms = Ohms::of(500e3), "load on a passive pickup below which to look",
        "inputs for bare pickups have about 1 MΩ, and a two-coil pickup has 500 kΩ or more at its peak; ours is the same order [src:LOAD-TENFOLD] [src:PICKUP-IMPEDANCE]";
    parallel_load_stop: Ohms = Ohms::of(250e3), "load on a passive pickup below which to stop",
        "ten times the pickup, 150 kΩ, as one builder's floor; ours is stricter [src:PEDAL-INPUT]";
    piezo_input_look: Ohms = Ohms::of(5e6), "input after a passive piezo below which to look",
        "500 kΩ called a tenth of a good match, 4.7 MΩ brought back the bass; ours is the same [src:PIEZO-PREAMP]";
    piezo_input_stop: Ohms = Ohms::of(1e6), "input after a passive piezo below which to stop",
        "1 to 10 MΩ in use; ours is the low end of that [src:PIEZO-PREAMP]";
    latency_look: Seconds = Seconds::of(0.2e-3), "difference of delay where branches sum above which to look",
        "a delay of 0.5 ms makes peaks as wide as the ear's band at 1 kHz, which colours; ours is stricter, its first notch at 2.5 kHz [src:EVEREST-COMB]";
    latency_stop: Seconds = Seconds::of(1e-3), "difference of delay where branches sum above which to stop",
        "a delay of 1 ms has a null at 500 Hz and takes out parts that matter; ours is the same [src:EVEREST-COMB]";
    plug_clearance: Length = Length::from_mm(2), "least room between two plugs, and between a plug and a body";
    board_edge_stop: Length = Length::from_mm(0), "least room between a thing and the edge of the board or the foam of its case";
    case_foam_look: Length = Length::from_mm(5), "room between a thing and the foam of its case below which to look";
    clear_height_look: Length = Length::from_mm(3), "room left under a deck below which to look";
    clear_height_stop: Length = Length::from_mm(0), "room left under a deck below which to stop";
    knobs_assumed: Length = Length::from_mm(18), "what knobs add to a pedal's height when nobody measured it";
    treadle_assumed: Length = Length::from_mm(30), "what a treadle adds at its full opening when nobody measured it";
    lid_foam_look: Length = Length::from_mm(10), "room under the lid for compressed foam below which to look";
    lid_foam_stop: Length = Length::from_mm(0), "room under the lid below which to stop";
    switch_distance_look: Length = Length::from_mm(70), "distance of two switch centres below which to look",
        "a street shoe over a broad foot is 120 mm, so half of it ends 10 mm short of the next centre; ours is room for toes only [src:FOOT-BREADTH]";
    switch_distance_stop: Length = Length::from_mm(60), "distance of two switch centres below which to stop",
        "half a street shoe over a broad foot is 60 mm; ours is the same [src:FOOT-BREADTH]";
    row_distance_look: Length = Length::from_mm(130), "distance of two rows without a step below which to look";
    row_step: Length = Length::from_mm(25), "step between rows that counts as one";
    shoe_width: Length = Length::from_mm(110), "width of the shoe used as a test body",
        "110 mm is the bare foot that 95 % of British men do not exceed, 10 mm more in street shoes, 30 mm in boots; ours is narrower by that [src:FOOT-BREADTH]";
    shoe_knob_clearance: Length = Length::from_mm(5), "room between a shoe and the knobs of the front row below which to look";
    foot_room: Length = Length::from_mm(150), "room between a switch or treadle and a deck over it below which no foot works it";
    service_corridor: Length = Length::from_mm(20), "room wanted in front of a port that must stay reachable, beyond its plug";
    transformer_distance_look: Length = Length::from_mm(150), "distance of a coil or high-gain device from a transformer below which to look";
    switching_distance_look: Length = Length::from_mm(80), "distance of a coil or high-gain device from a switching brick below which to look";
    high_gain: Decibels = Decibels::of(40.0), "gain from which a device counts as sensitive to fields";
    shared_gain_look: Decibels = Decibels::of(30.0), "gain from which an analogue device should not share an outlet";
    total_gain_look: Decibels = Decibels::of(60.0), "gain from guitar to amp in one state above which to look";
    aerial_distance_look: Length = Length::from_mm(100), "distance of an aerial from bricks and other radio devices below which to look",
        "half a wavelength, 62 mm at 2.4 GHz, as the least room; ours is stricter [src:AERIAL-ROOM]";
    plug_allowance_least: Length = Length::from_mm(25), "least slack of a lead, beside the share of its length";
    slack_share: Ratio = Ratio::of(0.10), "share of a lead's length added as slack";
    cut_rounding: Length = Length::from_mm(5), "step to which cut lengths are rounded up";
    carrier_mass: Grams = Grams::of(23e3), "the carrier's limit for one piece when the brief names none",
        "IATA, baggage by the piece: 23 kg; ours is the same, the carrier's own figure decides [src:IATA-BAGS]";
    carrier_mass_look: Ratio = Ratio::of(0.90), "share of the carrier's limit above which to look";
    one_person_look: Grams = Grams::of(16e3), "mass for one person above which to look";
    one_person_stop: Grams = Grams::of(25e3), "mass for one person above which to stop",
        "NIOSH lifting equation: 23 kg in ideal conditions; ours is looser by 2 kg [src:NIOSH-94-110]";
    fixing_mass: Grams = Grams::of(1.2e3), "mass above which a touring rig wants mechanical fixing too";
    strip_area: Area = Area::of(40.0), "hook-and-loop strip under a device, per kilogram of its mass, below which to look";
    pad_area: Area = Area::of(10.0), "mushroom-head pads under a device, per kilogram of its mass, below which to look",
        "300 mushroom heads per square inch hold 6.9 N/cm² in shear at most; ours loads them to a seventh of it at rest [src:HOOK-SHEAR]";
    supply_drop_look: Ratio = Ratio::of(0.025), "share of the voltage lost along a supply lead above which to look",
        "IEC 60364-5-52 table G.52.1, mains wiring: 3 % for lighting, 5 % for the rest; ours is stricter [src:IEC-60364-5-52]";
    brick_heat_look: Watts = Watts::of(6.0), "heat of a brick in a closed space above which to look",
        "a closed box sheds 0.24 to 0.5 W per square foot and °F, so 6 W warm a pocket of 160 × 90 × 40 mm by 13 to 27 K (computed); ours is a limit for pockets, strict for an open deck [src:BOX-HEAT]";
    bleed_look: Ohms = Ohms::of(2.2e6), "resistors at a switched contact above which it may pop",
        "1 MΩ drains the leakage of coupling capacitors; ours is looser, twice that [src:POP-RESISTOR]";
    bend_radius_look: Ratio = Ratio::of(4.0), "bend radius of a fixed lead over its cable's diameter below which to look",
        "fixed cable 4 D to 8 mm, 5 D to 12 mm, 6 D above; 5 D and 6 D in workmanship standards; ours is the same to 8 mm, looser above and than those [src:BEND-TABLE] [src:IPC-A-620] [src:NASA-STD-8739.4]";
    bend_radius_stop: Ratio = Ratio::of(2.0), "bend radius of a fixed lead over its cable's diameter below which to stop",
        "fixed cable at least 2 D to 8 mm, 3 D to 12 mm, 4 D above; ours is the same to 8 mm, looser above [src:BEND-TABLE]";
    lead_parallel: Length = Length::from_mm(100), "how long two leads that disturb each other may run side by side",
        "EN 50174-2:2000 wants no separation over the last 15 m, for data; ours is stricter, microvolts matter [src:EN-50174-2]";
    lead_apart_dc: Length = Length::from_mm(20), "distance of signal from DC below which they run side by side",
        "screened signals and supplies below 60 V may share a duct; ours is stricter, for the clocks of digital devices [src:PROFIBUS-DUCTS]";
    lead_apart_mains: Length = Length::from_mm(50), "distance of signal from mains below which they run side by side",
        "EN 50174-2:2000, unscreened mains: 50 mm from screened data, 200 mm from unscreened; ours is the same for screened leads, looser for others [src:EN-50174-2]";
    loom_level_look: Decibels = Decibels::of(40.0), "level over that of a weak signal from which another should not lie in its loom";
    passage_fill_look: Ratio = Ratio::of(0.60), "share of a passage that leads fill above which to look",
        "NEC chapter 9 table 1, cables drawn into a pipe: 53 % for one, 31 % for two, 40 % for more; ours is looser, for leads that are laid [src:NEC-CHAPTER-9]";
    passage_fill_stop: Ratio = Ratio::of(1.0), "share of a passage that leads fill above which to stop",
        "NEC chapter 9 table 1, cables drawn into a pipe: 53 % for one, 31 % for two, 40 % for more; ours is looser, full is full [src:NEC-CHAPTER-9]";
    spare_least: Length = Length::from_mm(20), "what a made lead has to spare over its way below which to look";
    spare_long: Length = Length::from_mm(80), "what a made lead has to spare above which it is a nest";
    spare_long_share: Ratio = Ratio::of(0.30), "share of a made lead to spare above which it is a nest";
    beside_gap: Length = Length::from_mm(60), "gap between two devices that a requirement wants beside each other, above which they are not";
    together_gap: Length = Length::from_mm(100), "gap from a device to the next of those that a requirement wants together, above which it is not with them";
    panel_web: Length = Length::from_mm(4), "least material between two holes of a panel, and between a hole and its edge",
        "twice the thickness, so 4 mm on sheet of 2 mm; ours is the same there, looser on thicker sheet [src:SHEET-WEB]";
    volume_after_buffer: Ohms = Ohms::of(100e3), "pot of a passive volume pedal behind a buffer above which to look";
    volume_after_pickup: Ohms = Ohms::of(250e3), "pot of a passive volume pedal behind a passive pickup below which to look";
    weight_lead: Ratio = Ratio::of(1.0), "what the length of leads counts when places are proposed, as a share of the usual";
    weight_reach: Ratio = Ratio::of(1.0), "what the reach of often used switches counts, as a share of the usual";
    weight_order: Ratio = Ratio::of(1.0), "what the order along the rows counts, as a share of the usual";
    weight_balance: Ratio = Ratio::of(1.0), "what the place of the centre of mass counts, as a share of the usual";
    weight_free_room: Ratio = Ratio::of(1.0), "what free room in one piece counts, as a share of the usual";
    weight_crossings: Ratio = Ratio::of(1.0), "what crossings of leads count, as a share of the usual";
    weight_looks: Ratio = Ratio::of(1.0), "what findings to look at count when places are proposed, as a share of the usual";
    weight_remade: Ratio = Ratio::of(1.0), "what a made lead counts that has to be made again, as a share of the usual";
    weight_rows: Ratio = Ratio::of(1.0), "what each front line of devices that a foot works counts, as a share of the usual";
    weight_near_misses: Ratio = Ratio::of(1.0), "what front edges count that miss one line by little, as a share of the usual";
    weight_gaps: Ratio = Ratio::of(1.0), "what uneven gaps within a row count, as a share of the usual";
    weight_treadles: Ratio = Ratio::of(1.0), "what the way from the front edge to a treadle counts, as a share of the usual";
    weight_set_and_forget: Ratio = Ratio::of(1.0), "what the way from the back edge to what is set once counts, as a share of the usual";
    weight_wishes: Ratio = Ratio::of(1.0), "what a wish of the brief counts that a placement does not meet, as a share of the usual";
    midi_time_look: Seconds = Seconds::of(10e-3), "time to send one change above which to look",
        "a delay of 10 ms was not judged worse than none, 20 ms was; ours is the same [src:JACK-LATENCY]";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_names_its_key_and_how_ours_stands_to_it() {
        for limit in LIMITS.iter().filter(|limit| limit.source != CUSTOM) {
            let (told, keys) = limit.source.split_once(" [src").expect(limit.key);
            assert!(keys.ends_with(']') && told.contains("; ours "), "{}: {}", limit.key, limit.source);
        }
    }

    #[test]
    fn no_source_that_was_found_is_lost() {
        let found = LIMITS.iter().filter(|limit| limit.source != CUSTOM).count();
        assert!(34 <= found, "{found} of {}", LIMITS.len());
    }
}
