//! Supply leads that are made and lose too much, made anew: shorter, or else of the thinnest cable that is enough.

use super::{LOCKS, Search, TOGETHER, Worked};
use crate::change::CureStep;
use crate::input::Input;
use crate::kept;
use crate::outcome::Price;
use crate::remade::Remade;
use crate::thicker::Thicker;

/// What a lead could be made anew of, what loses least last: its own cable (`None`) where it would be shorter, thicker ones.
pub(crate) fn cables_for(cables: &[Thicker], remade: &Remade) -> Vec<Option<Thicker>> {
    let is_thicker = |cable: &&Thicker| cable.per_metre.get() < remade.per_metre.get();
    let mut thicker: Vec<&Thicker> = cables.iter().filter(is_thicker).collect();
    thicker.sort_by(|a, b| b.per_metre.get().total_cmp(&a.per_metre.get()));
    let own = remade.is_shorter().then_some(None);
    own.into_iter().chain(thicker.into_iter().cloned().map(Some)).collect()
}

/// The made leads that could be made anew and along which too much is lost as they are.
pub(crate) fn lossy(input: &Input) -> Vec<&Remade> {
    input.remade.iter().filter(|remade| remade.is_lossy(input)).collect()
}

/// What a lead is made anew of: a choice among its cables.
struct Anew<'a> {
    lead: &'a Remade,
    cables: Vec<Option<Thicker>>,
    chosen: usize,
}

impl Anew<'_> {
    fn step(&self) -> CureStep {
        CureStep::Remake { lead: self.lead.lead.clone(), cable: self.cables[self.chosen].clone() }
    }
}

fn together(leads: &[Anew<'_>]) -> CureStep {
    CureStep::of(leads.iter().map(Anew::step).collect())
}

impl Search<'_> {
    /// One lead, two, or as few as must be.
    pub(super) fn remake(&mut self) {
        let input = self.input;
        let all: Vec<&Remade> =
            lossy(input).into_iter().filter(|lead| !self.cables(lead).is_empty()).collect();
        let indices: Vec<usize> = (0..all.len()).collect();
        let is_few = all.len() <= LOCKS;
        let mut enough: Vec<Vec<usize>> = Vec::new();
        for size in 1..=if is_few { TOGETHER } else { 1 } {
            for set in kept::sets(&indices, size) {
                if self.is_over() {
                    return;
                }
                let is_within = |known: &Vec<usize>| known.iter().all(|lead| set.contains(lead));
                if !enough.iter().any(is_within) && self.remade(set.iter().map(|&lead| all[lead])) {
                    enough.push(set);
                }
            }
        }
        if enough.is_empty() && TOGETHER < all.len() && !self.is_over() && self.remade(all.into_iter()) {
            // Beyond two not every set is tried.
            let least = if is_few { TOGETHER + 1 } else { TOGETHER };
            self.open.push((false, Price { unmade: least, work: least, ..Price::default() }));
        }
    }

    fn cables(&self, lead: &Remade) -> Vec<Option<Thicker>> {
        cables_for(&self.config.cables, lead)
    }

    /// Tells of leads made anew where that feeds every device: as few of them as are enough, each of the thinnest cable that is.
    fn remade<'b>(&mut self, leads: impl Iterator<Item = &'b Remade>) -> bool {
        let strongest = |lead: &'b Remade| {
            let cables = self.cables(lead);
            let chosen = cables.len() - 1;
            Anew { lead, cables, chosen }
        };
        let mut few: Vec<Anew<'_>> = leads.map(strongest).collect();
        if !self.works(&together(&few)) {
            return false;
        }
        let mut place = 0;
        while place < few.len() && 1 < few.len() {
            let gone = few.remove(place);
            if !self.works(&together(&few)) {
                few.insert(place, gone);
                place += 1;
            }
        }
        for place in 0..few.len() {
            let last = few[place].chosen;
            for chosen in 0..last {
                few[place].chosen = chosen;
                if self.works(&together(&few)) {
                    break;
                }
                few[place].chosen = last;
            }
        }
        let change = together(&few);
        let steps: Vec<CureStep> = few.iter().map(Anew::step).collect();
        let before = self.found.len();
        self.tell(change.clone(), 0);
        if before < self.found.len() {
            let price = change.price(self.config);
            self.worked.push(Worked { steps, adaptors: 0, price, unlocks: false, fits: true });
        }
        true
    }
}
