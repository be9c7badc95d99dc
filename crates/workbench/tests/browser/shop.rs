//! A shop of copied examples, served in this process.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use workbench::{Access, Bench, PaperEntry, Papers, Printed, PrintedFrom};

/// Prints a page that is hardly one: enough to download and to look at.
struct Plain;

impl Papers for Plain {
    fn list(&self) -> Vec<PaperEntry> {
        vec![PaperEntry { name: "layout", title: "Layout" }, PaperEntry { name: "leads", title: "Leads" }]
    }

    fn of_money(&self) -> Vec<PaperEntry> {
        vec![PaperEntry { name: "quote", title: "Quote" }]
    }

    fn make(&self, name: &str, from: &PrintedFrom<'_>) -> Result<Printed, String> {
        let words = format!("BT /F1 24 Tf 60 760 Td ({name} of {}) Tj ET", &from.inputs[..12]);
        let pdf = format!(
            "%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n\
             3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>endobj\n\
             4 0 obj<</Length {}>>stream\n{words}\nendstream endobj\n5 0 obj<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>endobj\n\
             trailer<</Root 1 0 R>>\n%%EOF\n",
            words.len()
        )
        .into_bytes();
        Ok(Printed { pdf, pages: 1 })
    }

    fn change_order(&self, from: &PrintedFrom<'_>, _: &workbench::Order<'_>) -> Result<Printed, String> {
        self.make("change-order", from)
    }

    fn all(&self, from: &PrintedFrom<'_>) -> Result<Vec<(String, Vec<u8>)>, String> {
        self.list()
            .into_iter()
            .map(|paper| Ok((format!("{}.pdf", paper.name), self.make(paper.name, from)?.pdf)))
            .collect()
    }

    fn beginnings(&self) -> Vec<(String, String)> {
        let blank = include_str!("../../../boardwright/templates/blank.toml");
        vec![("blank".to_owned(), blank.to_owned())]
    }
}

/// A shop being served.
pub(crate) struct Shop {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) address: SocketAddr,
}

impl Shop {
    pub(crate) fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// Serves it until told to stop.
    pub(crate) fn serve(
        &self,
        listener: tokio::net::TcpListener,
        stop: impl Future<Output = ()> + Send + 'static,
    ) -> tokio::task::JoinHandle<std::io::Result<()>> {
        let access = Access::loopback(self.address.port());
        let bench = Bench::open(self.folder.path(), Arc::new(Plain), access).expect("opens");
        tokio::spawn(workbench::serve(bench, listener, stop))
    }

    /// The text of a job's document, as it is on disk.
    pub(crate) fn text(&self, job: &str) -> String {
        std::fs::read_to_string(self.folder.path().join(job).join("rig.toml")).expect("document")
    }
}

/// The text of an example.
pub(crate) fn example(job: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(job).join("rig.toml");
    std::fs::read_to_string(path).expect("an example")
}

/// Copies these examples into a folder of its own and serves it on a free port.
pub(crate) async fn open(jobs: &[&str]) -> Shop {
    let folder = tempfile::tempdir().expect("folder");
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for job in jobs {
        std::fs::create_dir_all(folder.path().join(job)).expect("job");
        let from = examples.join(job).join("rig.toml");
        std::fs::copy(from, folder.path().join(job).join("rig.toml")).expect("copied");
    }
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a free port");
    let address = listener.local_addr().expect("address");
    let shop = Shop { folder, address };
    shop.serve(listener, std::future::pending());
    shop
}
