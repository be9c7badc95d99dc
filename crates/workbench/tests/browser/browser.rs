//! A real Chromium, driven as a person would.

use std::io::{Read, Write};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::elements::Element;
use fantoccini::{Client, ClientBuilder, Locator};
use serde_json::{Value, json};

/// A browser with its driver; both end with it.
pub(crate) struct Browser {
    pub(crate) client: Client,
    driver: Child,
    port: u16,
    session: String,
    _profile: tempfile::TempDir,
}

impl Drop for Browser {
    fn drop(&mut self) {
        // A driver that is killed leaves its browser behind, so the session is ended first.
        let _ = std::net::TcpStream::connect(("127.0.0.1", self.port)).and_then(|mut driver| {
            driver.set_read_timeout(Some(PATIENCE))?;
            write!(driver, "DELETE /session/{} HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", self.session)?;
            driver.read(&mut [0; 64])
        });
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

fn free_port() -> u16 {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("address").port()
}

/// How long a condition may take before it counts as never coming.
const PATIENCE: Duration = Duration::from_mins(2);

impl Browser {
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits with a limit, and tells how long things take"
    )]
    pub(crate) async fn start(width: u32, height: u32, dark: bool) -> Self {
        let port = free_port();
        let driver = std::env::var("CHROMEDRIVER").unwrap_or_else(|_| "/usr/bin/chromedriver".to_owned());
        let mut driver = Command::new(driver)
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("chromedriver starts");
        let profile = tempfile::tempdir().expect("profile");
        let mut arguments: Vec<String> = [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            "--hide-scrollbars",
            "--force-device-scale-factor=1",
        ]
        .map(str::to_owned)
        .to_vec();
        arguments.push(format!("--user-data-dir={}", profile.path().display()));
        arguments.push(format!("--window-size={width},{height}"));
        let binary = std::env::var("CHROMIUM").unwrap_or_else(|_| "/usr/bin/chromium".to_owned());
        let mut wanted = serde_json::Map::new();
        wanted.insert("goog:chromeOptions".to_owned(), json!({ "binary": binary, "args": arguments }));
        wanted.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL" }));
        let address = format!("http://127.0.0.1:{port}");
        let began = std::time::Instant::now();
        let mut glance = tokio::time::interval(Duration::from_millis(50));
        let client = loop {
            let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
            match builder.capabilities(wanted.clone()).connect(&address).await {
                Ok(client) => break client,
                Err(error) if PATIENCE < began.elapsed() => {
                    let _ = driver.kill();
                    panic!("no browser: {error}");
                }
                Err(_) => {
                    glance.tick().await;
                }
            }
        };
        let session = client.session_id().await.ok().flatten().unwrap_or_default();
        let browser = Self { client, driver, port, session, _profile: profile };
        browser
            .devtools(
                "Emulation.setDeviceMetricsOverride",
                json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false }),
            )
            .await;
        let scheme = if dark { "dark" } else { "light" };
        browser.devtools(
            "Emulation.setEmulatedMedia",
            json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }, { "name": "prefers-reduced-motion", "value": "reduce" }] }),
        )
        .await;
        browser
    }

    /// A command to the browser itself.
    pub(crate) async fn devtools(&self, command: &str, parameters: Value) -> Value {
        #[derive(Debug)]
        struct Tools(Value);
        impl fantoccini::wd::WebDriverCompatibleCommand for Tools {
            fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
                base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
            }
            fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
                (http::Method::POST, Some(self.0.to_string()))
            }
        }
        self.client
            .issue_cmd(Tools(json!({ "cmd": command, "params": parameters })))
            .await
            .expect("the browser obeys")
    }

    pub(crate) async fn go(&self, url: &str) {
        self.client.goto(url).await.expect("goes there");
        self.until(
            "the script is set up",
            "return document.documentElement.dataset.ready === 'yes' || !document.querySelector('script')",
        )
        .await;
    }

    pub(crate) async fn js(&self, script: &str, with: Vec<Value>) -> Value {
        self.client.execute(script, with).await.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// Waits for a condition on the page.
    #[expect(
        clippy::disallowed_methods,
        reason = "a test waits with a limit, and tells how long things take"
    )]
    pub(crate) async fn until(&self, what: &str, script: &str) {
        let began = std::time::Instant::now();
        let mut glance = tokio::time::interval(Duration::from_millis(20));
        loop {
            glance.tick().await;
            if let Ok(Value::Bool(true)) = self.client.execute(script, vec![]).await {
                return;
            }
            assert!(
                began.elapsed() < PATIENCE,
                "{what} never came: {script}\nat {:?}\n{:?}",
                self.client.current_url().await,
                self.client.execute("return document.body.innerText.slice(0, 1500)", vec![]).await
            );
        }
    }

    pub(crate) async fn find(&self, selector: &str) -> Element {
        self.client
            .wait()
            .at_most(PATIENCE)
            .for_element(Locator::Css(selector))
            .await
            .unwrap_or_else(|error| panic!("{selector}: {error}"))
    }

    pub(crate) async fn text(&self, selector: &str) -> String {
        self.find(selector).await.text().await.expect("text")
    }

    /// The middle of an element on the screen.
    pub(crate) async fn middle(&self, selector: &str) -> (f64, f64) {
        self.find(selector).await;
        let at = self
            .js(
                "const r = document.querySelector(arguments[0]).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]",
                vec![json!(selector)],
            )
            .await;
        (at[0].as_f64().expect("x"), at[1].as_f64().expect("y"))
    }

    /// Presses at one point, moves in steps, lets go.
    pub(crate) async fn drag(&self, from: (f64, f64), to: (f64, f64), steps: u32) {
        let hand = |x: f64, y: f64| PointerAction::MoveTo { duration: Some(Duration::ZERO), x, y };
        let mut actions = MouseActions::new("hand".to_owned())
            .then(hand(from.0, from.1))
            .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT });
        for step in 1..=steps {
            let part = f64::from(step) / f64::from(steps);
            let (x, y) = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            actions = actions.then(PointerAction::MoveTo { duration: Some(Duration::from_millis(16)), x, y });
        }
        self.client.perform_actions(actions).await.expect("moves");
        let up = MouseActions::new("hand".to_owned()).then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        self.client.perform_actions(up).await.expect("lets go");
    }

    /// What went wrong in the script so far.
    pub(crate) async fn complaints(&self) -> Vec<String> {
        #[derive(Debug)]
        struct Log;
        impl fantoccini::wd::WebDriverCompatibleCommand for Log {
            fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
                base.join(&format!("session/{}/se/log", session.unwrap_or_default()))
            }
            fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
                (http::Method::POST, Some(json!({ "type": "browser" }).to_string()))
            }
        }
        let log = self.client.issue_cmd(Log).await.expect("log");
        log.as_array()
            .into_iter()
            .flatten()
            .filter(|line| line["level"] == "SEVERE")
            .map(|line| line["message"].as_str().unwrap_or_default().to_owned())
            .collect()
    }

    pub(crate) async fn picture(&self, name: &str) {
        let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("looks");
        std::fs::create_dir_all(&folder).expect("folder");
        let png = self.client.screenshot().await.expect("picture");
        std::fs::write(folder.join(format!("{name}.png")), png).expect("written");
    }
}
