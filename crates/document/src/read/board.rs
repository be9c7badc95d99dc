//! The board.

use quantity::Length;
use rig::{Board, Case, Deck, Hinge, Lid, Passage, Rail, Rect, Riser};

use super::node::Node;

pub(super) fn board(tree: &Node) -> Board {
    tree.get("board").map(board_of).unwrap_or_default()
}

/// A board from its table, in a document or in the catalogue.
pub(crate) fn board_of(node: &Node) -> Board {
    Board {
        kind: node.text("kind"),
        title: node.text("title").unwrap_or_default(),
        direction: node.word("direction").unwrap_or_default(),
        decks: node.named("deck").iter().map(|(name, node)| deck(name, node)).collect(),
        feet: node.items("feet").iter().map(|foot| (length(foot, "x"), length(foot, "y"))).collect(),
        mass: node.known("mass"),
        lid: node.get("lid").map(|lid| Lid { inside_height: lid.known("inside_height") }),
        case: node.get("case").map(|case| Case {
            title: case.text("title").unwrap_or_default(),
            mass: case.known("mass"),
            inside_width: case.known("inside_width"),
            inside_depth: case.known("inside_depth"),
            outside_width: case.known("outside_width"),
            outside_depth: case.known("outside_depth"),
            outside_height: case.known("outside_height"),
        }),
    }
}

fn deck(name: &str, node: &Node) -> Deck {
    let shape = match node.get("size") {
        Some(size) => vec![rect(size)],
        None => node.items("shape").iter().map(rect).collect(),
    };
    Deck {
        name: name.to_owned(),
        x: length(node, "x"),
        y: length(node, "y"),
        z: length(node, "level"),
        shape,
        thickness: length(node, "thickness"),
        clear_below: node.known("clear_below"),
        rails: node
            .named("rail")
            .iter()
            .map(|(name, node)| Rail { name: name.clone(), at: rect(node), drop: length(node, "drop") })
            .collect(),
        risers: node
            .named("riser")
            .iter()
            .map(|(name, node)| Riser { name: name.clone(), at: rect(node), height: length(node, "height") })
            .collect(),
        passages: node
            .named("passage")
            .iter()
            .map(|(name, node)| Passage {
                name: name.clone(),
                at: rect(node),
                grommet: node.known_switch("grommet"),
            })
            .collect(),
        hinge: node.get("hinge").and_then(|hinge| {
            Some(Hinge { edge: hinge.word("edge")?, swing_degrees: hinge.count("swing").unwrap_or(90) })
        }),
    }
}

fn length(node: &Node, key: &str) -> Length {
    node.plain(key).unwrap_or(Length::ZERO)
}

fn rect(node: &Node) -> Rect {
    Rect {
        x: length(node, "x"),
        y: length(node, "y"),
        width: length(node, "width"),
        depth: length(node, "depth"),
    }
}
