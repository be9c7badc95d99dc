//! Holes of panels: one schedule for drawing, template and file.

use quantity::Length;
use rig::{ConnectorFamily, Device, Face, Known, Role};

use crate::Design;

/// The pilot hole under every larger one. *Common practice, no source.*
pub const PILOT: Length = Length::from_mm(3);

/// A hole for a screw that holds what sits in another hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fixing {
    /// From the centre of what it holds to the right, seen from the FRONT.
    pub x: Length,
    /// Up.
    pub y: Length,
    /// What is drilled.
    pub diameter: Length,
}

/// The screws of what is screwed to a plate beside its hole: two M3, diagonal for an XLR of the usual square flange
/// (19 × 24 mm apart), level for a mains inlet (40 mm, as IEC 60320-1 draws the cut-out of a C14 with a flange) and for a
/// round DIN jack (22.2 mm). *Common practice, no source* but where one is named.
fn fixings(connector: &rig::Connector) -> Vec<Fixing> {
    /// M3 with room to shift.
    const SCREW: Length = Length::from_nm(3_200_000);
    let pair = |x_um: i64, y_um: i64| {
        let at = |sign: i64| Fixing {
            x: Length::from_nm(sign * x_um * 1000),
            y: Length::from_nm(sign * y_um * 1000),
            diameter: SCREW,
        };
        vec![at(-1), at(1)]
    };
    let is_round = connector.hole_height.is_unknown();
    match connector.family {
        // Small ones for cables, and what sits in a nut, have no flange.
        ConnectorFamily::Xlr if is_round => pair(9_500, -12_000),
        ConnectorFamily::Mains if !is_round && !connector.is_socket() => pair(20_000, 0),
        ConnectorFamily::Din if is_round => pair(11_100, 0),
        _ => Vec::new(),
    }
}

/// One hole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hole {
    /// Its number on the drawing, from 1, left to right as seen from the FRONT.
    pub number: usize,
    /// The port it is for.
    pub port: String,
    /// What is printed beside it.
    pub legend: String,
    /// What goes in.
    pub connector: String,
    /// From the datum to the right, seen from the FRONT.
    pub x: Known<Length>,
    /// From the datum up.
    pub y: Known<Length>,
    /// Its diameter; its width where it is a cut-out with a [`height`](Self::height).
    pub diameter: Known<Length>,
    /// Height of a rectangular cut-out; unknown for a round hole.
    pub height: Known<Length>,
    /// The holes for the screws that hold it, from its centre.
    pub fixings: Vec<Fixing>,
    /// Room it needs behind the plate.
    pub behind: Known<Length>,
    /// Whether it has a sleeve that meets the plate or not: a gland and a mains inlet have none.
    pub has_sleeve: bool,
    /// Whether its sleeve is insulated from the plate.
    pub insulated: Known<bool>,
    /// Material to the nearest edge.
    pub edge: Option<Length>,
    /// Material to the nearest other hole, and that hole's number.
    pub web: Option<(Length, usize)>,
}

impl Hole {
    /// A hole that is drilled, when its centre and diameter are known.
    pub fn as_round(&self) -> Option<RoundHole> {
        if self.height.value.is_some() {
            return None;
        }
        Some(RoundHole { x: self.x.value?, y: self.y.value?, diameter: self.diameter.value? })
    }

    /// A hole that is sawn, when its centre, width and height are known.
    pub fn as_cut_out(&self) -> Option<CutOut> {
        let (width, height) = (self.diameter.value?, self.height.value?);
        Some(CutOut { x: self.x.value?, y: self.y.value?, width, height })
    }

    /// Its shape, round or rectangular.
    fn shape(&self) -> Option<Shape> {
        let (x, y) = (self.x.value?, self.y.value?);
        let half = self.diameter.value?.half();
        Some(match self.height.value {
            Some(height) => Shape { x, y, half: (half, height.half()), radius: Length::ZERO },
            None => Shape { x, y, half: (Length::ZERO, Length::ZERO), radius: half },
        })
    }
}

/// A round hole, its centre from the datum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoundHole {
    /// To the right, seen from the FRONT.
    pub x: Length,
    /// Up.
    pub y: Length,
    /// What is drilled.
    pub diameter: Length,
}

/// A rectangular cut-out, its centre from the datum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutOut {
    /// To the right, seen from the FRONT.
    pub x: Length,
    /// Up.
    pub y: Length,
    /// Across.
    pub width: Length,
    /// Upright.
    pub height: Length,
}

/// A rectangle with a rim of so much around it: a point with a rim is a circle, one without is a cut-out.
#[derive(Clone, Copy)]
struct Shape {
    x: Length,
    y: Length,
    half: (Length, Length),
    radius: Length,
}

impl Shape {
    /// How far it reaches from its centre, across and up.
    fn reach(&self) -> (Length, Length) {
        (self.half.0 + self.radius, self.half.1 + self.radius)
    }

    /// Material between two; negative where circles overlap.
    fn apart(&self, other: &Self) -> Length {
        let gap = |a: Length, b: Length, halves: Length| ((a - b).abs() - halves).max(Length::ZERO).as_mm();
        let dx = gap(self.x, other.x, self.half.0 + other.half.0);
        let dy = gap(self.y, other.y, self.half.1 + other.half.1);
        Length::from_mm_rounded((dx * dx + dy * dy).sqrt()) - self.radius - other.radius
    }
}

/// One plate of a panel: a side that carries jacks.
///
/// FRONT is the side that plugs go in from, as somebody outside the board sees it. The datum is its lower left
/// corner, seen from the FRONT.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plate {
    /// The panel's tag.
    pub panel: String,
    /// Which side of it.
    pub face: Face,
    /// Width, along the wall.
    pub width: Known<Length>,
    /// Height.
    pub height: Known<Length>,
    /// Thickness.
    pub thickness: Known<Length>,
    /// The holes, left to right from the FRONT; those without a place last.
    pub holes: Vec<Hole>,
}

impl Plate {
    /// The widest stretch between holes, or a hole and an end, along the plate: from where to where, seen from the FRONT.
    /// Nothing where the plate's width is unknown.
    pub fn widest_gap(&self) -> Option<(Length, Length)> {
        let width = self.width.value?;
        let mut taken: Vec<(Length, Length)> = self
            .holes
            .iter()
            .filter_map(Hole::shape)
            .map(|shape| (shape.x - shape.reach().0, shape.x + shape.reach().0))
            .collect();
        taken.sort_unstable();
        let mut from = Length::ZERO;
        let mut gaps = Vec::new();
        for (low, high) in taken {
            gaps.push((from, low));
            from = from.max(high);
        }
        gaps.push((from, width));
        // The first of those that are as wide.
        gaps.into_iter().rev().max_by_key(|(from, to)| *to - *from).filter(|(from, to)| from < to)
    }

    /// How far a place so far to the right, seen from the FRONT, is from where offsets of ports count; `None` where that
    /// rests on a width that is unknown.
    pub fn offset(&self, x: Length) -> Option<Length> {
        match self.face {
            Face::Front | Face::Right => Some(x),
            Face::Back | Face::Left => self.width.value.map(|width| width - x),
        }
    }
}

/// Every plate of every panel.
pub fn plates(design: &Design) -> Vec<Plate> {
    let mut out = Vec::new();
    for panel in design.rig.devices.iter().filter(|device| device.role == Role::Panel) {
        for face in [Face::Back, Face::Right, Face::Left, Face::Front] {
            if panel.ports.iter().any(|port| port.face.value == Some(face)) {
                out.push(plate(panel, face));
            }
        }
    }
    out
}

fn plate(panel: &Device, face: Face) -> Plate {
    let size = |part: fn(&rig::Size) -> Length| Known {
        value: panel.size.value.as_ref().map(part),
        from: panel.size.from,
    };
    let (width, thickness) = if matches!(face, Face::Front | Face::Back) {
        (size(|size| size.width), size(|size| size.depth))
    } else {
        (size(|size| size.depth), size(|size| size.width))
    };
    let height = size(|size| size.height);
    let mut holes: Vec<Hole> = panel
        .ports
        .iter()
        .filter(|port| port.face.value == Some(face))
        .map(|port| {
            // Offsets count as the player sees them; from outside, back and left sides read the other way.
            let x = match face {
                Face::Front | Face::Right => port.offset,
                Face::Back | Face::Left => Known {
                    value: width.value.zip(port.offset.value).map(|(width, offset)| width - offset),
                    from: width.from.max(port.offset.from),
                },
            };
            Hole {
                number: 0,
                port: port.name.clone(),
                legend: port.printed(),
                connector: port
                    .connector
                    .as_ref()
                    .map(|connector| connector.title.clone())
                    .unwrap_or_default(),
                x,
                y: port.height,
                diameter: port.connector.as_ref().map(|connector| connector.hole).unwrap_or_default(),
                height: port.connector.as_ref().map(|connector| connector.hole_height).unwrap_or_default(),
                fixings: port.connector.as_ref().map(fixings).unwrap_or_default(),
                behind: port.behind,
                has_sleeve: port.connector.as_ref().is_none_or(|connector| {
                    !matches!(connector.family, ConnectorFamily::Fixed | ConnectorFamily::Mains)
                }),
                insulated: port.insulated,
                edge: None,
                web: None,
            }
        })
        .collect();
    holes.sort_by_key(|hole| (hole.x.value.is_none(), hole.x.value, hole.y.value));
    for (index, hole) in holes.iter_mut().enumerate() {
        hole.number = index + 1;
    }
    let shapes: Vec<_> = holes.iter().map(|hole| (hole.number, hole.shape())).collect();
    for hole in &mut holes {
        let Some(shape) = hole.shape() else { continue };
        let (x, y, reach) = (shape.x, shape.y, shape.reach());
        if let (Some(width), Some(height)) = (width.value, height.value) {
            hole.edge =
                [x - reach.0, width - x - reach.0, y - reach.1, height - y - reach.1].into_iter().min();
        }
        hole.web = shapes
            .iter()
            .filter(|(number, _)| *number != hole.number)
            .filter_map(|(number, other)| Some((shape.apart(&(*other)?), *number)))
            .min();
    }
    Plate { panel: panel.tag.clone(), face, width, height, thickness, holes }
}
