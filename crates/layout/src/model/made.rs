//! Leads that are made: how far they reach, and how their plugs are turned.

use std::collections::BTreeMap;

use quantity::Length;
use rig::geometry::{EndKind, LeadEnd, PlugTurn, clocked, port_point};
use rig::{Lead, PortRef, Rig};

use super::{Model, Spot};

/// Cable that each leg uses up in its joint. *Common practice, no source*, as the cut list has it.
const IN_JOINT: Length = Length::from_mm(15);

/// Surfaces, turns and ports of both ends of a wire.
type AtHome = ([usize; 2], [usize; 2], [[i64; 3]; 2]);

/// A lead that is a thing by now: cut, plugged in or wired.
#[derive(Debug, Clone)]
pub(crate) struct MadeLead {
    /// The wires that it is counted as, and how long the way of each may be.
    pub(crate) reach: Vec<(usize, i64)>,
    /// How its plugs are turned, where both are angled and stand.
    pub(crate) clock: Option<Clock>,
}

/// How the two plugs of a lead are turned against each other.
#[derive(Debug, Clone)]
pub(crate) struct Clock {
    pub(crate) wire: usize,
    /// The degrees today.
    pub(crate) home: u32,
    /// The plugs by turn of their devices.
    turns: [[Option<PlugTurn>; 4]; 2],
}

impl Clock {
    /// The degrees with the devices turned so and the jacks there.
    pub(crate) fn degrees(&self, turns: [usize; 2], from: [i64; 3], to: [i64; 3]) -> Option<u32> {
        let [a, b] = [0, 1].map(|end| self.turns[end][turns[end]]);
        Some(clocked(&a?, &b?, [0, 1, 2].map(|axis| to[axis] - from[axis])))
    }
}

/// What a lead counts in addition that has to go around the edge of a deck without a passage. *Common practice, no source.*
const AROUND: i64 = 400_000_000;

impl Model {
    /// How long a lead between two ports on these surfaces is counted: along the axes, and through a deck by way of a passage
    /// where there is one. From under a raised deck to the deck below it the way is open.
    pub(crate) fn way(&self, surfaces: [usize; 2], from: [i64; 3], to: [i64; 3]) -> i64 {
        let plan = |p: [i64; 2], q: [i64; 3]| (p[0] - q[0]).abs() + (p[1] - q[1]).abs();
        let straight = plan([from[0], from[1]], to);
        let [a, b] = surfaces.map(|surface| &self.surfaces[surface]);
        let shut = || [(a, b), (b, a)].into_iter().filter(|(one, other)| one.is_shut_from(other));
        let passages = shut().flat_map(|(deck, _)| deck.passages.iter());
        let through = passages.map(|at| plan(*at, from) + plan(*at, to)).min();
        let around = if shut().next().is_some() { AROUND } else { 0 };
        through.unwrap_or(straight + around) + (from[2] - to[2]).abs()
    }

    /// Finds the made leads; `wires` are the numbers of the wires by their ports.
    pub(super) fn make_made(
        &mut self,
        rig: &Rig,
        leads: &[Lead],
        wires: &BTreeMap<(PortRef, PortRef), usize>,
    ) {
        self.made_at = vec![Vec::new(); self.items.len()];
        for lead in leads.iter().filter(|lead| lead.is_made()) {
            let reach = lead.flows.iter().filter_map(|flow| {
                let wire = *wires.get(flow)?;
                Some((wire, self.reach(lead, flow, wire)?))
            });
            let reach: Vec<(usize, i64)> = reach.collect();
            let clock = self.clock(rig, lead, wires);
            let of_reach = reach.iter().map(|(wire, _)| *wire);
            let mut items: Vec<usize> = of_reach
                .chain(clock.as_ref().map(|clock| clock.wire))
                .flat_map(|wire| self.wires[wire].items)
                .collect();
            items.sort_unstable();
            items.dedup();
            for item in items {
                self.made_at[item].push(self.made.len());
            }
            self.made.push(MadeLead { reach, clock });
        }
    }

    /// How long the way of a made lead may be: what it was cut to without what its plugs and its joint take up. Where it
    /// lies today it reaches, whatever the estimate says.
    fn reach(&self, lead: &Lead, flow: &(PortRef, PortRef), wire: usize) -> Option<i64> {
        let end = |port: &PortRef| lead.ends.iter().find(|end| end.port == *port);
        let inside = |end: &LeadEnd| end.plug.plug.as_ref().and_then(|plug| plug.allowance.value);
        let taken = [&flow.0, &flow.1].into_iter().filter_map(end).filter_map(inside);
        let taken = taken.fold(Length::ZERO, |sum, more| sum + more);
        let spec = lead.spec.as_ref()?;
        let cut = if lead.is_joined() {
            let leg = |port: &PortRef| spec.legs.iter().find(|(end, _)| end == port).map(|(_, cut)| *cut);
            leg(&flow.0).zip(leg(&flow.1)).map(|(a, b)| a + b - IN_JOINT * 2)
        } else {
            spec.cut.map(|cut| cut - spec.service.unwrap_or(Length::ZERO))
        };
        let reaches = cut.map(|cut| (cut - taken).nm());
        let today = self.at_home(wire).map(|(surfaces, _, [from, to])| self.way(surfaces, from, to));
        reaches.into_iter().chain(today).max()
    }

    /// Surfaces, turns and ports of a wire as the document has its devices; `None` unless both stand.
    fn at_home(&self, wire: usize) -> Option<AtHome> {
        let wire = &self.wires[wire];
        let homes = [self.items[wire.items[0]].home?, self.items[wire.items[1]].home?];
        let port = |end: usize| {
            let (spot, item): (Spot, _) = (homes[end], &self.items[wire.items[end]]);
            let [width, depth] = item.plan(spot.turn);
            let plan = super::Flat { low: [spot.x, spot.y], high: [spot.x + width, spot.y + depth] };
            let base = self.surfaces[spot.surface].base(&plan, item.size[2]);
            let at = wire.points[end][usize::from(spot.turn)];
            [at[0] + spot.x, at[1] + spot.y, at[2] + base]
        };
        let turns = homes.map(|spot| usize::from(spot.turn));
        Some((homes.map(|spot| spot.surface), turns, [port(0), port(1)]))
    }

    fn clock(&self, rig: &Rig, lead: &Lead, wires: &BTreeMap<(PortRef, PortRef), usize>) -> Option<Clock> {
        // With a joint its plugs turn freely against each other.
        let [a, b] = &lead.ends[..] else { return None };
        if lead.is_joined() {
            return None;
        }
        let (from, to) = if a.end == EndKind::From { (a, b) } else { (b, a) };
        let wire = *wires.get(&(from.port.clone(), to.port.clone()))?;
        let turns = |end: &LeadEnd| -> Option<[Option<PlugTurn>; 4]> {
            let device = rig.device(&end.port.device)?;
            // Where the jack lies is known, not guessed.
            port_point(rig, device, &end.port.port)?;
            let plugged = !end.inner && end.fitting == rig::Fitting::Plugged;
            plugged.then(|| {
                [0, 1, 2, 3].map(|quarters| PlugTurn::of(device, &end.port.port, &end.plug, quarters))
            })
        };
        let mut clock = Clock { wire, home: 0, turns: [turns(from)?, turns(to)?] };
        let (_, quarters, [p, q]) = self.at_home(wire)?;
        clock.home = clock.degrees(quarters, p, q)?;
        Some(clock)
    }
}
