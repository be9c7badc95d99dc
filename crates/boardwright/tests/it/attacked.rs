//! The workbench under load: killed while two clients edit and another program saves, and asked what nobody should ask.

use std::collections::BTreeSet;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::sync::mpsc;
use std::time::Duration;

use store::{EntryKind, Store};

use crate::bench::{Running, ask, revision, start};
use crate::soak::{Draw, number};

fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir_all(folder.path().join("job")).expect("a job");
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/church-bass/rig.toml");
    std::fs::copy(example, folder.path().join("job/rig.toml")).expect("copied");
    folder
}

/// Edits again and again until nobody answers or listens; how many edits were acknowledged. Each is told.
fn client(host: &str, told: &mpsc::Sender<()>, mut act: impl FnMut() -> String) -> u64 {
    let mut acknowledged = 0;
    let mut base = None;
    loop {
        let Some(at) = base else {
            match ask(host, "GET", "/job/job/deck", "") {
                Some((200, page)) => base = Some(revision(&page)),
                // Another program is saving: the document is not whole in this instant.
                Some((status, _)) if status < 500 => {}
                Some((status, said)) => panic!("{status}: {said}"),
                None => return acknowledged,
            }
            continue;
        };
        let body = format!("{}&base={at}&here=/job/job/deck", act());
        match ask(host, "POST", "/job/job/edit", &body) {
            Some((200, answer)) => {
                acknowledged += 1;
                base = Some(revision(&answer));
                // The other end goes when the round is over.
                if told.send(()).is_err() {
                    return acknowledged;
                }
            }
            Some((status, _)) if status < 500 => base = None,
            Some((status, said)) => panic!("{status}: {said}"),
            None => return acknowledged,
        }
    }
}

/// Every text that the history of the shop's one job has gone through, and the one on disk.
fn texts(shop: &Path) -> Vec<String> {
    let journal = rusqlite::Connection::open(shop.join(".boardwright/journal.sqlite")).expect("the journal");
    let mut query =
        journal.prepare("SELECT before FROM entry UNION SELECT after FROM entry").expect("a query");
    let rows = query.query_map([], |row| row.get::<_, Option<String>>(0)).expect("rows");
    let mut all: Vec<String> = rows.filter_map(|text| text.expect("text")).collect();
    all.push(std::fs::read_to_string(shop.join("job/rig.toml")).expect("the document"));
    all
}

/// `BOARDWRIGHT_KILLS` sets how often; the soak asks for a thousand.
#[test]
fn killed_while_two_clients_edit_and_another_program_saves_nothing_is_lost() {
    let kills = number("BOARDWRIGHT_KILLS", 8);
    let mut draw = Draw::new(number("BOARDWRIGHT_SEED", 20_261_201));
    let folder = shop();
    let path = folder.path().join("job/rig.toml");
    let (mut edits, mut saves) = (0_u64, 0_u64);
    for round in 0..kills {
        let mut bench = start(&[&folder.path().display().to_string()], None);
        // The first look takes longest; the moment is to come while they edit.
        assert_eq!(ask(&bench.host, "GET", "/job/job/deck", "").expect("answers").0, 200);
        let (told, heard) = mpsc::channel::<()>();
        let (finished, end) = mpsc::channel::<()>();
        let clients: Vec<_> = ["B4", "B3"]
            .into_iter()
            .map(|tag| {
                let (host, told) = (bench.host.clone(), told.clone());
                std::thread::spawn(move || client(&host, &told, || format!("act=move&tag={tag}&dx=1&dy=0")))
            })
            .collect();
        drop(told);
        // An editor reads the file, thinks while an edit or two are made, and saves what it has in one go.
        let from = saves;
        let (own, each) = (path.clone(), 2 + draw.below(3));
        // It is killed when so many edits were acknowledged, while the next are under way.
        let enough = 4 + draw.below(9);
        let editor = std::thread::spawn(move || {
            let (mut saved, mut acknowledged) = (from, 0);
            'open: loop {
                let Ok(text) = std::fs::read_to_string(&own) else { continue };
                for _ in 0..each {
                    if heard.recv().is_err() {
                        break 'open;
                    }
                    acknowledged += 1;
                    if acknowledged == enough {
                        // Whoever kills may have gone on already.
                        let _ = finished.send(());
                    }
                }
                saved += 1;
                let spare = own.with_extension("toml.editor");
                std::fs::write(&spare, format!("{text}# saved {saved}\n")).expect("written");
                std::fs::rename(&spare, &own).expect("saved");
            }
            saved
        });
        end.recv_timeout(Duration::from_mins(1)).expect("edits are made");
        bench.child.kill().expect("killed");
        bench.child.wait().expect("gone");
        let made: u64 = clients.into_iter().map(|client| client.join().expect("edits")).sum();
        saves = editor.join().expect("saves");
        edits += made;
        // A new start takes in what was saved last.
        let store = Store::open(folder.path()).expect("opens");
        store.state("job").expect("the document is told");
        let history = store.history("job").expect("a history");
        let kept = history.iter().filter(|entry| entry.kind == EntryKind::Edit).count();
        let kept = u64::try_from(kept).expect("small");
        assert!(edits <= kept, "round {round}: {edits} acknowledged, {kept} in the journal");
        // What was under way when it was killed may have been made.
        assert!(
            kept <= edits + 2 * (round + 1),
            "round {round}: {edits} acknowledged, {kept} in the journal"
        );
        document::read(&folder.path().join("job"), None).expect("the document can be read");
    }
    let all = texts(folder.path());
    let lost: Vec<u64> =
        (1..=saves).filter(|n| !all.iter().any(|text| text.contains(&format!("# saved {n}\n")))).collect();
    assert_eq!(lost, Vec::<u64>::new(), "saves that are nowhere");
    assert!(kills < edits && kills / 2 < saves, "{edits} edits, {saves} saves");
    println!("soak: {kills} kills, {edits} acknowledged edits, {saves} saves by another program, none lost");
}

/// An edit by lot of one of two people, each at a device of their own.
fn edit(draw: &mut Draw, tag: &str) -> String {
    match draw.below(4) {
        0 => format!("act=set&field=device/{tag}/mass&value={}", 200 + draw.below(900)),
        1 => format!("act=set&field=job/player&value={tag}+{}", draw.below(1000)),
        _ => {
            let [dx, dy] = [draw.below(5), draw.below(5)].map(|at| ["-2", "-1", "0", "1", "2"][at]);
            format!("act=move&tag={tag}&dx={dx}&dy={dy}")
        }
    }
}

/// A line that the editor leaves in what it saves; the one of its save before goes.
const SAVED: &str = "# saved ";

/// Saves in the editor's way, again and again, each after some edits of others; how often it did.
fn save_between(path: &Path, heard: &mpsc::Receiver<()>, mut draw: Draw) -> u64 {
    let mut saved = 0;
    loop {
        let Ok(text) = std::fs::read_to_string(path) else { continue };
        for _ in 0..=draw.below(4) {
            if heard.recv().is_err() {
                return saved;
            }
        }
        saved += 1;
        let own: String = text
            .lines()
            .filter(|line| !line.starts_with(SAVED))
            .fold(String::new(), |all, line| all + line + "\n");
        let spare = path.with_extension("toml.editor");
        std::fs::write(&spare, format!("{own}{SAVED}{saved}\n")).expect("written");
        std::fs::rename(&spare, path).expect("saved");
    }
}

/// `BOARDWRIGHT_EDITS` sets how many; the soak asks for as many as an hour has.
#[cfg(target_os = "linux")]
#[test]
fn two_clients_and_an_editor_lose_nothing_and_memory_stays() {
    let wanted = number("BOARDWRIGHT_EDITS", 60);
    let seed = number("BOARDWRIGHT_SEED", 20_261_201);
    let folder = shop();
    let path = folder.path().join("job/rig.toml");
    let bench = start(&[&folder.path().display().to_string()], None);
    assert_eq!(ask(&bench.host, "GET", "/job/job/deck", "").expect("answers").0, 200);
    let (told, acknowledged) = mpsc::channel::<()>();
    let (pass, heard) = mpsc::channel::<()>();
    let clients: Vec<_> = [("B4", 1), ("B3", 2)]
        .into_iter()
        .map(|(tag, lot)| {
            let (host, told, mut draw) = (bench.host.clone(), told.clone(), Draw::new(seed + lot));
            std::thread::spawn(move || client(&host, &told, || edit(&mut draw, tag)))
        })
        .collect();
    drop(told);
    let editor = std::thread::spawn(move || save_between(&path, &heard, Draw::new(seed)));
    let mut memory = Vec::new();
    for made in 1..=wanted {
        acknowledged.recv_timeout(Duration::from_mins(1)).expect("edits are made");
        pass.send(()).expect("the editor listens");
        if made % (wanted / 6).max(1) == 0 {
            memory.push(held(&bench));
        }
    }
    // Nobody listens any more: both leave, and the editor after them.
    drop((acknowledged, pass));
    let edits: u64 = clients.into_iter().map(|client| client.join().expect("edits")).sum();
    let saves = editor.join().expect("saves");
    // A new start takes in what was saved last.
    drop(bench);
    let store = Store::open(folder.path()).expect("opens");
    store.state("job").expect("the document is told");
    let history = store.history("job").expect("a history");
    let kept = history.iter().filter(|entry| entry.kind == EntryKind::Edit).count();
    let kept = u64::try_from(kept).expect("small");
    assert!(edits <= kept, "{edits} acknowledged, {kept} in the journal");
    let there: BTreeSet<u64> = texts(folder.path())
        .iter()
        .filter_map(|text| text.lines().find_map(|line| line.strip_prefix(SAVED)?.parse().ok()))
        .collect();
    let lost: Vec<u64> = (1..=saves).filter(|save| !there.contains(save)).collect();
    assert_eq!(lost, Vec::<u64>::new(), "saves that are nowhere");
    assert!(saves * 8 > wanted, "{saves} saves");
    let (first, most) = (memory[0], memory.iter().copied().max().expect("measured"));
    assert!(most < first + first / 4 + 50_000, "memory grows: {memory:?} kB");
    println!(
        "soak: {edits} acknowledged edits, {saves} saves by another program, none lost; held {memory:?} kB"
    );
}

/// What a request is made of: lines that are right, and such as are not.
const METHODS: &[&str] =
    &["GET", "POST", "PUT", "DELETE", "OPTIONS", "HEAD", "TRACE", "CONNECT", "get", "G\u{e9}T", ""];
const PATHS: &[&str] = &[
    "/",
    "/job/job/deck",
    "/job/job/edit",
    "/job/../../etc/passwd",
    "/job/%2e%2e/%2e%2e/x",
    "/job/~stock/deck",
    "/job/catalogue/edit",
    "/static/0/main.js",
    "/static/0/../../Cargo.toml",
    "http://elsewhere.example/",
    "//x",
    "/job/job/photo/take",
    "/job/job/takes",
    "/jobs",
    "/enter/00000000",
    "/job/job/print/bench.pdf?x=%00",
    "/job/job/where?sum=%ff",
    "*",
    "/job/job/undo",
    "/job/job/freeze",
    "/job/job/stock",
    "/job/job/gear?add=first",
];
const HOSTS: &[&str] = &["", "elsewhere.example", "127.0.0.1:1", "[::1]", "127.0.0.1.elsewhere.example"];
const BODIES: &[&str] = &[
    "",
    "act=move&tag=B4&dx=1&dy=0&base=0",
    "act=set&field=job/title&value=taken",
    "act=away&tag=B4&base=1",
    "%%%",
    "a=b&a=b&a=%ff",
    "{\"act\":\"away\"}",
    "act=paste&rows=tag%09x%0Aq%091&base=1",
    "act=set&field=../../x&value=y&base=1",
];

/// A request by lot, and whether it has an end. What may change the job is only what a page from here sends: `Origin` is never that.
fn request(draw: &mut Draw, host: &str) -> (Vec<u8>, bool) {
    let pick = |draw: &mut Draw, from: &[&str]| from[draw.below(from.len())].to_owned();
    // Half of them begin as they should, so that what follows is looked at, too.
    let is_plain = draw.below(2) == 0;
    let method = if is_plain { pick(draw, &["GET", "POST"]) } else { pick(draw, METHODS) };
    let mut path = pick(draw, PATHS);
    if draw.below(12) == 0 {
        path.push_str(&"a".repeat(draw.below(20_000)));
    }
    let named = if is_plain { host.to_owned() } else { pick(draw, HOSTS) };
    let body = pick(draw, BODIES);
    let length = match if is_plain { 9 } else { draw.below(6) } {
        0 => "99999999999999999999".to_owned(),
        1 => "-1".to_owned(),
        2 => (body.len() + 7).to_string(),
        _ => body.len().to_string(),
    };
    let version =
        if is_plain { "HTTP/1.1".to_owned() } else { pick(draw, &["HTTP/1.1", "HTTP/1.0", "HTTP/9.9", "x"]) };
    let mut text = format!("{method} {path} {version}\r\nHost: {named}\r\n");
    for _ in 0..draw.below(3) {
        text.push_str(&pick(
            draw,
            &[
                "Origin: http://elsewhere.example\r\n",
                "Origin: null\r\n",
                "Host: elsewhere.example\r\n",
                "Transfer-Encoding: chunked\r\n",
                "Cookie: token=\u{0}\r\n",
                "Content-Type: text/plain; charset=utf-7\r\n",
                "Content-Type: application/x-www-form-urlencoded\r\n",
                "Range: bytes=0-0,0-0\r\n",
                "Accept-Encoding: gzip, br, zstd\r\n",
                "Upgrade: websocket\r\nConnection: Upgrade\r\n",
                "X: y\n\rZ: \r\n",
                ": empty\r\n",
            ],
        ));
    }
    let _ = std::fmt::Write::write_fmt(
        &mut text,
        format_args!("Content-Length: {length}\r\nConnection: close\r\n\r\n{body}"),
    );
    let mut bytes = text.into_bytes();
    // A tenth is torn or has other bytes in it.
    let is_torn = draw.below(10) == 0;
    if is_torn {
        bytes.truncate(draw.below(bytes.len()));
    }
    if draw.below(10) == 0 {
        for _ in 0..=draw.below(6) {
            let (at, byte) = (draw.below(bytes.len().max(1)), draw.next().to_le_bytes()[0]);
            if let Some(place) = bytes.get_mut(at) {
                *place = byte;
            }
        }
    }
    (bytes, is_plain && !is_torn)
}

/// Memory that a process holds, in kilobytes.
#[cfg(target_os = "linux")]
fn held(bench: &Running) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", bench.child.id())).expect("its status");
    let line = status.lines().find(|line| line.starts_with("VmRSS:")).expect("its memory");
    line.split_whitespace().nth(1).and_then(|kb| kb.parse().ok()).expect("kilobytes")
}

/// `BOARDWRIGHT_REQUESTS` sets how many; the soak asks for ten thousand.
#[cfg(target_os = "linux")]
#[test]
fn hostile_requests_change_nothing_and_keep_nobody_out() {
    let asked = number("BOARDWRIGHT_REQUESTS", 400);
    let mut draw = Draw::new(number("BOARDWRIGHT_SEED", 20_261_201));
    let folder = shop();
    let path = folder.path().join("job/rig.toml");
    let before = std::fs::read(&path).expect("the document");
    let bench = start(&[&folder.path().display().to_string()], None);
    assert_eq!(ask(&bench.host, "GET", "/job/job/deck", "").expect("answers").0, 200);
    let mut statuses = BTreeSet::new();
    for k in 0..asked {
        let (bytes, is_whole) = request(&mut draw, &bench.host);
        let mut stream = TcpStream::connect(&bench.host).expect("connects");
        // What is refused early is closed early: writing on may fail, and that is an answer too.
        let _ = stream.write_all(&bytes);
        // Nobody waits for the rest of what is torn.
        if !is_whole {
            let _ = stream.shutdown(std::net::Shutdown::Write);
        }
        let mut answer = Vec::new();
        let _ = stream.take(1 << 20).read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer);
        if let Some(status) = answer.split(' ').nth(1).and_then(|word| word.parse::<u16>().ok()) {
            assert!(!(500..600).contains(&status), "{status} to {:?}", String::from_utf8_lossy(&bytes));
            statuses.insert(status);
        }
        if k % 100 == 0 {
            assert_eq!(ask(&bench.host, "GET", "/job/job/deck", "").expect("answers").0, 200);
        }
    }
    assert_eq!(
        std::fs::read(&path).expect("the document"),
        before,
        "a request from elsewhere changed the job"
    );
    let others: Vec<_> =
        std::fs::read_dir(folder.path()).expect("the shop").flatten().map(|e| e.file_name()).collect();
    assert!(others.iter().all(|name| name == "job" || name == ".boardwright"), "{others:?}");
    let held = held(&bench);
    assert!(held < 400_000, "{held} kB");
    println!("soak: {asked} hostile requests, answered with {statuses:?}, nothing changed, {held} kB held");
}
