//! The letters of household plugs against what published lists and the standards' own descriptions say of them.
//!
//! Source of the facts: the table "plug letters" and the remarks below it that came with the comparison of four public
//! lists of mains by country (November 2026): *Plugs and Sockets by Country Type*, *World Standards, type N*, the sheet of
//! SB 107-2-D1. What was only remembered there is marked so here.

use document::Catalogue;
use power::mains::{countries, country};
use rig::PlugKind;

/// Letter, whether it has protective earth.
const EARTH: [(char, bool); 15] = [
    ('A', false),
    ('B', true),
    ('C', false),
    ('D', true),
    ('E', true),
    ('F', true),
    ('G', true),
    ('H', true),
    ('I', true),
    ('J', true),
    ('K', true),
    ('L', true),
    ('M', true),
    ('N', true),
    ('O', true),
];

/// What plug goes into what socket besides its own, and whether it then has earth. All but C into N and the hybrid are
/// remembered.
const ALSO: [(&str, &str, bool); 14] = [
    ("plug-a", "socket-b", false),
    ("plug-c", "socket-e", false),
    ("plug-c", "socket-f", false),
    ("plug-c", "socket-h", false),
    ("plug-c", "socket-j", false),
    ("plug-c", "socket-k", false),
    ("plug-c", "socket-l", false),
    ("plug-c", "socket-n", false),
    ("plug-c", "socket-o", false),
    ("plug-e", "socket-k", false),
    ("plug-ef", "socket-e", true),
    ("plug-ef", "socket-f", true),
    ("plug-ef", "socket-k", false),
    ("plug-f", "socket-k", false),
];

fn household() -> Vec<PlugKind> {
    let plugs = Catalogue::standard().plugs();
    plugs.into_iter().filter(|plug| plug.id.starts_with("plug-")).collect()
}

#[test]
fn plugs_go_where_the_facts_say_and_nowhere_else() {
    let plugs = household();
    assert_eq!(plugs.len(), EARTH.len() + 1, "fifteen letters and the hybrid");
    let mut found: Vec<(String, String, bool)> = Vec::new();
    for plug in &plugs {
        for socket in &plug.fits {
            found.push((plug.id.clone(), socket.clone(), !plug.unearthed_in.contains(socket)));
        }
    }
    let own = EARTH.iter().map(|(letter, earth)| {
        let letter = letter.to_ascii_lowercase();
        (format!("plug-{letter}"), format!("socket-{letter}"), *earth)
    });
    let also = ALSO.iter().map(|(plug, socket, earth)| ((*plug).to_owned(), (*socket).to_owned(), *earth));
    let mut wanted: Vec<(String, String, bool)> = own.chain(also).collect();
    wanted.sort();
    found.sort();
    assert_eq!(found, wanted);
}

#[test]
fn a_countrys_own_plug_goes_into_one_of_its_sockets() {
    let plugs = household();
    for there in countries() {
        let sockets = there.sockets();
        for letter in there.plugs.chars() {
            let id = format!("plug-{}", letter.to_ascii_lowercase());
            let plug = plugs.iter().find(|plug| plug.id == id).expect("every letter has a plug");
            assert!(plug.fits.iter().any(|socket| sockets.contains(socket)), "{} {letter}", there.code);
        }
    }
}

/// Nominal mains by standards of the places themselves: AS 60038 of 2000 (Australia), the harmonised 230 V of the European
/// Union and the United Kingdom since 1995, SPLN 1 (Indonesia), NBR 14136 (Brazil, plugs), and 100 V with both frequencies
/// in Japan.
#[test]
fn the_table_agrees_with_what_standards_say() {
    let of = |code: &str| country(code).expect("it is in the table");
    for code in ["AU", "DE", "FR", "IT", "ES", "GB", "IE", "CY", "MT", "SE", "PL", "NL", "ID"] {
        assert_eq!((of(code).volts.as_slice(), of(code).hertz.as_slice()), (&[230][..], &[50][..]), "{code}");
    }
    assert_eq!((of("JP").volts.as_slice(), of("JP").hertz.as_slice()), (&[100][..], &[50, 60][..]));
    assert!(of("BR").plugs.contains('N') && of("BR").must_ask());
    let class = |high: bool| {
        countries().iter().filter(|row| row.volts.iter().all(|volts| (200 <= *volts) == high)).count()
    };
    // 34 of 100 to 127 V, 192 of 220 to 240 V, 14 of both.
    assert_eq!((class(false), class(true)), (34, 192));
}
