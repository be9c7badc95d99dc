//! What the engine answers.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use finding::Field;

use crate::complex::Complex;
use crate::extremes::Work;
use crate::input::BufferPlace;
use crate::silence::WhyNot;
use crate::stated::StatedLevel;
use crate::whole::Whole;

/// Everything the engine found out about a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The frequencies of all curves, in hertz.
    pub frequencies: Vec<f64>,
    /// From each source to each sink that it can reach.
    pub ways: Vec<Way>,
    /// Every place where something driven meets something that listens.
    pub junctions: Vec<Junction>,
    /// The heaviest load of each source.
    pub loads: Vec<Load>,
    /// Levels at the junctions in the named states.
    pub levels: Vec<Level>,
    /// Outputs whose level is written down, at the inputs that they may meet.
    pub stated: Vec<StatedLevel>,
    /// Devices that feed each other in a ring, each ring in the named state where its loop gain is largest.
    pub rings: Vec<Ring>,
    /// The states with everything on, or as much of it as can be; none where the rig names states, which are judged then.
    pub whole: Vec<Whole>,
    /// Names of the states that are answered for: those that can be.
    pub answered: Vec<String>,
    /// Branches of one source compared: parity, delay, what a feed misses.
    pub branches: Vec<Branches>,
    /// Where a buffer would help.
    pub advice: Advice,
    /// Values used that are only assumed.
    pub assumed: Vec<Field>,
    /// Values that are unknown; a stated figure stood in, so what rests on them cannot be judged.
    pub lacks: Vec<Field>,
    /// The figures that stood in for them, in SI units, where one did.
    pub stand_ins: BTreeMap<Field, f64>,
    /// What was taken for granted, and what could not be done, in words.
    pub notes: Vec<String>,
    /// What it took.
    pub work: Work,
}

/// From one source to one sink.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a fact of its own")]
pub struct Way {
    /// Name of the source.
    pub source: String,
    /// Name of the sink.
    pub sink: String,
    /// The reference: the source straight into an amp by the usual lead, in dB against its EMF.
    pub reference_db: Vec<f64>,
    /// Load of the reference in ohms.
    pub reference_load: f64,
    /// Knobs of the source that are turned down, in the reference as well: `volume at 50 %, tone at 0 %`.
    pub knobs: String,
    /// Whether the sink is an amp, as the document says, else by its 250 kΩ or more. A desk's flat loss says nothing of tone, so that a desk is
    /// judged by the change of tone alone.
    pub is_amp: bool,
    /// Whether a passive volume pedal is said to stand below its top: what that takes off the level is meant, so that the
    /// change of tone alone is judged.
    pub turned_down: bool,
    /// Whether branches of the source come together on the way in something active that adds them up: how loud that is
    /// is set there, so that the change of tone alone is judged.
    pub adds_up: bool,
    /// Whether it goes beside the sound that is played to, as a dry feed or for something that only listens: no limit is held
    /// against it.
    pub aside: bool,
    /// The band of all states.
    pub band: Band,
    /// The band with devices that want the bare pickup left off, where there are any: they load the coil on purpose.
    pub band_sparing: Option<Band>,
    /// Named states, in the order of the rig, after everything off; where the rig names none, everything on.
    pub states: Vec<StateResponse>,
    /// Resonance of coil and leads up to the first thing that isolates.
    pub resonance: Resonance,
    /// Passive volume pedals on the way at other places than they stand.
    pub turned: Vec<Turned>,
    /// Values that are unknown of what lies on this way or hangs there; a stated figure stood in.
    pub lacks: Vec<Field>,
}

/// What is worst on a way with one passive volume pedal at another place than it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Turned {
    /// Its tag.
    pub tag: String,
    /// The share of its resistance below the wiper.
    pub share: f64,
    /// Whether the change of tone alone is judged there.
    pub by_tone: bool,
    /// The largest change that limits of treble are held against, in dB with its sign.
    pub change_db: f64,
    /// The state of that change.
    pub state: Option<Vec<String>>,
    /// Largest loss at 1 kHz in dB; unknown where level is taken off on purpose.
    pub loss_1k_db: Option<f64>,
    /// The state of that loss.
    pub loss_state: Option<Vec<String>>,
}

impl Turned {
    /// `V at half`.
    pub fn words(&self) -> String {
        format!("{} at {}", self.tag, crate::travel::word(self.share))
    }
}

impl Way {
    /// Whether it is judged by the change of tone alone: into a desk, with a volume pedal turned down, or where branches add up.
    pub fn is_judged_by_tone(&self) -> bool {
        !self.is_amp || self.turned_down || self.adds_up
    }

    /// The band that limits are held against: without devices that load the coil on purpose.
    pub fn judged(&self) -> &Band {
        self.band_sparing.as_ref().unwrap_or(&self.band)
    }

    /// The largest change that limits of treble are held against, in dB with its sign, and its state: at 4 kHz, or by tone of
    /// 4 kHz minus 1 kHz; unknown where that is asked and the band is only a bound. Volume pedals count over their whole
    /// travel, [`turned_worst`](Self::turned_worst).
    pub fn treble(&self) -> Option<(f64, Option<&Vec<String>>)> {
        match self.turned_worst() {
            Some(turned) => Some((turned.change_db, turned.state.as_ref())),
            None => self.treble_as_it_stands(),
        }
    }

    /// The place of a volume pedal at which the treble changes most; `None` where that is as they stand.
    pub fn turned_worst(&self) -> Option<&Turned> {
        let size = |turned: &&Turned| turned.change_db.abs();
        let most = self.turned.iter().max_by(|a, b| size(a).total_cmp(&size(b)))?;
        let stands = self.treble_as_it_stands()?.0.abs();
        (stands < most.change_db.abs()).then_some(most)
    }

    /// The largest loss at 1 kHz that limits are held against, in dB with positive quieter, and its state: where a volume
    /// pedal is turned down, with it at the toe.
    pub fn loss(&self) -> Option<(f64, Option<&Vec<String>>)> {
        if self.turned_down {
            let at_toe = self.turned.iter().find(|turned| turned.loss_1k_db.is_some())?;
            return Some((at_toe.loss_1k_db?, at_toe.loss_state.as_ref()));
        }
        let worst = &self.judged().worst;
        Some((worst.insertion_loss_1k_db, worst.loss_state.as_ref()))
    }

    /// The same with volume pedals as they stand, [`treble`](Self::treble) without their travel.
    pub fn treble_as_it_stands(&self) -> Option<(f64, Option<&Vec<String>>)> {
        let worst = &self.judged().worst;
        if self.is_judged_by_tone() {
            Some((worst.tone_change_db?, worst.tone_state.as_ref()))
        } else {
            Some((worst.change_at_4k_db, worst.state.as_ref()))
        }
    }
}

/// The extremes of level over switching states, in dB against the EMF; devices' own gain counts as 0 dB.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Whether the extremes are those of all states; otherwise they are bounds that no state passes, or those of the
    /// states that were visited.
    pub exact: bool,
    /// Where neither extremes nor bounds are known: how many states were visited, whose extremes these are. Others may
    /// go beyond.
    pub visited: Option<usize>,
    /// Highest level at each frequency; infinite where nothing is known.
    pub upper_db: Vec<f64>,
    /// Lowest level at each frequency.
    pub lower_db: Vec<f64>,
    /// The state that reaches the highest level, by its place in `states`.
    pub upper_state: Vec<Option<usize>>,
    /// The state that reaches the lowest level.
    pub lower_state: Vec<Option<usize>>,
    /// The tags (and loops) that are on in each state referred to.
    pub states: Vec<Vec<String>>,
    /// What is worst against the reference.
    pub worst: Worst,
}

impl Band {
    /// What it is where it is not exact, in words.
    pub fn doubt(&self) -> Option<String> {
        match (self.exact, self.visited) {
            (true, _) => None,
            (false, None) => Some("bounds, not exact: no state goes beyond them".to_owned()),
            (false, Some(count)) => Some(format!(
                "not exact: the extremes of {count} {}, others may go beyond them",
                if count == 1 { "state" } else { "states" }
            )),
        }
    }
}

/// The worst figures of a band against the reference.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Worst {
    /// Largest change at 4 kHz in dB, with its sign.
    pub change_at_4k_db: f64,
    /// The state of that change.
    pub state: Option<Vec<String>>,
    /// Largest change of 4 kHz minus 1 kHz in dB, with its sign; unknown where the band is only a bound.
    pub tone_change_db: Option<f64>,
    /// The state of the change of tone.
    pub tone_state: Option<Vec<String>>,
    /// Largest loss at 1 kHz in dB; positive is quieter.
    pub insertion_loss_1k_db: f64,
    /// The state of that loss.
    pub loss_state: Option<Vec<String>>,
}

/// What one state does.
#[derive(Debug, Clone, PartialEq)]
pub struct StateResponse {
    /// Its name.
    pub name: String,
    /// What is on.
    pub engaged: Vec<String>,
    /// Response against the EMF at each frequency, devices' own gain at 0 dB; empty where there is none, for
    /// [`silence`](Self::silence).
    pub response: Vec<Complex>,
    /// Why there is no response.
    pub silence: Option<WhyNot>,
    /// Noise at the sink with devices' gains, where signal arrives and the network allows it.
    pub noise: Option<Noise>,
}

impl StateResponse {
    /// Level in dB against the EMF at each frequency.
    pub fn level_db(&self) -> Vec<f64> {
        self.response.iter().map(|value| value.decibels()).collect()
    }
}

/// Noise at a sink: thermal, and devices' own where it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Noise {
    /// Unweighted, in volts rms.
    pub volts: f64,
    /// A-weighted, in volts rms.
    pub volts_a: f64,
    /// A-weighted, against the guitar alone by its usual lead, in dB.
    pub over_guitar_db: f64,
    /// Lower edge of the bandwidth in hertz.
    pub from_hz: f64,
    /// Upper edge in hertz.
    pub to_hz: f64,
    /// Temperature in kelvin.
    pub kelvin: f64,
    /// Tags of the devices whose own noise is in.
    pub own: Vec<String>,
    /// Tags of active devices that signal passes, and whose own noise is not known: it is left out.
    pub not_known: Vec<String>,
}

impl Noise {
    /// What is in of devices' own noise, in words: `own noise of D1 and D3 in, that of others not known`.
    pub fn own_words(&self) -> String {
        let tags: Vec<&str> = self.own.iter().map(String::as_str).collect();
        let rest = if self.not_known.is_empty() { "" } else { ", that of others not known" };
        match tags.as_slice() {
            [] => "devices' own left out".to_owned(),
            [one] => format!("own noise of {one} in{rest}"),
            [front @ .., last] => format!("own noise of {} and {last} in{rest}", front.join(", ")),
        }
    }
}

/// The resonance of coil and leads.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Resonance {
    /// With the usual lead, in hertz.
    pub reference: Option<f64>,
    /// The one shifted most, in hertz.
    pub worst: Option<f64>,
    /// Its shift as a share of the reference.
    pub shift: Option<f64>,
    /// What is on in that variant.
    pub state: Option<Vec<String>>,
    /// A variant in which there is no resonance any more, though the reference has one.
    pub lost: Option<Vec<String>>,
    /// Every variant of the first section: what is on in it, and its resonance.
    pub variants: Vec<(Vec<String>, Option<f64>)>,
}

/// Where something driven meets something that listens.
#[derive(Debug, Clone, PartialEq)]
pub struct Junction {
    /// The port that gives.
    pub from: String,
    /// The port that takes.
    pub to: String,
    /// Largest loss at 1 kHz over the variants of what lies between, in dB; positive is quieter.
    pub loss_db: f64,
    /// What is on between them in that variant.
    pub state: Vec<String>,
    /// The same with no passive device on in between, where there is such a variant.
    pub off_db: Option<f64>,
    /// What is on in that variant, the ends too.
    pub off_state: Vec<String>,
    /// The devices between them that are off in that variant, their tags shared by all junctions.
    pub between: Vec<Arc<str>>,
    /// Passive devices that always stand between them, such as a transformer: what is lost in them is lost here.
    pub through: Vec<String>,
    /// Other outputs that drive the same conductor in that variant, against which it works.
    pub against: Vec<String>,
    /// Whether the giver is a coil, a piezo element or has pots of its own, which is no plain resistance.
    pub bare: bool,
    /// Whether nothing goes on from the taker to an amp or desk: a tuner, a meter.
    pub listens: bool,
}

/// What hangs on a source at once, where that is the heaviest.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Name of the source.
    pub source: String,
    /// The resistance that its jack sees at 1 kHz, in ohms.
    pub ohms: f64,
    /// The inputs, pots and outputs that hang there; a passive device or a sink without its port.
    pub at: Vec<rig::PortRef>,
    /// What is on in that state.
    pub state: Vec<String>,
    /// What must be off for it.
    pub off: Vec<String>,
    /// Impedances that are unknown of what may hang there, in whatever state.
    pub lacks: Vec<Field>,
}

/// Level at a port in a named state, with devices' largest gains.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// The state.
    pub state: String,
    /// The source.
    pub source: String,
    /// The port.
    pub port: String,
    /// Level at 1 kHz against the EMF of the source, in dB.
    pub db: f64,
    /// Level of the source's peak as a sine at 1 kHz, in dBu; unknown with the peak.
    pub dbu: Option<f64>,
    /// Its peak in volts.
    pub peak: Option<f64>,
    /// The same with every gain at 0 dB, or less where it can be no more.
    pub least_peak: Option<f64>,
    /// What is left to the largest level the input takes, in dB; negative clips.
    pub headroom_db: Option<f64>,
    /// The same with every gain at 0 dB: negative clips however the gains are set.
    pub least_headroom_db: Option<f64>,
    /// What is left at other supply voltages that the document states for its device: the voltage, and dB.
    pub at_other_supply: Vec<(f64, f64)>,
    /// What lies before it and clips first, so that this level is not reached.
    pub clips_before: Option<ClipsBefore>,
    /// Gains that are unknown and counted as 0 dB.
    pub lacks: Vec<Field>,
}

/// A device that cannot give what the gains ask of it.
#[derive(Debug, Clone, PartialEq)]
pub struct ClipsBefore {
    /// Its tag.
    pub tag: String,
    /// What it takes or gives at most, as a peak in volts.
    pub volts: f64,
    /// The voltage of the supply that bounds what it gives: half of it; `None` where its input is what clips.
    pub supply: Option<f64>,
}

/// A ring of devices in a named state.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// The state.
    pub state: String,
    /// The devices that drive it, in the order in which signal passes them.
    pub devices: Vec<String>,
    /// Loop gain where it is largest, in dB, with devices' largest gains: what comes round against what was sent.
    pub gain_db: f64,
    /// Where that is, in hertz.
    pub hertz: f64,
    /// Gains that are unknown and counted as 0 dB.
    pub lacks: Vec<Field>,
}

impl Ring {
    /// Whether what comes round is as strong as what was sent, to the tenth of a dB that is told: it then grows by itself
    /// at any frequency near this one where it comes round in step.
    pub fn howls(&self) -> bool {
        is_howl(self.gain_db)
    }
}

/// Whether a loop gain of so many dB grows by itself.
pub(crate) fn is_howl(gain_db: f64) -> bool {
    0.0 <= (gain_db * 10.0).round()
}

/// Two branches of one source in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Branches {
    /// The state.
    pub state: String,
    /// The source.
    pub source: String,
    /// The sinks the branches end in; the same one twice where they sum.
    pub sinks: [String; 2],
    /// Devices on one branch only, that are on.
    pub own: [Vec<String>; 2],
    /// The first jack of each that the other does not pass.
    pub by: [Option<rig::PortRef>; 2],
    /// Inversions on each branch; unknown where a device's is.
    pub inversions: [Option<u32>; 2],
    /// Whether the branches are of opposite polarity.
    pub opposite: Option<bool>,
    /// Difference of delay in seconds.
    pub latency: Option<f64>,
    /// The device where they sum, or the jack where they are tied together; `None` for different sinks.
    pub meets: Option<String>,
    /// First frequency above nought where the two cancel when they are as loud as each other, in hertz.
    pub notch: Option<f64>,
    /// Every such frequency up to 20 kHz, the first of them; nought where they are of opposite polarity.
    pub notches: Vec<f64>,
    /// How much louder the first is than the second where they sum, in dB at 1 kHz with devices' gains.
    pub louder_db: Option<f64>,
    /// What one is louder than the other by however their gains are set, in dB at 1 kHz where they sum: the quieter one
    /// at its devices' largest gain, the louder one at 0 dB or less.
    pub apart_db: Option<f64>,
    /// Values that are unknown.
    pub lacks: Vec<Field>,
}

/// How the search for buffers ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum AdviceStatus {
    /// It was not asked for.
    #[default]
    NotAsked,
    /// Nothing is judged: no signal reaches an amp or desk.
    NothingArrives,
    /// No buffer is needed.
    NoneNeeded,
    /// The alternatives are sets of the smallest size that keep the limits: all of them where `size_tried` is that size.
    Proven,
    /// No set of any size keeps the limits: every one was tried.
    NoneFound,
    /// A good set, found after the budget ended or where bounds are all that is known: a smaller one may do as well.
    NotProven,
    /// None was found that keeps the limits; the budget ended before every set was tried, or of some only bounds are known.
    CutShort,
    /// It hangs on wishes that nobody has stated: [`Advice::by_wish`] has the advice for each answer.
    Depends,
}

/// A limit that the rules hold a way against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Change at 4 kHz, or of tone into a desk.
    Treble,
    /// Loss at 1 kHz into an amp.
    Level,
    /// Shift of the resonance of coil and leads.
    Resonance,
}

impl Limit {
    /// What is out of limits, in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Treble => "treble",
            Self::Level => "level at 1 kHz",
            Self::Resonance => "resonance",
        }
    }
}

/// Where buffers would keep the worst state within limits.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Advice {
    /// How it ended.
    pub status: AdviceStatus,
    /// Worst figures without a buffer.
    pub before: Figures,
    /// Devices with a low input that may want the bare pickup: no buffer is put ahead of them before someone has said.
    pub asks: Vec<Field>,
    /// Values that nobody knows, for which usual figures stand in: the answer holds as far as those do.
    pub rests_on: Vec<Field>,
    /// Devices that need the bare pickup, or may: places before them were left out.
    pub spared: Vec<String>,
    /// Sets of places of the smallest size, the best first.
    pub alternatives: Vec<Alternative>,
    /// Where none was found that keeps the limits: the set that helps most of those tried, which is not enough.
    pub helps: Option<Alternative>,
    /// Sets tried.
    pub tried: usize,
    /// The largest size whose sets were all tried.
    pub size_tried: usize,
    /// Whether the limits are kept in every state tried, where there are too many to look at all: with the sets that are
    /// told, or where the search is [`AdviceStatus::CutShort`], without any buffer.
    pub by_states_tried: bool,
    /// The advice for each answer to [`Advice::asks`], where it hangs on them.
    pub by_wish: Option<Box<ByWish>>,
}

impl Advice {
    /// The same, resting on some more values that nobody knows.
    pub(crate) fn resting_on(mut self, fields: &BTreeSet<Field>) -> Self {
        self.rests_on.extend(
            fields.iter().filter(|field| !self.rests_on.contains(field)).cloned().collect::<Vec<_>>(),
        );
        self.by_wish = self.by_wish.map(|by| {
            Box::new(ByWish {
                wanted: by.wanted.resting_on(fields),
                not_wanted: by.not_wanted.resting_on(fields),
            })
        });
        self
    }
}

/// The advice for each answer to whether the devices asked about want the bare pickup: all of them, or none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ByWish {
    /// They do.
    pub wanted: Advice,
    /// They do not.
    pub not_wanted: Advice,
}

/// One set of places.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// The places.
    pub places: Vec<BufferPlace>,
    /// Worst figures with buffers there.
    pub after: Figures,
    /// For each way, in the order of [`Outcome::ways`]: the band with buffers there, upper and lower in dB.
    pub bands: Vec<(Vec<f64>, Vec<f64>)>,
}

/// The figures that advice looks at, devices that want the bare pickup left off.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures {
    /// Largest size of the change over all ways that limits are held against, [`Way::treble`], in dB.
    pub change_at_4k_db: f64,
    /// Largest shift of the resonance, as a share; infinite where it is lost.
    pub shift: f64,
    /// Largest loss at 1 kHz into an amp, in dB; positive is quieter.
    pub loss_1k_db: f64,
}
