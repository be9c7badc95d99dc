//! The snapshot that a search starts from.

use rig::{Board, Limits, Place, PlugKind, Rig, Role};

/// A rig to arrange, with what the workshop has to offer.
#[derive(Debug, Clone)]
pub struct Input {
    /// The rig. Devices with a place start there; locked ones and those on the floor stay. What the wishes of its brief say
    /// of places, use and free room is obeyed as far as it can be.
    pub rig: Rig,
    /// The limits in force.
    pub limits: Limits,
    /// Plugs in the drawer: for leads whose plug is open, and as relaxations.
    pub stock: Vec<PlugKind>,
    /// Boards that could be had instead, for the case that nothing fits.
    pub boards: Vec<Board>,
    /// Panels that were taken off the board, with the place that each had: they go back to the same edge.
    pub panels: Vec<(String, Place)>,
}

impl Input {
    /// The snapshot of a rig, with no more plugs than it names itself.
    pub fn from_rig(rig: &Rig, limits: &Limits) -> Self {
        Self {
            rig: rig.clone(),
            limits: limits.clone(),
            stock: Vec::new(),
            boards: Vec::new(),
            panels: Vec::new(),
        }
    }

    /// With these plugs in the drawer.
    #[must_use]
    pub fn with_stock(mut self, stock: impl IntoIterator<Item = PlugKind>) -> Self {
        self.stock.extend(stock);
        self
    }

    /// With these boards to be had instead.
    #[must_use]
    pub fn with_boards(mut self, boards: impl IntoIterator<Item = Board>) -> Self {
        self.boards.extend(boards);
        self
    }

    /// With every device off the board that is not locked, not on the floor and not outside.
    #[must_use]
    pub fn unplaced(mut self) -> Self {
        for device in &mut self.rig.devices {
            let place = device.place.take_if(|place| !place.locked && place.deck != rig::FLOOR);
            if let Some(place) = place.filter(|_| device.role == Role::Panel) {
                self.panels.retain(|(tag, _)| *tag != device.tag);
                self.panels.push((device.tag.clone(), place));
            }
        }
        self
    }
}
