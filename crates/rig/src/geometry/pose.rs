//! How a plug sits in its port: the one pose that boxes, courses, search and drawing take.

use quantity::Length;

use super::{BoxClass, Owner, Solid, port_direction, port_point, standing};
use crate::{Device, Exit, Face, PlugAngle, PlugSpec, Port, Rig};

/// How far a plug that nobody has chosen, or measured, stands out beyond the nut: a short straight one.
/// *Common practice, no source.*
const OPEN_PLUG: Length = Length::from_mm(20);

/// An open axis-aligned extent in the board's frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Left, front, bottom.
    pub low: [Length; 3],
    /// Right, back, top.
    pub high: [Length; 3],
}

impl Bounds {
    pub(super) fn solid(self, class: BoxClass, owner: &Owner, assumed: bool) -> Solid {
        Solid { class, owner: owner.clone(), low: self.low, high: self.high, assumed }
    }
}

/// The way a cable leaves its plug, in the board's frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Heading {
    /// To one of the four sides.
    To(Face),
    /// Up.
    Up,
    /// Down.
    Down,
}

impl Heading {
    /// An exit as it lies once its device is turned.
    pub fn of(exit: Exit, quarters: u8) -> Self {
        match (exit, exit.face()) {
            (_, Some(side)) => Self::To(side.turned(quarters)),
            (Exit::Up, None) => Self::Up,
            (_, None) => Self::Down,
        }
    }

    /// The step of one along it: x, y, z.
    pub fn step(self) -> [i64; 3] {
        match self {
            Self::To(Face::Right) => [1, 0, 0],
            Self::To(Face::Left) => [-1, 0, 0],
            Self::To(Face::Back) => [0, 1, 0],
            Self::To(Face::Front) => [0, -1, 0],
            Self::Up => [0, 0, 1],
            Self::Down => [0, 0, -1],
        }
    }

    /// The side it points to, or `None` for up and down.
    pub fn face(self) -> Option<Face> {
        match self {
            Self::To(face) => Some(face),
            Self::Up | Self::Down => None,
        }
    }

    /// The word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::To(face) => face.word(),
            Self::Up => "up",
            Self::Down => "down",
        }
    }

    fn axis(self) -> usize {
        match self {
            Self::To(Face::Left | Face::Right) => 0,
            Self::To(Face::Front | Face::Back) => 1,
            Self::Up | Self::Down => 2,
        }
    }

    /// A point moved along it.
    pub(crate) fn along(self, point: [Length; 3], by: Length) -> [Length; 3] {
        let step = self.step();
        std::array::from_fn(|axis| point[axis] + by * step[axis])
    }
}

/// What keeps a pose from being whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lack {
    /// Nobody has chosen the plug.
    Plug,
    /// How far the plug stands out is unknown.
    Depth,
    /// How wide the plug is is unknown.
    Width,
    /// Nobody has chosen the side its cable leaves, or that side lies along the jack's own axis.
    Exit,
    /// How long or how wide the sleeve of an angled plug is is unknown.
    Tail,
}

/// A plug in a port of a placed device.
///
/// All of it is in the board's frame. Where a value is open or unknown, the boxes that rest on it are not
/// there and `lacks` names the first; points are then as good as can be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlugPose {
    /// The centre of the port on its wall.
    pub wall: [Length; 3],
    /// The side the jack looks to.
    pub looks: Face,
    /// How far nut and washer stand out before the plug begins.
    pub nut: Length,
    /// From the wall over nut and washer to the plug's outer end.
    pub reach: Length,
    /// The plug from the wall outward, nut and washer included.
    pub head: Option<Bounds>,
    /// The sleeve of an angled plug, from the jack's axis outward.
    pub sleeve: Option<Bounds>,
    /// The room the cable needs to bend.
    pub bend: Option<Bounds>,
    /// How long that room is; zero where the plug's own length holds it already.
    pub bend_room: Length,
    /// Where the cable's line meets the jack's axis: the outer end of a straight plug, the middle of the sleeve of an
    /// angled one.
    pub turn: [Length; 3],
    /// From there to the end of the sleeve; zero for a straight plug.
    pub tail: Length,
    /// Where the cable leaves the plug.
    pub leaves: [Length; 3],
    /// The way it leaves, or `None` while the exit of an angled plug is open.
    pub heading: Option<Heading>,
    /// The first thing that is lacking.
    pub lacks: Option<Lack>,
    /// Whether any number in it is assumed.
    pub assumed: bool,
}

/// What stands behind a panel's wall at one of its jacks: the jack's body and its tags.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TagPose {
    /// The centre of the port on its outer wall.
    pub wall: [Length; 3],
    /// The same on the inner side of the wall.
    pub inner: [Length; 3],
    /// The way from there to the tips of the tags.
    pub inward: Face,
    /// How far the jack stands inward, when it is known.
    pub depth: Option<Length>,
    /// Jack body and wiring, when depth and hole are known: about as wide as the hole and a nut's flats.
    pub behind: Option<Bounds>,
    /// Whether any number in it is assumed.
    pub assumed: bool,
}

impl PlugPose {
    /// Its boxes: head and sleeve, then the bend.
    pub fn boxes(&self, owner: &Owner) -> Vec<Solid> {
        let of =
            |class, bounds: Option<Bounds>| bounds.map(|bounds| bounds.solid(class, owner, self.assumed));
        let boxes =
            [of(BoxClass::Plug, self.head), of(BoxClass::Plug, self.sleeve), of(BoxClass::Bend, self.bend)];
        boxes.into_iter().flatten().collect()
    }
}

/// The pose of a plug in a port, or `None` when the place of the port is unknown.
pub fn plug_pose(rig: &Rig, device: &Device, port: &str, spec: &PlugSpec) -> Option<PlugPose> {
    let wall = port_point(rig, device, port)?;
    let looks = port_direction(device, port)?;
    let jack = device.port(port)?;
    let nut = jack.connector.as_ref().map(|connector| connector.nut).unwrap_or_default();
    let out = Heading::To(looks);
    let straight = |reach: Length| PlugPose {
        wall,
        looks,
        nut: nut.value.unwrap_or(Length::ZERO),
        reach,
        head: None,
        sleeve: None,
        bend: None,
        bend_room: Length::ZERO,
        turn: out.along(wall, reach),
        tail: Length::ZERO,
        leaves: out.along(wall, reach),
        heading: Some(out),
        lacks: None,
        assumed: true,
    };
    let nut_out = nut.value.unwrap_or(Length::ZERO);
    let Some(kind) = &spec.plug else {
        return Some(PlugPose { lacks: Some(Lack::Plug), ..straight(nut_out + OPEN_PLUG) });
    };
    // Nut and washer fill the first millimetres, then the plug begins.
    let reach = nut_out + kind.depth.value.unwrap_or(OPEN_PLUG);
    let bend_room = kind.bend.value.unwrap_or(Length::ZERO).max(Length::ZERO);
    let width = kind.width.value;
    let known = kind.depth.value.and(width);
    let lacks = match (kind.depth.value, width) {
        (None, _) => Some(Lack::Depth),
        (_, None) => Some(Lack::Width),
        _ => None,
    };
    let mut pose = PlugPose {
        head: known.map(|width| beside(wall, looks, Length::ZERO, reach, width)),
        bend_room,
        lacks,
        assumed: lacks.is_some()
            || rests_on_assumed(device, jack)
            || [nut, kind.depth, kind.width, kind.bend].iter().any(crate::Known::is_assumed),
        ..straight(reach)
    };
    match kind.angle {
        PlugAngle::Straight => {
            let room = |width: Length| beside(wall, looks, reach, reach + bend_room, width);
            pose.bend = known.filter(|_| Length::ZERO < bend_room).map(room);
        }
        PlugAngle::Angled => {
            pose.assumed |= kind.tail.is_assumed() || kind.tail_width.is_assumed();
            let sleeve_width = kind.tail_width.value.unwrap_or(Length::ZERO);
            // The sleeve lies in the outer part of the plug, where the cable leaves it.
            let inner = (reach - sleeve_width).max(Length::ZERO);
            pose.turn = out.along(wall, (inner + reach).half());
            pose.leaves = pose.turn;
            pose.tail = kind.tail.value.unwrap_or(Length::ZERO);
            let quarters = device.place.as_ref().map_or(0, |place| place.quarters);
            // A cable cannot leave an angled plug along the jack's own axis: such an exit is as good as open.
            let exit = spec.exit.filter(|exit| exits(device, port).any(|may| may == *exit));
            let Some(exit) = exit else {
                pose.heading = None;
                pose.lacks = pose.lacks.or(Some(Lack::Exit));
                return Some(pose);
            };
            let heading = Heading::of(exit, quarters);
            pose.heading = Some(heading);
            pose.leaves = heading.along(pose.turn, pose.tail);
            if known.is_some() {
                match (kind.tail.value, kind.tail_width.value) {
                    (Some(tail), Some(width)) => {
                        let piece =
                            |from, to| sleeve(wall, looks, heading, (inner, reach), (from, to), width);
                        pose.sleeve = Some(piece(Length::ZERO, tail));
                        pose.bend = (Length::ZERO < bend_room).then(|| piece(tail, tail + bend_room));
                    }
                    _ => pose.lacks = Some(Lack::Tail),
                }
            }
        }
    }
    Some(pose)
}

/// The exits that an angled plug in a port may have: all that do not lie along the jack's axis.
pub fn exits(device: &Device, port: &str) -> impl Iterator<Item = Exit> + use<> {
    let looks = device.port(port).and_then(|port| port.face.value);
    let axis = |face: Face| Heading::To(face).axis();
    [Exit::Toe, Exit::Heel, Exit::Left, Exit::Right, Exit::Up, Exit::Down].into_iter().filter(move |exit| {
        match (exit.face(), looks) {
            (Some(side), Some(looks)) => axis(side) != axis(looks),
            _ => true,
        }
    })
}

/// What stands behind the wall at a jack, or `None` when the place of the port is unknown.
pub fn tag_pose(rig: &Rig, device: &Device, port: &str) -> Option<TagPose> {
    let wall = port_point(rig, device, port)?;
    let looks = port_direction(device, port)?;
    let at = standing(rig, device)?;
    let jack = device.port(port)?;
    let inward = looks.turned(2);
    // How thick a panel's wall is, measured along the face's axis.
    let thick = match looks {
        Face::Left | Face::Right => at.at.width,
        Face::Front | Face::Back => at.at.depth,
    };
    let inner = Heading::To(inward).along(wall, thick);
    let hole = jack.connector.as_ref().map(|connector| connector.hole).unwrap_or_default();
    let behind = jack
        .behind
        .value
        .zip(hole.value)
        .map(|(behind, hole)| beside(inner, inward, Length::ZERO, behind, hole + Length::from_mm(6)));
    Some(TagPose {
        wall,
        inner,
        inward,
        depth: jack.behind.value,
        behind,
        assumed: behind.is_none()
            || jack.behind.is_assumed()
            || hole.is_assumed()
            || rests_on_assumed(device, jack),
    })
}

/// Whether the place of a port on the board rests on an assumed number.
fn rests_on_assumed(device: &Device, port: &Port) -> bool {
    device.size.is_assumed()
        || port.face.is_assumed()
        || port.offset.is_assumed()
        || port.height.is_assumed()
        || (device.place.as_ref().is_some_and(|place| place.under) && device.bracket.is_assumed())
}

/// A box out of a wall: from `near` to `far` beyond it, `width` across and high, centred on the point.
pub(super) fn beside(point: [Length; 3], face: Face, near: Length, far: Length, width: Length) -> Bounds {
    let mut bounds = Bounds {
        low: point.map(|centre| centre - width.half()),
        high: point.map(|centre| centre + width.half()),
    };
    span(&mut bounds, point, Heading::To(face), near, far);
    bounds
}

/// A piece of the sleeve of an angled plug, or of the cable's bend after it: `across` is where it lies along the
/// jack's axis, `piece` where along the exit.
fn sleeve(
    wall: [Length; 3],
    looks: Face,
    heading: Heading,
    across: (Length, Length),
    piece: (Length, Length),
    width: Length,
) -> Bounds {
    let mut bounds = Bounds {
        low: wall.map(|centre| centre - width.half()),
        high: wall.map(|centre| centre + width.half()),
    };
    span(&mut bounds, wall, Heading::To(looks), across.0, across.1);
    span(&mut bounds, wall, heading, piece.0, piece.1);
    bounds
}

/// Sets the extent along one axis: from `near` to `far` out of `point`.
fn span(bounds: &mut Bounds, point: [Length; 3], heading: Heading, near: Length, far: Length) {
    let axis = heading.axis();
    let (a, b) = (heading.along(point, near)[axis], heading.along(point, far)[axis]);
    bounds.low[axis] = a.min(b);
    bounds.high[axis] = a.max(b);
}
