//! Boxes as the search moves them: the solids of a device relative to where it stands.

use rig::geometry::{BoxClass, Clearance, Owner, Solid, clearance};
use rig::{Limits, Rect};

/// The classes of boxes, in the order of the table of gaps.
const CLASSES: [BoxClass; 9] = [
    BoxClass::Body,
    BoxClass::Knobs,
    BoxClass::Plug,
    BoxClass::Bend,
    BoxClass::Behind,
    BoxClass::Service,
    BoxClass::Riser,
    BoxClass::Rail,
    BoxClass::Sheet,
];

/// No room is wanted: far below any separation.
const FREE: i64 = i64::MIN / 4;

/// One box, in nanometres.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cell {
    /// Its class, an index into the table of gaps.
    pub(crate) class: u8,
    /// What it belongs to within its device: plugs of one owner do not meet each other.
    pub(crate) owner: u16,
    /// Whether it sits in a socket of a strip: there neighbours may touch.
    pub(crate) socketed: bool,
    /// Whether it must stay within the outline.
    pub(crate) bounded: bool,
    /// Whether it must stay under the lid.
    pub(crate) lidded: bool,
    pub(crate) low: [i64; 3],
    pub(crate) high: [i64; 3],
}

impl Cell {
    /// From a solid made by `rig::geometry`, seen from `origin`.
    pub(crate) fn of(solid: &Solid, owner: u16, origin: [i64; 3]) -> Self {
        let class = CLASSES.iter().position(|class| *class == solid.class).unwrap_or(0);
        let at = |point: [quantity::Length; 3]| std::array::from_fn(|axis| point[axis].nm() - origin[axis]);
        let bounded = solid.class != BoxClass::Service;
        Self {
            class: u8::try_from(class).unwrap_or(0),
            owner,
            socketed: false,
            bounded,
            lidded: bounded,
            low: at(solid.low),
            high: at(solid.high),
        }
    }

    /// A box of this size at nought; the lid is no matter to it.
    pub(crate) fn plain(class: BoxClass, size: [i64; 3]) -> Self {
        let class = CLASSES.iter().position(|known| *known == class).unwrap_or(0);
        Self {
            class: u8::try_from(class).unwrap_or(0),
            owner: 0,
            socketed: false,
            bounded: true,
            lidded: false,
            low: [0; 3],
            high: size,
        }
    }

    pub(crate) fn is(&self, class: BoxClass) -> bool {
        CLASSES[usize::from(self.class)] == class
    }

    /// The box moved by `by`.
    pub(crate) fn moved(&self, by: [i64; 3]) -> Self {
        Self {
            low: std::array::from_fn(|axis| self.low[axis] + by[axis]),
            high: std::array::from_fn(|axis| self.high[axis] + by[axis]),
            ..self.clone()
        }
    }

    pub(crate) fn plan(&self) -> Flat {
        Flat { low: [self.low[0], self.low[1]], high: [self.high[0], self.high[1]] }
    }
}

/// A rectangle seen from above, in nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Flat {
    pub(crate) low: [i64; 2],
    pub(crate) high: [i64; 2],
}

impl Flat {
    pub(crate) fn of(rect: &Rect) -> Self {
        Self { low: [rect.x.nm(), rect.y.nm()], high: [rect.right().nm(), rect.back().nm()] }
    }

    pub(crate) fn moved(&self, by: [i64; 2]) -> Self {
        let at = |corner: [i64; 2]| [corner[0] + by[0], corner[1] + by[1]];
        Self { low: at(self.low), high: at(self.high) }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.high[0] <= self.low[0] || self.high[1] <= self.low[1]
    }

    /// How deep the two share room: the shorter way out, nought when they do not.
    pub(crate) fn depth(&self, other: &Self) -> i64 {
        let along = |axis: usize| (self.high[axis] - other.low[axis]).min(other.high[axis] - self.low[axis]);
        along(0).min(along(1)).max(0)
    }

    pub(crate) fn around(rects: &[Self]) -> Self {
        let edge = |axis: usize| {
            (
                rects.iter().map(|rect| rect.low[axis]).min().unwrap_or(0),
                rects.iter().map(|rect| rect.high[axis]).max().unwrap_or(0),
            )
        };
        let (x, y) = (edge(0), edge(1));
        Self { low: [x.0, y.0], high: [x.1, y.1] }
    }

    /// What of it none of `rects` covers, as rectangles.
    pub(crate) fn without(&self, rects: &[Self]) -> Vec<Self> {
        let mut left = vec![*self];
        for rect in rects {
            left = left.iter().flat_map(|part| part.less(rect)).collect();
        }
        left
    }

    fn less(&self, rect: &Self) -> Vec<Self> {
        if self.depth(rect) == 0 {
            return vec![*self];
        }
        let x = [self.low[0].max(rect.low[0]), self.high[0].min(rect.high[0])];
        let y = [self.low[1].max(rect.low[1]), self.high[1].min(rect.high[1])];
        [
            Self { low: self.low, high: [x[0], self.high[1]] },
            Self { low: [x[1], self.low[1]], high: self.high },
            Self { low: [x[0], self.low[1]], high: [x[1], y[0]] },
            Self { low: [x[0], y[1]], high: [x[1], self.high[1]] },
        ]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect()
    }
}

/// The room that each pair of classes wants, in either direction: the widest of the two.
#[derive(Debug, Clone)]
pub(crate) struct Gaps {
    table: [[i64; CLASSES.len()]; CLASSES.len()],
    pub(crate) widest: i64,
}

/// What is wrong between boxes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Wrong {
    /// How far they would have to be shifted, added up, in micrometres.
    pub(crate) depth: i64,
    /// Pairs that may not stand so.
    pub(crate) pairs: i32,
    /// Things to look at.
    pub(crate) looks: i32,
}

impl std::ops::AddAssign for Wrong {
    fn add_assign(&mut self, other: Self) {
        self.depth += other.depth;
        self.pairs += other.pairs;
        self.looks += other.looks;
    }
}

impl std::ops::SubAssign for Wrong {
    fn sub_assign(&mut self, other: Self) {
        self.depth -= other.depth;
        self.pairs -= other.pairs;
        self.looks -= other.looks;
    }
}

impl Wrong {
    /// Something hard is wrong, by so many nanometres.
    pub(crate) fn by(nanometres: i64) -> Self {
        // Even a nanometre counts.
        Self { depth: nanometres / 1000 + 1, pairs: 1, looks: 0 }
    }

    pub(crate) fn look() -> Self {
        Self { depth: 0, pairs: 0, looks: 1 }
    }
}

impl Gaps {
    pub(crate) fn of(limits: &Limits) -> Self {
        let wanted = |of: BoxClass, from: BoxClass| match clearance(of, from, limits) {
            Clearance::AtLeast(room) => room.nm(),
            Clearance::Free => FREE,
        };
        let mut table = [[FREE; CLASSES.len()]; CLASSES.len()];
        for (row, of) in table.iter_mut().zip(CLASSES) {
            for (entry, from) in row.iter_mut().zip(CLASSES) {
                *entry = wanted(of, from).max(wanted(from, of));
            }
        }
        let widest = table.iter().flatten().copied().max().unwrap_or(0).max(0);
        Self { table, widest }
    }

    /// How far the boxes are too near, or nothing. Separation is the largest over the three axes.
    pub(crate) fn short(&self, a: &Cell, b: &Cell) -> Option<i64> {
        let gap = self.table[usize::from(a.class)][usize::from(b.class)];
        if gap == FREE {
            return None;
        }
        nearer(a, b, gap)
    }

    /// What is wrong between two boxes of one item: in the sockets of one strip they may touch.
    pub(crate) fn judge_own(&self, a: &Cell, b: &Cell) -> Wrong {
        if a.socketed && b.socketed {
            return nearer(a, b, 0).map_or_else(Wrong::default, Wrong::by);
        }
        self.judge(a, b)
    }

    /// What is wrong between room that is kept free and a box: whatever it is, it is in the way.
    pub(crate) fn judge_spare(&self, a: &Cell, b: &Cell) -> Wrong {
        let gap = self.table[usize::from(a.class)][usize::from(b.class)].max(0);
        nearer(a, b, gap).map_or_else(Wrong::default, Wrong::by)
    }

    /// The room a pair of classes wants; `None` when they may share it.
    pub(crate) fn wanted(&self, a: &Cell, b: &Cell) -> Option<i64> {
        let gap = self.table[usize::from(a.class)][usize::from(b.class)];
        (gap != FREE).then_some(gap)
    }

    /// What is wrong between two boxes of different owners.
    pub(crate) fn judge(&self, a: &Cell, b: &Cell) -> Wrong {
        match self.short(a, b) {
            None => Wrong::default(),
            // A barred corridor is looked at, as the check of service ports has it.
            Some(_) if a.is(BoxClass::Service) || b.is(BoxClass::Service) => Wrong::look(),
            Some(short) => Wrong::by(short),
        }
    }
}

/// How far two boxes are nearer than a gap, or nothing.
fn nearer(a: &Cell, b: &Cell, gap: i64) -> Option<i64> {
    let apart = |axis: usize| (a.low[axis] - b.high[axis]).max(b.low[axis] - a.high[axis]);
    if gap <= apart(2) {
        return None;
    }
    let short = gap - apart(0).max(apart(1));
    (0 < short).then_some(short)
}

/// The port a solid belongs to, if it belongs to one.
pub(crate) fn port_of(solid: &Solid) -> Option<&rig::PortRef> {
    match &solid.owner {
        Owner::Port { port, .. } => Some(port),
        _ => None,
    }
}
