//! How the leads of a design run, and the lengths that follow.

use leads::{Given, GivenEnd, Input, Outcome, Rules};
use quantity::Length;
use rig::{Known, PlugSpec, PortRef, Provenance};

use crate::lead::{IN_JOINT, sum};
use crate::{Clocking, Design, Lead, Making, clocking};

/// The question to the routing engine and its answer.
#[derive(Debug, Clone)]
pub struct Routes {
    /// Bodies, holes and leads as the engine saw them.
    pub input: Input,
    /// The ways.
    pub outcome: Outcome,
}

impl Routes {
    /// No ways at all: for a design whose leads nobody wants laid.
    pub fn none() -> Self {
        Self { input: Input::empty(0.0, 0.0, Rules::customary()), outcome: Outcome::default() }
    }

    /// The way of one piece of cable, by its number, of a leg with its letter; `None` when it is not laid.
    pub fn way(&self, part: &str) -> Option<&leads::Laid> {
        self.outcome.leads.iter().find(|laid| laid.id == part)
    }

    /// The ways of a lead: one, or one for each leg.
    pub fn ways<'a>(&'a self, lead: &Lead) -> impl Iterator<Item = (usize, &'a leads::Laid)> {
        let parts = lead.parts();
        parts.into_iter().enumerate().filter_map(|(leg, part)| Some((leg, self.way(&part)?)))
    }
}

impl Routes {
    /// Where the joint of a lead lies, in the board's frame, in millimetres: between the ends of its legs. `None` for a
    /// lead without one, and for one that is not laid.
    pub fn joint_mm(&self, lead: &Lead) -> Option<[f64; 3]> {
        let tips: Vec<[f64; 3]> = self
            .ways(lead)
            .filter(|_| lead.is_joined())
            .filter_map(|(_, laid)| laid.path.last().copied())
            .collect();
        // The trunk enters the sleeve at one end, the branches at the other.
        let low = tips.iter().copied().reduce(|a, b| std::array::from_fn(|axis| a[axis].min(b[axis])))?;
        let high = tips.iter().copied().reduce(|a, b| std::array::from_fn(|axis| a[axis].max(b[axis])))?;
        Some(std::array::from_fn(|axis| f64::midpoint(low[axis], high[axis])))
    }
}

impl Design {
    /// The lead that a piece of cable belongs to, by its number, of a leg with its letter.
    pub fn lead_of(&self, part: &str) -> Option<&Lead> {
        self.leads.iter().find(|lead| lead.leg_of(part).is_some())
    }

    /// What the routing engine takes: the rig and its leads as they are numbered here.
    pub fn routes_input(&self) -> Input {
        let given: Vec<Given> = self
            .leads
            .iter()
            .map(|lead| Given {
                id: lead.tag.clone(),
                class: lead.class,
                ends: lead
                    .ends
                    .iter()
                    .enumerate()
                    .map(|(leg, end)| GivenEnd {
                        part: lead.part(leg),
                        port: end.port.clone(),
                        plug: end.plug.clone(),
                        wired: end.is_wired(),
                        made: lead.legs.get(leg).filter(|leg| leg.made).and_then(|leg| leg.cut.value),
                    })
                    .map(|end| self.beside_gland(lead, end))
                    .collect(),
                trunk: lead.trunk,
                joint: lead.joint,
                in_joint: IN_JOINT,
                cable: lead.cable.clone(),
                clocking: match clocking(&self.rig, lead) {
                    Clocking::Turned(degrees) => Some(format!("{degrees}°")),
                    Clocking::Free => Some("free".to_owned()),
                    Clocking::Open => None,
                },
                made: lead.cut.value.filter(|_| lead.made),
                outside: lead.outside && !self.is_inside_from_gland(lead),
                ties: lead.ties.clone(),
                service: lead.service,
            })
            .collect();
        Input::from_rig(&self.rig, &self.limits, &given)
    }

    fn is_outside(&self, port: &PortRef) -> bool {
        port.port.is_empty() || self.rig.device(&port.device).is_some_and(|device| device.outside)
    }

    /// Whether a lead comes from outside through one gland, so that the rest of it lies on the board.
    fn is_inside_from_gland(&self, lead: &Lead) -> bool {
        let out = lead.ends.iter().filter(|end| self.is_outside(&end.port)).count();
        lead.through.len() == 1 && lead.ends.len() == 2 && out == 1
    }

    /// The end of a lead on the board: its gland, where the other part of it is outside.
    fn beside_gland(&self, lead: &Lead, end: GivenEnd) -> GivenEnd {
        match lead.through.first() {
            Some(gland) if self.is_inside_from_gland(lead) && self.is_outside(&end.port) => {
                GivenEnd { port: gland.clone(), plug: PlugSpec::default(), wired: true, ..end }
            }
            _ => end,
        }
    }

    /// The way of every lead, laid from scratch.
    pub fn routes(&self) -> &Routes {
        self.engines.routes.get_or_init(|| {
            let input = self.routes_input();
            let outcome = leads::solve(&input);
            Routes { input, outcome }
        })
    }

    /// Where the joint of a laid lead lies, as a builder measures it: from the left and front edge of the board, on a deck or
    /// under it.
    pub fn joint_words(&self, lead: &Lead) -> Option<String> {
        let [x, y, z] = self.routes().joint_mm(lead)?;
        let (across, along) = (Length::from_mm_rounded(x), Length::from_mm_rounded(y));
        let covers = |rect: &rig::Rect| {
            rect.x <= across && across <= rect.right() && rect.y <= along && along <= rect.back()
        };
        let here = |deck: &&rig::Deck| deck.shape_on_board().iter().any(covers);
        let decks: Vec<&rig::Deck> = self.rig.board.decks.iter().filter(here).collect();
        let below = decks.iter().filter(|deck| deck.z.as_mm() <= z).max_by_key(|deck| deck.z);
        let side = match (below, decks.iter().min_by_key(|deck| deck.z)) {
            (Some(deck), _) => format!(", on deck {}", deck.name),
            (None, Some(deck)) => format!(", under deck {}", deck.name),
            (None, None) => String::new(),
        };
        Some(format!("joint {x:.0} mm from left, {y:.0} mm from front{side}"))
    }

    /// The design laid on routes that are known already: those of the same rig, kept from before or changed by hand.
    #[must_use]
    pub fn laid_on(mut self, routes: Routes) -> Self {
        self.engines.routes = routes.into();
        self.laid()
    }

    /// The design with the lengths of its routes in place of those along the straight line.
    ///
    /// A lead that is not laid keeps its estimate, one that is made its cut length. What signal loses along the estimates
    /// is forgotten. Laying takes far longer than deriving: a drawing board answers first with the estimates.
    #[must_use]
    pub fn laid(mut self) -> Self {
        self.routes();
        self.engines = self.engines.laid();
        let Some(routes) = self.engines.routes.get() else { return self };
        for lead in &mut self.leads {
            let mut ways = 0;
            for (leg, laid) in routes.ways(lead).collect::<Vec<_>>() {
                let wanted = &routes.input.leads[laid.lead];
                let ends = [&wanted.from, &wanted.to];
                // An open plug or exit is taken as the likeliest one, which makes the length no more than likely.
                let open =
                    |end: &&leads::End| end.proposed || end.plug.is_none() || end.allowance_mm.is_none();
                let from = if ends.iter().any(open) { Provenance::Assumed } else { Provenance::Computed };
                let allowance: f64 = ends.iter().filter_map(|end| end.allowance_mm).sum();
                let needed = Known::new(Length::from_mm_rounded(laid.cut_mm), from);
                let least =
                    Known::new(Length::from_mm_rounded(laid.route_mm + allowance + laid.service_mm), from);
                match lead.legs.get_mut(leg) {
                    Some(leg) => {
                        (leg.needed, leg.least) = (needed, least);
                        if !leg.made {
                            leg.cut = needed;
                        }
                    }
                    None => (lead.needed, lead.least) = (needed, least),
                }
                ways += 1;
            }
            lead.laid = 0 < ways && ways == lead.legs.len().max(1);
            if lead.laid && lead.is_joined() {
                if lead.making != Making::Captive {
                    lead.cut = sum(lead.legs.iter().map(|leg| leg.cut));
                }
                lead.needed = sum(lead.legs.iter().map(|leg| leg.needed));
                lead.least = sum(lead.legs.iter().map(|leg| leg.least));
            }
            if lead.laid && !lead.made && !lead.is_joined() && lead.making != Making::Captive {
                lead.cut = lead.needed;
            }
        }
        self
    }

    /// Whether the lengths are those of routes, as far as there are any.
    pub fn is_laid(&self) -> bool {
        self.engines.laid
    }
}

/// What a lead that is made has to spare over its way and its plugs; below zero it does not reach.
pub fn spare(lead: &crate::Lead) -> Option<Length> {
    let whole = lead.cut.value.filter(|_| lead.made)? - lead.least.value?;
    // A joint holds its legs apart: the leg that has least to spare decides.
    let legs = lead.legs.iter().filter_map(|leg| Some(leg.cut.value? - leg.least.value?));
    Some(legs.min().unwrap_or(whole))
}
