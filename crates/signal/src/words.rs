//! How branches that meet, and the states they do it in, are spoken of: the same on a screen, in a finding and in a text.

use finding::Field;

use crate::level::{figure, ohms};
use crate::outcome::{Advice, Branches, ClipsBefore, Ring, Way};
use crate::whole::{EVERYTHING_OFF, is_whole};

/// What the state with everything off is called to people.
pub const EVERYTHING_BYPASSED: &str = "everything bypassed";

/// What a state is called to people: everything off is *everything bypassed*.
pub fn state_word(name: &str) -> &str {
    if name == EVERYTHING_OFF { EVERYTHING_BYPASSED } else { name }
}

/// What is held against a way beside the sound, in words.
pub const ASIDE: &str = "a dry feed, or only listened to: no limit of treble or level is held against the whole of it; \
     what a single junction of a dry feed loses is judged all the same";

/// What is not known, with the figure that stands in for it: `impedance of jack XLR on DI (150 Ω stands in)`.
pub fn lacks_words(field: &Field, stand_in: Option<f64>) -> String {
    let key = field.parts().last().map_or("", String::as_str);
    let figure = stand_in.and_then(|value| match key {
        "z" | "return_z" | "z_bypassed" | "resistance" | "volume_pot" | "tone_pot" => Some(ohms(value)),
        "inductance" => Some(format!("{} H", figure(value, 1))),
        "capacitance" | "tone_capacitor" if value < 1e-9 => Some(format!("{} pF", figure(value * 1e12, 0))),
        "capacitance" | "tone_capacitor" => Some(format!("{} nF", figure(value * 1e9, 0))),
        _ => None,
    });
    match figure {
        Some(figure) => format!("{} ({figure} stands in)", field.words()),
        None => field.words(),
    }
}

/// `in state solo`, `with everything on`.
pub fn in_state_words(name: &str) -> String {
    let name = state_word(name);
    if name == EVERYTHING_BYPASSED || is_whole(name) {
        format!("with {name}")
    } else {
        format!("in state {name}")
    }
}

/// What follows the name of a loop that is out though something in it is on: one switch works that together with what
/// stands elsewhere.
pub const OUT: &str = " out";

/// The loop that is said to be out.
pub fn loop_out(name: &str) -> Option<&str> {
    name.strip_suffix(OUT)
}

/// `everything bypassed`, `A and B engaged`, `A and B engaged, W.L1 out`.
pub fn engaged_words(names: &[String]) -> String {
    let (out, on): (Vec<String>, Vec<String>) =
        names.iter().cloned().partition(|name| loop_out(name).is_some());
    let out: Vec<String> = out.iter().filter_map(|name| loop_out(name)).map(str::to_owned).collect();
    match (on.is_empty(), out.is_empty()) {
        (true, true) => EVERYTHING_BYPASSED.to_owned(),
        (false, true) => format!("{} engaged", list(&on)),
        (true, false) => format!("{}{OUT}", list(&out)),
        (false, false) => format!("{} engaged, {}{OUT}", list(&on), list(&out)),
    }
}

/// `A4`, `A4 and A5`, `A4, A5 and A6`.
pub(crate) fn list(names: &[String]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [one] => one.clone(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}

impl Ring {
    /// `M, S and D feed each other in a ring, loop gain 12.0 dB at 1000 Hz with everything on: it howls`.
    pub fn words(&self) -> String {
        let (who, feed) = match self.devices.as_slice() {
            [one] => (one.clone(), "feeds itself"),
            all => (list(all), "feed each other"),
        };
        let end = if self.howls() { ": it howls" } else { "" };
        format!(
            "{who} {feed} in a ring, loop gain {} dB at {:.0} Hz {}{end}",
            figure(self.gain_db, 1),
            self.hertz,
            in_state_words(&self.state)
        )
    }
}

impl ClipsBefore {
    /// `not reached: MX clips first, it takes 3 V`; `not reached: MX clips first, it gives no more than 4.5 V from 9 V unless
    /// it makes itself more inside`.
    pub fn words(&self) -> String {
        let volts = |volts: f64| {
            let text = format!("{:.2}", crate::level::volts_as_read(volts));
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let (tag, most) = (&self.tag, volts(self.volts));
        match self.supply {
            None => format!("not reached: {tag} clips first, it takes {most} V"),
            Some(supply) => format!(
                "not reached: {tag} clips first, it gives no more than {most} V from {} V unless it makes itself more inside",
                volts(supply)
            ),
        }
    }
}

impl Way {
    /// What 0 dB is: `guitar plugged straight into amp by its usual lead`; `guitar, volume at 50 %, plugged …`. At a desk it is an amp all the same.
    pub fn reference_words(&self) -> String {
        let into =
            if self.is_amp { self.sink.clone() } else { format!("an amp of {}", ohms(self.reference_load)) };
        let knobs = if self.knobs.is_empty() { String::new() } else { format!(", {},", self.knobs) };
        format!("{}{knobs} plugged straight into {into} by its usual lead", self.source)
    }
}

impl Advice {
    /// What the answer hangs on: `whether FZ needs the bare pickup`.
    pub fn asked_words(&self) -> String {
        let tags: Vec<String> = self.asks.iter().filter_map(|field| field.parts().get(1)).cloned().collect();
        let verb = if tags.len() == 1 { "needs" } else { "need" };
        format!("whether {} {verb} the bare pickup", list(&tags))
    }
}

impl Branches {
    /// What each of the two is called: the branch through its own devices, or the direct one.
    pub fn names(&self) -> [String; 2] {
        if self.own.iter().all(Vec::is_empty) {
            return match &self.by {
                [Some(one), Some(other)] => [one, other].map(|port| format!("the branch by {port}")),
                _ => ["the first direct branch".to_owned(), "the second".to_owned()],
            };
        }
        self.own.each_ref().map(|own| {
            if own.is_empty() {
                "the direct branch".to_owned()
            } else {
                format!("the branch through {}", list(own))
            }
        })
    }

    /// Where the two cancel: `they cancel at 0 Hz, 500 Hz and on`; `as loud as each other they cancel at 0 Hz` where they are
    /// not that with their gains up.
    ///
    /// `None` where they do nowhere up to 20 kHz, or where nothing is known of it.
    pub fn cancels(&self) -> Option<String> {
        const TOLD: usize = 3;
        let who = if self.louder_db.is_none_or(|db| 1.0 < db.abs()) {
            "as loud as each other they cancel"
        } else {
            "they cancel"
        };
        if self.latency.is_none() {
            // Whatever the delays are, the lowest notes are in step.
            return (self.opposite == Some(true))
                .then(|| format!("{who} in the bass, and up to where a delay that is not known lets them"));
        }
        if self.latency.is_some_and(|apart| apart <= 0.0) {
            return (self.opposite == Some(true)).then(|| format!("{who} at every frequency"));
        }
        let told: Vec<String> =
            self.notches.iter().take(TOLD).map(|hertz| format!("{hertz:.0} Hz")).collect();
        let on = if TOLD < self.notches.len() { " and on" } else { "" };
        (!told.is_empty()).then(|| format!("{who} at {}{on}", told.join(", ")))
    }
}
