//! Over real connections, by a client that waits in its own thread while others serve: how many there may be, what is compressed, what is refused.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;

use axum::http::StatusCode;
use tokio::net::TcpListener;
use workbench::{Access, Bench, MOST_LISTENERS};

use crate::web::{PLACES, Plain, example};

struct Served {
    _folder: tempfile::TempDir,
    address: SocketAddr,
}

async fn served(text: &str) -> Served {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::create_dir(folder.path().join("a")).expect("job");
    std::fs::write(folder.path().join("a/rig.toml"), text).expect("document");
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("listens");
    let address = listener.local_addr().expect("address");
    let bench = Bench::open(folder.path(), Arc::new(Plain), Access::loopback(address.port())).expect("opens");
    tokio::spawn(workbench::serve(bench, listener, std::future::pending()));
    Served { _folder: folder, address }
}

impl Served {
    fn say(&self, words: &str) -> TcpStream {
        let mut stream = TcpStream::connect(self.address).expect("connects");
        stream.write_all(words.replace("HOST", &self.address.to_string()).as_bytes()).expect("says");
        stream
    }

    /// Asks and reads to the end: the status, the head and the body as they came.
    fn ask(&self, words: &str) -> (StatusCode, String, Vec<u8>) {
        let mut stream = self.say(words);
        let mut all = Vec::new();
        stream.read_to_end(&mut all).expect("hears");
        let end = all.windows(4).position(|four| four == b"\r\n\r\n").expect("a head");
        let head = String::from_utf8_lossy(&all[..end]).to_lowercase();
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).expect("a status");
        (status, head, all[end + 4..].to_vec())
    }

    fn get(&self, path: &str, more: &str) -> (StatusCode, String, Vec<u8>) {
        self.ask(&format!("GET {path} HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n{more}\r\n"))
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn connections_that_never_ask_do_not_keep_others_out() {
    let served = served(&example("church-bass")).await;
    let mut silent = Vec::new();
    for index in 0..400 {
        let words = ["", "GET / HTTP/1.1\r\nHost: ", "POST /job/a/edit HTTP/1.1\r\n"][index % 3];
        silent.push(served.say(words));
    }
    for _ in 0..20 {
        let (status, _, _) = served.get("/job/a/brief", "");
        assert_eq!(status, StatusCode::OK);
    }
    // The first of them were sent away.
    let mut rest = Vec::new();
    assert_eq!(silent[0].read_to_end(&mut rest).unwrap_or(0), 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn listeners_are_bounded_and_give_their_room_back() {
    let served = served(&example("church-bass")).await;
    let listen = "GET /job/a/events HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n";
    let mut listening = Vec::new();
    for _ in 0..MOST_LISTENERS {
        let mut stream = served.say(listen);
        let mut head = [0; 15];
        stream.read_exact(&mut head).expect("a head");
        assert_eq!(&head, b"HTTP/1.1 200 OK");
        listening.push(stream);
    }
    let (status, _, _) = served.ask(listen);
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    let (status, _, _) = served.get("/job/a/brief", "");
    assert_eq!(status, StatusCode::OK, "pages are still served");
    drop(listening);
    // A page that went away is noticed when it is next written to or read from: ask until there is room.
    let mut last = status;
    for _ in 0..200 {
        let mut stream = served.say(listen);
        let mut head = [0; 12];
        stream.read_exact(&mut head).expect("a head");
        last = std::str::from_utf8(&head[9..]).expect("text").parse().expect("a status");
        if last == StatusCode::OK {
            break;
        }
        tokio::task::yield_now().await;
    }
    assert_eq!(last, StatusCode::OK);
}

#[tokio::test(flavor = "multi_thread")]
async fn pages_of_the_largest_example_are_small_on_the_wire() {
    let served = served(&example("wet-dry-touring-corrected")).await;
    for place in PLACES {
        let path = format!("/job/a/{place}");
        let (status, head, packed) = served.get(&path, "Accept-Encoding: gzip\r\n");
        assert_eq!(status, StatusCode::OK);
        assert!(head.contains("content-encoding: gzip"), "{place}: {head}");
        assert!(packed.len() <= 150_000, "{place}: {} bytes", packed.len());
        let (_, head, plain) = served.get(&path, "");
        assert!(!head.contains("content-encoding"), "{place}: {head}");
        assert!(packed.len() < plain.len());
    }
    let (_, head, _) = served.get("/job/a/print/layout.pdf", "Accept-Encoding: gzip\r\n");
    assert!(!head.contains("content-encoding"), "{head}");
}

#[tokio::test(flavor = "multi_thread")]
async fn raw_requests_of_two_meanings_are_refused() {
    let served = served(&example("church-bass")).await;
    for (words, status) in [
        ("GET http://HOST/ HTTP/1.1\r\nHost: HOST\r\n", StatusCode::BAD_REQUEST),
        ("GET http://elsewhere.example/ HTTP/1.1\r\nHost: HOST\r\n", StatusCode::BAD_REQUEST),
        ("CONNECT HOST HTTP/1.1\r\nHost: HOST\r\n", StatusCode::BAD_REQUEST),
        ("GET / HTTP/1.1\r\nHost: HOST\r\nHost: HOST\r\n", StatusCode::BAD_REQUEST),
        ("GET / HTTP/1.1\r\nHost: HOST\r\nhost: elsewhere.example\r\n", StatusCode::BAD_REQUEST),
        ("GET / HTTP/1.1\r\n", StatusCode::FORBIDDEN),
        ("GET / HTTP/1.1\r\nHost: HOST\r\n", StatusCode::OK),
    ] {
        let (found, _, _) = served.ask(&format!("{words}Connection: close\r\n\r\n"));
        assert_eq!(found, status, "{words}");
    }
}
