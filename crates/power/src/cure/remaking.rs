//! Supply leads that are made and lose too much, made anew: shorter, or else of the thinnest cable that is enough.

use super::{Search, Worked};
use crate::change::CureStep;
use crate::kept;
use crate::lossy::{cables_for, lossy};
use crate::outcome::Price;
use crate::remade::Remade;
use crate::thicker::Thicker;

/// Of so many leads sets of at most so many are tried one by one.
const TOGETHER_OF: [(usize, usize); 2] = [(8, 3), (12, 2)];

/// What a lead is made anew of: a choice among its cables.
#[derive(Clone)]
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

/// What so many leads made anew cost at least.
fn least(leads: usize) -> Price {
    Price { unmade: leads, work: leads, ..Price::default() }
}

impl Search<'_> {
    /// Every set of few leads, or as few of all as must be. Where all of them anew do not help, no fewer do.
    pub(super) fn remake(&mut self) {
        let input = self.input;
        let mut all: Vec<Anew<'_>> = Vec::new();
        for lead in lossy(input) {
            let cables = cables_for(&self.config.cables, lead);
            // The last loses least.
            if let Some(chosen) = cables.len().checked_sub(1) {
                all.push(Anew { lead, cables, chosen });
            }
        }
        if all.is_empty() || self.is_over() || !self.works(&together(&all)) {
            return;
        }
        let most = TOGETHER_OF.iter().find(|(leads, _)| all.len() <= *leads).map_or(1, |(_, most)| *most);
        let indices: Vec<usize> = (0..all.len()).collect();
        let mut enough: Vec<(Vec<usize>, Price)> = Vec::new();
        for size in 1..=most.min(all.len()) {
            for set in kept::sets(&indices, size) {
                if self.is_over() {
                    return;
                }
                // More leads than are enough are worth it where fewer others are rewired.
                let parts = enough.iter().filter(|(part, _)| part.iter().all(|lead| set.contains(lead)));
                let known = parts.map(|(_, price)| *price).min();
                if known.is_some_and(|known| known <= least(size)) {
                    continue;
                }
                let few = set.iter().map(|&lead| all[lead].clone()).collect();
                if let Some(price) = self.remade(few, known) {
                    enough.push((set, price));
                }
            }
        }
        if most < all.len() {
            if enough.is_empty() {
                let few = self.fewest(all);
                self.remade(few, None);
            }
            self.open.push((false, least(most + 1)));
        }
    }

    /// As few of some leads as are enough: each that is left makes the difference.
    fn fewest<'b>(&self, mut leads: Vec<Anew<'b>>) -> Vec<Anew<'b>> {
        let mut place = 0;
        while place < leads.len() && 1 < leads.len() {
            let gone = leads.remove(place);
            if !self.works(&together(&leads)) {
                leads.insert(place, gone);
                place += 1;
            }
        }
        leads
    }

    /// Tells of leads made anew where that feeds every device, each of the thinnest cable that is enough, and costs less than what
    /// is known; its price.
    fn remade(&mut self, mut leads: Vec<Anew<'_>>, known: Option<Price>) -> Option<Price> {
        if !self.works(&together(&leads)) {
            return None;
        }
        for place in 0..leads.len() {
            let last = leads[place].chosen;
            for chosen in 0..last {
                leads[place].chosen = chosen;
                if self.works(&together(&leads)) {
                    break;
                }
                leads[place].chosen = last;
            }
        }
        let change = together(&leads);
        let before = self.found.len();
        self.tell(change.clone(), 0);
        let price = self.found.get(before).map(|cure| cure.price)?;
        if known.is_some_and(|known| known <= price) {
            self.found.truncate(before);
            return Some(price);
        }
        let steps: Vec<CureStep> = leads.iter().map(Anew::step).collect();
        let price_of_steps = change.price(self.config);
        self.worked.push(Worked { steps, adaptors: 0, price: price_of_steps, unlocks: false, fits: true });
        Some(price)
    }
}
