//! From an edit to the new document with its fit and stated-feed findings: sixty devices, the whole way over
//! HTTP, journal and disk included. Criterion gives the mean; median and 99th percentile of all edits follow it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::{Duration, Instant};

use criterion::Criterion;
use workbench::{Access, Bench, PaperEntry, Papers, Printed, PrintedFrom};

/// The allocator of the program, so that what is measured is what users run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

#[path = "../tests/it/sixty.rs"]
mod sixty;

/// Prints nothing: no paper is asked for here.
struct NoPapers;

impl Papers for NoPapers {
    fn list(&self) -> Vec<PaperEntry> {
        Vec::new()
    }

    fn of_money(&self) -> Vec<PaperEntry> {
        vec![PaperEntry { name: "quote", title: "Quote" }]
    }

    fn make(&self, name: &str, _: &PrintedFrom<'_>) -> Result<Printed, String> {
        Err(format!("there is no paper `{name}`"))
    }

    fn change_order(&self, from: &PrintedFrom<'_>, _: &workbench::Order<'_>) -> Result<Printed, String> {
        self.make("change-order", from)
    }

    fn all(&self, _: &PrintedFrom<'_>) -> Result<Vec<(String, Vec<u8>)>, String> {
        Ok(Vec::new())
    }

    fn beginnings(&self) -> Vec<(String, String)> {
        Vec::new()
    }
}

/// One connection that stays open, as a browser keeps it.
struct Line {
    stream: BufReader<TcpStream>,
    host: String,
}

impl Line {
    fn ask(&mut self, head: &str, body: &str) -> String {
        let host = &self.host;
        let text = format!(
            "{head} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nAccept: application/json\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        );
        self.stream.get_mut().write_all(text.as_bytes()).expect("sent");
        let mut length = 0;
        let mut first = String::new();
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line).expect("answered");
            if first.is_empty() {
                first.clone_from(&line);
            }
            if let Some(count) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = count.trim().parse().expect("length");
            }
            if line.trim().is_empty() {
                break;
            }
        }
        let mut answer = vec![0; length];
        self.stream.read_exact(&mut answer).expect("answer");
        let answer = String::from_utf8(answer).expect("text");
        assert!(first.contains(" 200 "), "{first}{answer}");
        answer
    }
}

fn revision(answer: &str) -> u64 {
    let value: serde_json::Value = serde_json::from_str(answer).expect("data");
    value["revision"].as_u64().expect("revision")
}

#[expect(clippy::disallowed_methods, clippy::print_stdout, reason = "a bench tells how long things take")]
fn main() {
    let folder = tempfile::tempdir().expect("folder");
    std::fs::create_dir_all(folder.path().join("a")).expect("job");
    std::fs::write(folder.path().join("a/rig.toml"), sixty::sixty()).expect("document");
    let runtime = tokio::runtime::Runtime::new().expect("runtime");
    let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).expect("a free port");
    let address = listener.local_addr().expect("address");
    let bench =
        Bench::open(folder.path(), Arc::new(NoPapers), Access::loopback(address.port())).expect("opens");
    runtime.spawn(workbench::serve(bench, listener, std::future::pending()));
    let stream = TcpStream::connect(address).expect("connects");
    stream.set_nodelay(true).expect("at once");
    let mut line = Line { stream: BufReader::new(stream), host: address.to_string() };
    let mut base = revision(&line.ask("GET /job/a/deck", ""));
    let mut all: Vec<Duration> = Vec::new();
    let mut step = 0_u32;
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("edit to findings over HTTP, 60 devices", |b| {
        b.iter_custom(|rounds| {
            let began = all.len();
            for _ in 0..rounds {
                let by = if step.is_multiple_of(2) { "1" } else { "-1" };
                let body = format!(
                    "act=move&tag=D{}&dx={by}&dy=0&base={base}&here=%2Fjob%2Fa%2Fdeck",
                    step % 120 / 2
                );
                let sent = Instant::now();
                let answer = line.ask("POST /job/a/edit", &body);
                all.push(sent.elapsed());
                base = revision(&answer);
                step += 1;
            }
            all[began..].iter().sum()
        });
    });
    criterion.final_summary();
    all.sort();
    if let (Some(median), Some(p99)) = (all.get(all.len() / 2), all.get(all.len() * 99 / 100)) {
        println!(
            "median {median:.1?}, 99th percentile {p99:.1?}, longest {:.1?}, {} edits",
            all[all.len() - 1],
            all.len()
        );
    }
}
