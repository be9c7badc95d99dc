//! What the engines say of a design, found when first asked for and kept.
//!
//! All are pure functions of the rig and the limits, so that asking late gives the same answer as asking early; a
//! reader that does not ask does not wait.

use std::sync::OnceLock;

use signal::LeadLength;

use crate::Design;

/// The outcomes found so far.
#[derive(Debug, Clone, Default)]
pub(crate) struct Engines {
    signal: OnceLock<signal::Outcome>,
    power: OnceLock<power::Input>,
    allocation: OnceLock<power::Outcome>,
    feeds: OnceLock<power::Outcome>,
    pub(crate) routes: OnceLock<crate::Routes>,
    /// Whether the leads have the lengths of the routes.
    pub(crate) laid: bool,
}

impl Engines {
    /// The same once the leads have the lengths of the routes: what signal loses is no longer known, while outlets are
    /// allocated whatever the lengths are.
    pub(crate) fn laid(self) -> Self {
        Self { signal: OnceLock::new(), laid: true, ..self }
    }
}

impl Design {
    /// What the signal engine takes: the rig, and the lengths of its signal leads, cut or estimated.
    pub fn signal_input(&self) -> signal::Input<'_> {
        let flows = self.leads.iter().flat_map(|lead| lead.flows.iter().map(move |flow| (lead, flow)));
        let leads = flows
            .map(|(lead, (from, to))| LeadLength {
                from: from.clone(),
                to: to.clone(),
                length: lead.between(from, to),
            })
            .collect();
        let mut input = signal::Input::new(&self.rig, leads);
        let share = |known: rig::Known<quantity::Ratio>| known.value.map(quantity::Ratio::get);
        for source in &self.rig.sources {
            let (volume, tone) = (share(source.volume), share(source.tone));
            if volume.is_some() || tone.is_some() {
                let usual = signal::Controls::default();
                let controls = signal::Controls {
                    volume: volume.unwrap_or(usual.volume),
                    tone: tone.unwrap_or(usual.tone),
                    ..usual
                };
                input.controls.insert(source.id.clone(), controls);
            }
        }
        let travels = self.rig.devices.iter().filter_map(|device| {
            Some((device.tag.clone(), share(device.signal.travel).filter(|_| device.signal.passive)?))
        });
        input.travel.extend(travels);
        for switching in &self.rig.switching {
            let devices = switching.devices.clone();
            match switching.way {
                rig::SwitchingWay::Together => input.together.push(devices),
                rig::SwitchingWay::OneAtATime => input.exclusive.push(devices),
            }
        }
        input
    }

    /// The signal engine's figures, with the limits of the workshop for its advice.
    pub fn signal_config(&self) -> signal::Config {
        signal::Config {
            change_limit: self.limits.treble_change_look.get(),
            shift_limit: self.limits.resonance_shift_look.get(),
            loss_limit: self.limits.chain_loss_look.get(),
            ..signal::Config::default()
        }
    }

    /// What signal loses in every switching state; buffers are not looked for, which takes most of the time.
    pub fn signal(&self) -> &signal::Outcome {
        self.engines.signal.get_or_init(|| {
            signal::solve_with(&self.signal_input(), &self.signal_config(), signal::BufferSearch::Skip)
        })
    }

    /// The design with what signal loses known already: of a rig that differs in nothing that the engine reads.
    #[must_use]
    pub fn hearing(mut self, outcome: signal::Outcome) -> Self {
        self.engines.signal = outcome.into();
        self
    }

    /// What the power engine takes: devices, outlets, bricks and thresholds, as the document has them.
    pub fn power_input(&self) -> &power::Input {
        self.engines.power.get_or_init(|| power::Input::from_rig(&self.rig, &self.limits))
    }

    /// The best allocation of outlets whatever the document says of feeds, locked ones apart; without conflicts and cures.
    pub fn allocation(&self) -> &power::Outcome {
        let config = power::Config::standard;
        self.engines.allocation.get_or_init(|| power::allocation(self.power_input(), &config()))
    }

    /// The same, with conflicts and cures where not all devices can be fed.
    pub fn feeds(&self) -> &power::Outcome {
        let config = power::Config::standard;
        let explain = || power::explain(self.power_input(), self.allocation().clone(), &config());
        self.engines.feeds.get_or_init(explain)
    }

    /// The same, with bricks of a catalogue that a cure may add or put in place of another. Not kept.
    /// Supply leads may be made of any of `cables`.
    pub fn feeds_with(
        &self,
        kinds: &[rig::Device],
        cables: &[rig::Cable],
        prices: Option<&estimate::Prices>,
    ) -> power::Outcome {
        let price = |key: &str| Some(prices?.item(key)?.price.0);
        let candidates =
            kinds.iter().filter_map(|kind| power::Candidate::new(kind, price(kind.kind.as_ref()?))).collect();
        let cables = cables.iter().filter_map(power::Thicker::new).collect();
        let adaptor_price = price(estimate::OWN_ADAPTOR);
        let known = self.engines.feeds.get().unwrap_or_else(|| self.allocation());
        power::explain(
            self.power_input(),
            known.clone(),
            &power::Config { candidates, cables, adaptor_price, ..power::Config::standard() },
        )
    }
}
