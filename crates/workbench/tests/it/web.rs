//! A shop and requests to it, in process.

use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use tower::ServiceExt;
use workbench::{Access, Bench, PaperEntry, Papers, Printed, PrintedFrom};

/// Prints next to nothing.
pub(crate) struct Plain;

impl Papers for Plain {
    fn list(&self) -> Vec<PaperEntry> {
        vec![PaperEntry { name: "layout", title: "Layout" }]
    }

    fn of_money(&self) -> Vec<PaperEntry> {
        vec![PaperEntry { name: "quote", title: "Quote" }]
    }

    fn make(&self, name: &str, _: &PrintedFrom<'_>) -> Result<Printed, String> {
        Ok(Printed { pdf: format!("%PDF {name}").into_bytes(), pages: 1 })
    }

    fn change_order(&self, from: &PrintedFrom<'_>, _: &workbench::Order<'_>) -> Result<Printed, String> {
        self.make("change-order", from)
    }

    fn all(&self, _: &PrintedFrom<'_>) -> Result<Vec<(String, Vec<u8>)>, String> {
        Ok(vec![("layout.pdf".to_owned(), b"%PDF".to_vec())])
    }

    fn beginnings(&self) -> Vec<(String, String)> {
        vec![("blank".to_owned(), "format = 1\n\n[job]\ntitle = \"New board\"\n".to_owned())]
    }
}

/// A shop in a folder of its own.
pub(crate) struct Web {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) bench: Arc<Bench>,
    router: Router,
}

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: axum::http::HeaderMap,
    pub(crate) body: String,
}

pub(crate) const HOST: &str = "127.0.0.1:4680";

impl Web {
    pub(crate) fn with(jobs: &[(&str, &str)]) -> Self {
        Self::guarded(jobs, Access::loopback(4680))
    }

    pub(crate) fn guarded(jobs: &[(&str, &str)], access: Access) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        for (name, text) in jobs {
            std::fs::create_dir_all(folder.path().join(name)).expect("job");
            std::fs::write(folder.path().join(name).join("rig.toml"), text).expect("document");
        }
        let bench = Bench::open(folder.path(), Arc::new(Plain), access).expect("opens");
        Self { folder, router: workbench::routes::routes(Arc::clone(&bench)), bench }
    }

    pub(crate) async fn ask(&self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.expect("answers");
        let (parts, body) = response.into_parts();
        let bytes = axum::body::to_bytes(body, 64 * 1024 * 1024).await.expect("body");
        Answer {
            status: parts.status,
            headers: parts.headers,
            body: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    pub(crate) async fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path).header(header::HOST, HOST).body(Body::empty()).expect("request")).await
    }

    /// A form as the script sends it.
    pub(crate) async fn send(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body: Vec<String> =
            fields.iter().map(|(name, value)| format!("{}={}", quoted(name), quoted(value))).collect();
        let request = Request::post(path)
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("http://{HOST}"))
            .header(header::ACCEPT, "application/json")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body.join("&")))
            .expect("request");
        self.ask(request).await
    }

    pub(crate) fn text(&self, job: &str) -> String {
        std::fs::read_to_string(self.folder.path().join(job).join("rig.toml")).expect("document")
    }
}

fn quoted(text: &str) -> String {
    text.bytes()
        .map(
            |byte| {
                if byte.is_ascii_alphanumeric() {
                    char::from(byte).to_string()
                } else {
                    format!("%{byte:02X}")
                }
            },
        )
        .collect()
}

/// The example with this name.
pub(crate) fn example(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    std::fs::read_to_string(path.join("rig.toml")).expect("example")
}

/// The revision an answer stands for.
pub(crate) fn revision(answer: &Answer) -> String {
    let value: serde_json::Value =
        serde_json::from_str(&answer.body).unwrap_or_else(|_| panic!("{}", answer.body));
    value["revision"].to_string()
}

pub(crate) const PLACES: [&str; 10] =
    ["brief", "gear", "path", "deck", "panel", "power", "leads", "build", "test", "papers"];
