//! What a change really costs: two documents of a job compared and priced.

use std::sync::Arc;

use change::{Side, compare};
use estimate::{Currency, Prices};
use finding::Edit;
use store::StoreError;

use crate::bench::{Bench, Done};
use crate::compared::Compared;
use crate::frozen::{frozen_as, frozen_prices};
use crate::read::Read;

/// Compares a job before and after; `letter` is the frozen revision that is before, where it is one.
pub(crate) fn compared(
    bench: &Bench,
    job: &str,
    letter: Option<&str>,
    before: &Read,
    after: &Read,
) -> Result<Arc<Compared>, String> {
    let folder = bench.store.folder();
    let stamp = crate::stock::stamp(folder);
    let key = format!("{letter:?} {} {} {stamp}", before.inputs, after.inputs);
    bench.compared(job, key, || {
        let on_hand = crate::stock::stock_of(folder).map_err(|error| error.to_string())?.on_hand();
        let shelf = crate::stock::shelf_of(folder, job).map_err(|error| error.to_string())?;
        let none = || Prices::none(Currency::of("XXX"));
        let known = prices_for(bench, job, after)?;
        let is_priced = known.is_some();
        let prices = known.unwrap_or_else(none);
        let own = letter.map(|letter| frozen_prices(&bench.store, job, letter)).transpose()?.flatten();
        let then = own.unwrap_or_else(|| prices.clone());
        let (a, b) = (before.laid(), after.laid());
        let change = compare(
            &Side { design: a, findings: before.all_findings() },
            &Side { design: b, findings: after.all_findings() },
        );
        Ok(Compared {
            quote: change::quote(b, (&change.needs, &change.acts), &prices, &on_hand),
            whole: [design::quote(a, &then, &on_hand, &shelf), design::quote(b, &prices, &on_hand, &shelf)],
            repriced: design::quote(a, &prices, &on_hand, &shelf),
            change,
            prices,
            is_priced,
        })
    })
}

/// The prices that hold for a document: where it is as a revision was frozen those of that day, else the shop's of today.
pub(crate) fn prices_for(bench: &Bench, job: &str, read: &Read) -> Result<Option<Prices>, String> {
    let frozen = frozen_as(&bench.store, job, read.job.text())?;
    let own = frozen.map(|entry| frozen_prices(&bench.store, job, &entry.letter)).transpose()?.flatten();
    Ok(own.or_else(|| read.prices.clone()))
}

impl Bench {
    /// Puts a frozen revision in the place of the document, as one edit that can be taken back. What of it was cut since stays
    /// cut.
    pub(crate) fn back_to(
        &self,
        job: &str,
        base: u64,
        client: &str,
        letter: &str,
    ) -> Result<Done, StoreError> {
        store::check_job_name(job)?;
        let frozen = self.store.revision(job, letter)?.text;
        let name = format!("back to revision {letter}");
        // Asked before the turn is taken: who writes holds the journal, and nobody else may read it meanwhile.
        let cut = self.cut_since(job, letter)?;
        let written = self.store.edit_anew(job, base, &name, |_| {
            document::edit::apply(&frozen, &cut).map_err(|error| error.to_string())
        })?;
        Ok(self.settle(job, client, written, None))
    }

    /// What a revision is told of the leads that were cut since it was frozen: those that serve it as they are stay cut.
    pub(crate) fn cut_since(&self, job: &str, letter: &str) -> Result<Edit, StoreError> {
        let none = Edit::new("", []);
        let Some(then) = self.frozen(job, letter) else { return Ok(none) };
        let opened = self.look(job)?;
        let Ok(now) = &opened.read else { return Ok(none) };
        let Ok(shelf) = crate::stock::shelf_of(self.store.folder(), job) else { return Ok(none) };
        let change = compare(
            &Side { design: then.laid(), findings: &[] },
            &Side { design: now.laid(), findings: &[] },
        );
        let stays = |tag: &str| {
            change.leads.iter().any(|lead| {
                lead.tag() == tag
                    && !lead.renumbered
                    && matches!(
                        lead.became,
                        change::Became::Stays
                            | change::Became::Reaches { .. }
                            | change::Became::Redrawn { .. }
                    )
            })
        };
        let said = |tag: &str| {
            then.laid().leads.iter().any(|lead| lead.made && (lead.tag == tag || lead.leg_of(tag).is_some()))
        };
        let cut: Vec<design::CutLead> = shelf
            .cut
            .into_iter()
            .filter(|cut| {
                let of = now
                    .laid()
                    .leads
                    .iter()
                    .find(|lead| lead.tag == cut.lead || lead.leg_of(&cut.lead).is_some());
                of.is_some_and(|lead| stays(&lead.tag)) && !said(&cut.lead)
            })
            .collect();
        Ok(if cut.is_empty() { none } else { design::cut_edit(&then.design.rig, &cut, true) })
    }
}
