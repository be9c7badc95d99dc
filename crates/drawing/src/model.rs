//! What a drawing is made of: plain shapes on a sheet in millimetres, each with the role it plays.
//!
//! The sheet's origin is its top left corner, x to the right, y down. Nothing here knows a colour or a
//! file format, so that SVG and DXF writers take the same [`Drawing`].

use crate::style::Style;

/// A point on the sheet, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl Point {
    /// The point at these coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point moved by so much.
    #[must_use]
    pub fn moved(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// The point half way to another.
    #[must_use]
    pub fn half_way(self, other: Self) -> Self {
        Self::new(f64::midpoint(self.x, other.x), f64::midpoint(self.y, other.y))
    }
}

/// A rectangle on the sheet, in millimetres; left is never beyond right, top never below bottom.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SheetRect {
    /// Smallest x.
    pub left: f64,
    /// Smallest y.
    pub top: f64,
    /// Largest x.
    pub right: f64,
    /// Largest y.
    pub bottom: f64,
}

impl SheetRect {
    /// The area between two corners, whichever way round.
    pub fn between(a: Point, b: Point) -> Self {
        Self { left: a.x.min(b.x), top: a.y.min(b.y), right: a.x.max(b.x), bottom: a.y.max(b.y) }
    }

    /// The area of this size around a centre.
    pub fn around(centre: Point, width: f64, height: f64) -> Self {
        Self::between(centre.moved(-width / 2.0, -height / 2.0), centre.moved(width / 2.0, height / 2.0))
    }

    /// Its width.
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height.
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// Its middle.
    pub fn centre(&self) -> Point {
        Point::new(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// The area made larger by so much on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    /// The smallest area around both.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// How many square millimetres the two share.
    pub fn shared(&self, other: &Self) -> f64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.bottom.min(other.bottom) - self.top.max(other.top);
        width.max(0.0) * height.max(0.0)
    }

    /// Whether the two share more than an edge.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.shared(other) > 0.0
    }
}

/// How much smaller or larger than life a drawing is: so many sheet millimetres for so many true ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scale {
    sheet: u32,
    life: u32,
}

impl Scale {
    /// `1 : n`, as ISO 5455 has it for 1, 2, 5, 10, 20 and so on. Zero counts as one.
    pub const fn one_to(n: u32) -> Self {
        Self { sheet: 1, life: if n == 0 { 1 } else { n } }
    }

    /// Any ratio, for a screen; zeros count as one.
    pub const fn of(sheet: u32, life: u32) -> Self {
        Self { sheet: if sheet == 0 { 1 } else { sheet }, life: if life == 0 { 1 } else { life } }
    }

    /// Sheet millimetres for one true millimetre.
    pub fn factor(self) -> f64 {
        f64::from(self.sheet) / f64::from(self.life)
    }
}

/// As a title block shows it: `1 : 5`.
impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} : {}", self.sheet, self.life)
    }
}

/// Where a text's reference point lies along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// At its start.
    #[default]
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

/// Regular or bold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Weight {
    /// Regular.
    #[default]
    Regular,
    /// Bold.
    Bold,
}

/// One line of text. Its content is already cleaned and fitted.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// The reference point on the baseline.
    pub at: Point,
    /// What it says.
    pub content: String,
    /// Size of the type, in sheet millimetres (1 pt is 0.353 mm).
    pub size_mm: f64,
    /// Where the reference point lies along it.
    pub anchor: Anchor,
    /// Regular or bold.
    pub weight: Weight,
    /// Whether it reads from the bottom up, as vertical dimensions do.
    pub upright: bool,
    /// Its role.
    pub style: Style,
    /// The ground that is laid beneath it, so that it breaks the lines it stands on.
    pub halo: Option<Style>,
}

impl Text {
    /// The room it takes on the sheet.
    pub fn area(&self) -> SheetRect {
        crate::svg::text_area(self)
    }
}

/// Things that belong together: a device, a lead, a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// An id that survives edits: made of the kind of thing and its written tag.
    pub id: String,
    /// What it is, for a screen reader.
    pub title: String,
    /// The tag of the device it draws.
    pub device: Option<String>,
    /// The tag of the lead it draws.
    pub lead: Option<String>,
    /// What it is made of.
    pub items: Vec<Item>,
}

/// One thing on a drawing. All measures are sheet millimetres.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A straight line.
    Line {
        /// Its start.
        from: Point,
        /// Its end.
        to: Point,
        /// Its role.
        style: Style,
    },
    /// Straight pieces, open or closed, with rounded corners where `round` is above zero.
    Path {
        /// The corners.
        points: Vec<Point>,
        /// Whether it returns to its start.
        closed: bool,
        /// Radius of the corners between.
        round: f64,
        /// Its role.
        style: Style,
        /// Width of the line where it is a thing's true width and not the role's.
        width: Option<f64>,
    },
    /// An upright rectangle.
    Rect {
        /// Where.
        area: SheetRect,
        /// Radius of its corners.
        corner: f64,
        /// Its role.
        style: Style,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// Its role.
        style: Style,
    },
    /// A line of text.
    Text(Text),
    /// Things that belong together.
    Group(Group),
}

/// A drawing on a sheet of its own size, without frame and title block.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Which drawing it is: `plan`, `side`. Begins its ids.
    pub name: &'static str,
    /// What it shows, for a screen reader.
    pub title: String,
    /// Width of the sheet.
    pub width_mm: f64,
    /// Height of the sheet.
    pub height_mm: f64,
    /// How much smaller than life it is.
    pub scale: Scale,
    /// Where the board's front left corner lies on the sheet.
    pub datum: Point,
    /// What is on it, undermost first.
    pub items: Vec<Item>,
}

impl Drawing {
    /// Every text on it, groups included, in drawing order.
    pub fn texts(&self) -> Vec<&Text> {
        fn collect<'a>(items: &'a [Item], out: &mut Vec<&'a Text>) {
            for item in items {
                match item {
                    Item::Text(text) => out.push(text),
                    Item::Group(group) => collect(&group.items, out),
                    _ => {}
                }
            }
        }
        let mut out = Vec::new();
        collect(&self.items, &mut out);
        out
    }
}
