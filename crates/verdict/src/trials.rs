//! What to try next where the checks turn a placement away: more room in front of plugs.

use layout::Config;
use quantity::Length;
use rig::PortRef;

/// Room kept free in front of a plug, in millimetres: none at first, since most leads find their way; where the checks stop
/// what was found, the arc of a thin cable, then that of a thick one. *Common practice, no source.*
const ELBOWS: [i64; 3] = [12, 20, 30];
/// Searches that keep such room where cables had too little, at most.
const WIDENED: usize = 4;
/// As much as that in front of every plug, in the searches after them.
const EVERYWHERE: [i64; 2] = [12, 20];

/// The searches to be made, one after the other.
pub(crate) struct Trials<'a> {
    config: &'a Config,
    /// Room at the plugs whose cables had too little so far.
    elbows: Vec<(PortRef, Length)>,
    /// The searches with room at some plugs that may still follow.
    widened: usize,
    /// Those with room at every plug.
    everywhere: std::slice::Iter<'static, i64>,
    next: Option<Config>,
}

impl<'a> Trials<'a> {
    /// As the configuration has it first.
    pub(crate) fn new(config: &'a Config) -> Self {
        let (elbows, everywhere) = (config.elbows.clone(), EVERYWHERE.iter());
        Self { config, elbows, widened: WIDENED, everywhere, next: Some(config.clone()) }
    }

    /// The configuration of the next search; `None` where there is none, or where no more is wanted.
    pub(crate) fn next(&mut self, is_enough: bool) -> Option<Config> {
        self.next.take().filter(|_| !is_enough)
    }

    /// Whether no search follows, whatever comes of the present one.
    pub(crate) fn is_last(&self) -> bool {
        self.widened == 0 && self.everywhere.as_slice().is_empty()
    }

    /// Goes on with more room at these ports, or at every plug where they have all there is.
    pub(crate) fn wider_at(&mut self, ports: Vec<PortRef>) {
        if self.widened == 0 || !widen(&mut self.elbows, ports) {
            return self.no_more_here();
        }
        self.widened -= 1;
        self.next = Some(Config { elbows: self.elbows.clone(), ..self.config.clone() });
    }

    /// Goes on with room at every plug.
    pub(crate) fn no_more_here(&mut self) {
        self.widened = 0;
        self.next = self.everywhere.next().map(|elbow| Config {
            elbow: self.config.elbow.max(Length::from_mm(*elbow)),
            ..self.config.clone()
        });
    }
}

/// Keeps room in front of the plugs at these ports, and the next more where it is kept already; says whether it could.
fn widen(elbows: &mut Vec<(PortRef, Length)>, ports: Vec<PortRef>) -> bool {
    let mut is_wider = false;
    for port in ports {
        let known = elbows.iter_mut().find(|(known, _)| *known == port);
        let least = known.as_ref().map_or(Length::ZERO, |(_, elbow)| *elbow);
        let more = ELBOWS.map(Length::from_mm).into_iter().find(|elbow| least < *elbow);
        is_wider |= more.is_some();
        match (known, more) {
            (Some((_, elbow)), Some(more)) => *elbow = more,
            (None, Some(more)) => elbows.push((port, more)),
            _ => {}
        }
    }
    is_wider
}
