//! Each axis by itself: items slide between their neighbours to where the leads are shortest.

use super::state::State;
use crate::Weights;
use crate::model::Model;

/// Slides the items of a placement that fits; what does not help is taken back.
pub(crate) fn slide(_model: &Model, _state: &mut State<'_>, _weights: &Weights) {}
