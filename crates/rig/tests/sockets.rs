//! Which sockets of a strip have room, against a count by hand and against another way of reckoning.

use proptest::prelude::*;
use quantity::Length;
use rig::geometry::{Cover, SocketState, sockets, sockets_for, solids};
use rig::{
    Adaptor, Board, Connector, ConnectorFamily, Deck, Device, Face, Feed, FeedKind, Known, Lie, Limits,
    Place, PlugAngle, PlugKind, PlugSpec, Port, PortRef, PortRole, Provenance, Rect, Rig, Role, Size,
};

fn mm(value: i64) -> Length {
    Length::from_mm(value)
}

fn know<T>(value: T) -> Known<T> {
    Known::new(value, Provenance::Measured)
}

fn household(width: i64, depth: i64) -> PlugKind {
    PlugKind {
        contacts: None,
        id: "plug-f".into(),
        title: "plug".into(),
        angle: PlugAngle::Straight,
        fits: vec!["socket-f".into()],
        loose_in: Vec::new(),
        unearthed_in: Vec::new(),
        depth: know(mm(depth)),
        width: know(mm(width)),
        tail: Known::default(),
        tail_width: Known::default(),
        bend: know(mm(30)),
        allowance: Known::default(),
        strip: Known::default(),
        strip_core: Known::default(),
        capacitance: Known::default(),
    }
}

/// Everything of a strip that decides about room, in millimetres.
#[derive(Debug, Clone)]
struct Case {
    face: Face,
    pitch: i64,
    count: i64,
    plug: (i64, i64),
    /// Socket, size, lie, and where the prongs are.
    adaptors: Vec<(i64, [i64; 3], Lie, [i64; 2])>,
    /// Another body on the deck: corner and size.
    block: ([i64; 2], [i64; 3]),
}

const AT: [i64; 2] = [400, 400];
const FIRST: i64 = 30;
const HEIGHT: i64 = 40;
const DEEP: i64 = 60;

fn along(case: &Case) -> i64 {
    FIRST * 2 + case.pitch * (case.count - 1)
}

fn rig_of(case: &Case) -> Rig {
    let connector = Connector {
        id: "socket-f".into(),
        title: "socket".into(),
        family: ConnectorFamily::Mains,
        contacts: 3,
        nut: know(Length::ZERO),
        hole: Known::default(),
        hole_height: Known::default(),
        room: Known::default(),
        usual: Some(Box::new(household(case.plug.0, case.plug.1))),
        made_for: None,
    };
    let ports = (0..case.count).map(|at| Port {
        name: format!("S{}", at + 1),
        role: know(PortRole::Mains),
        connector: Some(connector.clone()),
        face: know(case.face),
        offset: know(mm(FIRST + case.pitch * at)),
        height: know(mm(HEIGHT)),
        ..Port::default()
    });
    let place = |x: i64, y: i64| {
        Some(Place { deck: "main".into(), x: mm(x), y: mm(y), quarters: 0, under: false, locked: false })
    };
    let (width, depth) = match case.face {
        Face::Front | Face::Back => (along(case), DEEP),
        Face::Left | Face::Right => (DEEP, along(case)),
    };
    let strip = Device {
        tag: "STRIP".into(),
        role: Role::Strip,
        size: know(Size { width: mm(width), depth: mm(depth), height: mm(80) }),
        ports: ports.collect(),
        place: place(AT[0], AT[1]),
        ..Device::default()
    };
    let ([x, y], [width, depth, height]) = case.block;
    let block = Device {
        tag: "BLOCK".into(),
        role: Role::Other,
        size: know(Size { width: mm(width), depth: mm(depth), height: mm(height) }),
        place: place(x, y),
        ..Device::default()
    };
    let mut devices = vec![strip, block];
    for (number, (socket, [width, depth, height], lies, [left, up])) in case.adaptors.iter().enumerate() {
        let own = Adaptor {
            size: know(Size { width: mm(*width), depth: mm(*depth), height: mm(*height) }),
            lies: know(*lies),
            prongs_left: know(mm(*left)),
            prongs_up: know(mm(*up)),
            ..Adaptor::default()
        };
        devices.push(Device {
            tag: format!("A{number}"),
            outside: true,
            feed: Some(Feed {
                kind: FeedKind::Adaptor,
                outlets: vec![PortRef::new("STRIP", format!("S{}", socket + 1))],
                crossing: false,
                barrel_adaptor: None,
                locked: false,
                clamped: true,
                adaptor: Some(own),
                device_plug: PlugSpec::default(),
                outlet_plug: PlugSpec::default(),
            }),
            ..Device::default()
        });
    }
    Rig {
        board: Board {
            decks: vec![Deck {
                name: "main".into(),
                shape: vec![Rect { x: mm(0), y: mm(0), width: mm(1200), depth: mm(1200) }],
                ..Deck::default()
            }],
            ..Board::default()
        },
        devices,
        ..Rig::default()
    }
}

/// A box as two corners in millimetres.
type Corners = [[i64; 3]; 2];

/// The box that stands before the wall: from `u` (to the right of who stands before it) and `v` (up), both from the
/// socket, and `out` of the wall.
fn before_wall(case: &Case, socket: i64, u: [i64; 2], v: [i64; 2], out: i64) -> Corners {
    let offset = FIRST + case.pitch * socket;
    let z = [HEIGHT + v[0], HEIGHT + v[1]];
    let (x, y) = match case.face {
        Face::Front => ([AT[0] + offset + u[0], AT[0] + offset + u[1]], [AT[1] - out, AT[1]]),
        Face::Back => ([AT[0] + offset - u[1], AT[0] + offset - u[0]], [AT[1] + DEEP, AT[1] + DEEP + out]),
        Face::Right => ([AT[0] + DEEP, AT[0] + DEEP + out], [AT[1] + offset + u[0], AT[1] + offset + u[1]]),
        Face::Left => ([AT[0] - out, AT[0]], [AT[1] + offset - u[1], AT[1] + offset - u[0]]),
    };
    [[x[0], y[0], z[0]], [x[1], y[1], z[1]]]
}

/// An adaptor by its four corners turned about the prongs, one quarter clockwise at a time.
fn body(case: &Case, (socket, size, lies, prongs): &(i64, [i64; 3], Lie, [i64; 2])) -> Corners {
    let [width, depth, height] = *size;
    let mut corners = [[0, 0], [width, height]].map(|[x, y]| [x - prongs[0], y - prongs[1]]);
    let quarters = match lies {
        Lie::Upright => 0,
        Lie::OnItsSide => 1,
        Lie::UpsideDown => 2,
    };
    for _ in 0..quarters {
        corners = corners.map(|[u, v]| [v, -u]);
    }
    let span = |axis: usize| {
        let (a, b) = (corners[0][axis], corners[1][axis]);
        [a.min(b), a.max(b)]
    };
    before_wall(case, *socket, span(0), span(1), depth)
}

/// How far two boxes are apart; below zero they overlap.
fn apart(a: &Corners, b: &Corners) -> i64 {
    (0..3).map(|axis| (a[0][axis] - b[1][axis]).max(b[0][axis] - a[1][axis])).max().unwrap_or(0)
}

fn lies() -> impl Strategy<Value = Lie> {
    prop_oneof![Just(Lie::Upright), Just(Lie::OnItsSide), Just(Lie::UpsideDown)]
}

fn cases() -> impl Strategy<Value = Case> {
    let face = prop_oneof![Just(Face::Front), Just(Face::Back), Just(Face::Left), Just(Face::Right)];
    let adaptor = (0i64..6, [30i64..90, 30i64..70, 30i64..120], lies(), [0i64..90, 0i64..120]);
    let block = ([250i64..750, 250i64..750], [20i64..150, 20i64..150, 10i64..120]);
    (face, 25i64..70, 2i64..7, (24i64..56, 20i64..60), proptest::collection::vec(adaptor, 0..4), block)
        .prop_map(|(face, pitch, count, plug, adaptors, block)| {
            let mut taken = Vec::new();
            let adaptors = adaptors
                .into_iter()
                .map(|(socket, size, lies, prongs)| {
                    (socket % count, size, lies, [prongs[0].min(size[0]), prongs[1].min(size[2])])
                })
                .filter(|(socket, ..)| {
                    let is_new = !taken.contains(socket);
                    taken.push(*socket);
                    is_new
                })
                .collect();
            Case { face, pitch, count, plug, adaptors, block }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Free is what nothing sits in and whose plug would reach into nothing: no other adaptor of the strip, and no body
    /// nearer than a plug wants.
    #[test]
    fn a_socket_is_free_when_its_plug_overlaps_nothing(case in cases()) {
        let rig = rig_of(&case);
        let limits = Limits::default();
        let boxes = solids(&rig, &limits).boxes;
        let found = sockets(&rig, &limits, &boxes);
        prop_assert_eq!(i64::try_from(found.len()), Ok(case.count));
        let air = limits.plug_clearance.nm() / 1_000_000;
        let ([x, y], [w, d, h]) = case.block;
        let block = [[x, y, 0], [x + w, y + d, h]];
        // The sheet of the deck lies below zero.
        let sheet = [[0, 0, -100_000], [1200, 1200, 0]];
        for (at, socket) in (0..).zip(&found) {
            let used = case.adaptors.iter().any(|own| own.0 == at);
            // Doubled, so that half a millimetre is a whole number.
            let double = |c: Corners| c.map(|corner| corner.map(|n| n * 2));
            let (wide, out) = case.plug;
            let centre = before_wall(&case, at, [0, 0], [0, 0], out);
            let mut probe = double(centre);
            let across = match case.face { Face::Front | Face::Back => 0, _ => 1 };
            for axis in [across, 2] {
                probe[0][axis] -= wide;
                probe[1][axis] += wide;
            }
            let meets_adaptor = case.adaptors.iter().any(|own| apart(&probe, &double(body(&case, own))) < 0);
            let near_block = apart(&probe, &double(block)) < air * 2;
            let in_sheet = apart(&probe, &double(sheet)) < 0;
            let free = !used && !meets_adaptor && !near_block && !in_sheet;
            prop_assert_eq!(socket.is_free(), free, "{:?} {:?}", socket, case);
            prop_assert_eq!(matches!(socket.state, SocketState::Used(_)), used);
        }
    }

    /// A socket that is offered to an adaptor is one where it then reaches into nothing.
    #[test]
    fn an_adaptor_has_room_where_it_is_sent(case in cases()) {
        let rig = rig_of(&case);
        let limits = Limits::default();
        let boxes = solids(&rig, &limits).boxes;
        for (index, own) in case.adaptors.iter().enumerate() {
            for to in sockets_for(&rig, &limits, &boxes, &format!("A{index}")) {
                let socket: i64 = to.port[1..].parse::<i64>().map_or(-1, |number| number - 1);
                let moved = (socket, own.1, own.2, own.3);
                for (other, beside) in case.adaptors.iter().enumerate().filter(|(other, _)| *other != index) {
                    prop_assert!(beside.0 != socket, "A{other} sits there");
                    prop_assert!(0 <= apart(&body(&case, &moved), &body(&case, beside)));
                }
            }
        }
    }
}

fn plain(adaptors: Vec<(i64, [i64; 3], Lie, [i64; 2])>) -> Case {
    Case {
        face: Face::Front,
        pitch: 40,
        count: 5,
        plug: (38, 45),
        adaptors,
        block: ([900, 900], [20, 20, 20]),
    }
}

fn states(case: &Case) -> Vec<&'static str> {
    let rig = rig_of(case);
    let limits = Limits::default();
    let found = sockets(&rig, &limits, &solids(&rig, &limits).boxes);
    found.iter().map(|socket| socket.state.word()).collect()
}

#[test]
fn an_adaptor_covers_what_it_lies_over() {
    assert_eq!(states(&plain(vec![])), ["free"; 5]);
    // 64 mm wide with its prongs 10 mm from its left edge: 54 mm to the right of S2, over S3, 10 mm to the left.
    let right = (1, [64, 50, 60], Lie::Upright, [10, 30]);
    assert_eq!(states(&plain(vec![right])), ["free", "used", "covered", "free", "free"]);
    // Upside down it lies over S1.
    let left = (1, [64, 50, 60], Lie::UpsideDown, [10, 30]);
    assert_eq!(states(&plain(vec![left])), ["covered", "used", "free", "free", "free"]);
    // On its side, 60 mm across with the prongs in the middle: 30 mm each way, over both neighbours' 19 mm.
    let side = (1, [64, 50, 60], Lie::OnItsSide, [10, 30]);
    assert_eq!(states(&plain(vec![side])), ["covered", "used", "covered", "free", "free"]);
}

#[test]
fn a_covered_socket_says_by_what_and_how_far_the_next_is() {
    let case = plain(vec![(1, [64, 50, 60], Lie::UpsideDown, [10, 30])]);
    let rig = rig_of(&case);
    let limits = Limits::default();
    let found = sockets(&rig, &limits, &solids(&rig, &limits).boxes);
    let by = Cover::Adaptor { of: "A0".into(), from: PortRef::new("STRIP", "S2") };
    assert_eq!(by.to_string(), "the adaptor of A0 in STRIP.S2");
    assert_eq!(found[0].state, SocketState::Covered(vec![by]));
    assert_eq!(found[0].pitch, Some(mm(40)));
    assert_eq!(found[4].pitch, None);
    assert!(!found[0].assumed && !found[1].assumed);
}
