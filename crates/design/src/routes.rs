//! How the leads of a design run, and the lengths that follow.

use leads::{Given, Input, Outcome, Rules};
use quantity::Length;
use rig::{Known, Provenance};

use crate::lead::mm;
use crate::{Clocking, Design, clocking};

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

    /// The way of one lead, by its number; `None` when it is not laid.
    pub fn way(&self, tag: &str) -> Option<&leads::Laid> {
        self.outcome.leads.iter().find(|laid| laid.id == tag)
    }
}

impl Design {
    /// What the routing engine takes: the rig and its leads as they are numbered here.
    pub fn routes_input(&self) -> Input {
        let given: Vec<Given> = self
            .leads
            .iter()
            .map(|lead| Given {
                id: lead.tag.clone(),
                class: lead.class,
                from: (lead.from.port.clone(), lead.from.plug.clone()),
                to: (lead.to.port.clone(), lead.to.plug.clone()),
                soldered: [lead.from.soldered, lead.to.soldered],
                cable: lead.cable.clone(),
                clocking: match clocking(&self.rig, lead) {
                    Clocking::Turned(degrees) => Some(format!("{degrees}°")),
                    Clocking::Free => Some("free".to_owned()),
                    Clocking::Open => None,
                },
                made: lead.cut.value.filter(|_| lead.made),
                outside: lead.outside,
                ties: lead.ties.clone(),
                service: lead.service,
            })
            .collect();
        Input::from_rig(&self.rig, &self.limits, &given)
    }

    /// The way of every lead, laid from scratch.
    pub fn routes(&self) -> &Routes {
        self.engines.routes.get_or_init(|| {
            let input = self.routes_input();
            let outcome = leads::solve(&input);
            Routes { input, outcome }
        })
    }

    /// The design laid on routes that are known already: those of the same rig, kept from before or changed by hand.
    #[must_use]
    pub fn laid_on(mut self, routes: Routes) -> Self {
        self.engines = crate::engines::Engines::default();
        // Just made, so it is empty and takes them.
        let _ = self.engines.routes.set(routes);
        self.laid()
    }

    /// The design with the lengths of its routes in place of those along the straight line.
    ///
    /// A lead that is not laid keeps its estimate, one that is made its cut length. What an engine said of the estimates
    /// is forgotten. Laying takes far longer than deriving: a drawing board answers first with the estimates.
    #[must_use]
    pub fn laid(self) -> Self {
        self.routes();
        let Self { rig, limits, solids, conflicts, mut leads, outlets, mass, engines } = self;
        let engines = engines.routes_only();
        let rules = Rules::from_limits(&limits);
        if let Some(routes) = engines.routes.get() {
            for laid in &routes.outcome.leads {
                let wanted = &routes.input.leads[laid.lead];
                let Some(lead) = leads.iter_mut().find(|lead| lead.tag == laid.id) else { continue };
                // An open plug or exit is taken as the likeliest one, which makes the length no more than likely.
                let open = [&wanted.from, &wanted.to]
                    .iter()
                    .any(|end| end.proposed || end.plug.is_none() || end.allowance_mm.is_none());
                let from = if open { Provenance::Assumed } else { Provenance::Measured };
                let needed = Known::new(mm(laid.cut_mm), from);
                let allowance =
                    wanted.from.allowance_mm.unwrap_or(0.0) + wanted.to.allowance_mm.unwrap_or(0.0);
                lead.needed = needed;
                lead.least = Known::new(mm(laid.route_mm + allowance + laid.service_mm), from);
                lead.laid = true;
                if !lead.made {
                    lead.cut = needed;
                }
                debug_assert!(
                    laid.cut_mm
                        <= laid.route_mm
                            + allowance
                            + laid.service_mm
                            + laid.slack_mm
                            + rules.rounding_mm
                            + 1.0
                );
            }
        }
        Self { rig, limits, solids, conflicts, leads, outlets, mass, engines }
    }

    /// Whether the lengths are those of routes.
    pub fn is_laid(&self) -> bool {
        self.leads.iter().any(|lead| lead.laid)
    }
}

/// What a lead that is made has to spare over its way and its plugs; below nought it does not reach.
pub fn spare(lead: &crate::Lead) -> Option<Length> {
    Some(lead.cut.value.filter(|_| lead.made)? - lead.least.value?)
}
