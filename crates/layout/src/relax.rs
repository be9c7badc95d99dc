//! What would make it fit when nothing does, each found by trying it; and why nothing can, where that is proven.

use crate::model::Model;
use crate::outcome::{Outcome, Relaxation};
use crate::watch::Stop;
use crate::{Config, Input};

pub(crate) fn proof(_model: &Model) -> Option<String> {
    None
}

pub(crate) fn relaxations(
    _input: &Input,
    _config: &Config,
    _outcome: &Outcome,
    _stop: &dyn Stop,
) -> Vec<Relaxation> {
    Vec::new()
}
