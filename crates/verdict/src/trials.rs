//! What to try next where the checks turn a placement away: more room in front of plugs.

use layout::Config;
use quantity::Length;
use rig::PortRef;

/// Room kept free in front of every plug, in millimetres, one search after the other: the arc of a thin cable, with which
/// most placements pass at once; none beyond what the plugs want, where the board is too narrow for that; the arc of a
/// thick one. *Common practice, no source.*
const EVERYWHERE: [i64; 3] = [12, 0, 20];
/// The room at a single plug whose cable had too little, the next more each time.
const ELBOWS: [i64; 3] = [12, 20, 30];
/// Searches with more room at some plugs, for each of those with room at every plug, at most.
const WIDENED: usize = 2;

/// The searches to be made, one after the other.
pub(crate) struct Trials<'a> {
    config: &'a Config,
    /// Room at every plug in the searches that follow.
    everywhere: &'static [i64],
    /// That of the present one.
    elbow: Length,
    /// Room at the plugs whose cables had too little so far.
    elbows: Vec<(PortRef, Length)>,
    /// The ports that had too little in the present one.
    cramped: Vec<PortRef>,
    /// How often the present one may still be made with more room at some plugs.
    left: usize,
    next: Option<Config>,
}

impl<'a> Trials<'a> {
    /// The searches for a configuration.
    pub(crate) fn new(config: &'a Config) -> Self {
        let mut trials = Self {
            config,
            everywhere: &EVERYWHERE,
            elbow: Length::ZERO,
            elbows: Vec::new(),
            cramped: Vec::new(),
            left: 0,
            next: None,
        };
        trials.no_more_here();
        trials
    }

    /// The configuration of the next search; `None` where there is none.
    pub(crate) fn next(&mut self) -> Option<Config> {
        self.next.take()
    }

    /// Whether no search follows, whatever comes of the present one.
    pub(crate) fn is_last(&self) -> bool {
        self.left == 0 && self.everywhere.is_empty()
    }

    /// Goes on with more room at these ports. Where that has just been tried, or they have all there is, it goes on with
    /// other room at every plug.
    pub(crate) fn wider_at(&mut self, ports: Vec<PortRef>) {
        let is_vain = self.left == 0 || self.cramped == ports;
        if is_vain || !widen(&mut self.elbows, self.elbow, &ports) {
            return self.no_more_here();
        }
        self.left -= 1;
        self.cramped = ports;
        self.next = Some(self.present());
    }

    /// Goes on with other room at every plug.
    pub(crate) fn no_more_here(&mut self) {
        self.left = 0;
        let Some((elbow, rest)) = self.everywhere.split_first() else { return };
        self.everywhere = rest;
        self.elbow = Length::from_mm(*elbow);
        self.elbows.clone_from(&self.config.elbows);
        self.cramped.clear();
        self.left = WIDENED;
        self.next = Some(self.present());
    }

    fn present(&self) -> Config {
        let elbow = self.config.elbow.max(self.elbow);
        Config { elbow, elbows: self.elbows.clone(), ..self.config.clone() }
    }
}

/// Keeps room in front of the plugs at these ports, and the next more where there is some already; says whether it could.
pub(crate) fn widen(elbows: &mut Vec<(PortRef, Length)>, everywhere: Length, ports: &[PortRef]) -> bool {
    let mut is_wider = false;
    for port in ports {
        let known = elbows.iter_mut().find(|(known, _)| known == port);
        let least = known.as_ref().map_or(everywhere, |(_, elbow)| *elbow);
        let more = ELBOWS.map(Length::from_mm).into_iter().find(|elbow| least < *elbow);
        is_wider |= more.is_some();
        match (known, more) {
            (Some((_, elbow)), Some(more)) => *elbow = more,
            (None, Some(more)) => elbows.push((port.clone(), more)),
            _ => {}
        }
    }
    is_wider
}
