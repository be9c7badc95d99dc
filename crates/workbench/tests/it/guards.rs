//! Who is let in, and how far.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use workbench::{Access, May};

use crate::web::{Answer, HOST, Web, example};

#[tokio::test]
async fn only_by_its_own_name() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    for (host, status) in [
        (HOST, StatusCode::OK),
        ("localhost:4680", StatusCode::OK),
        ("localhost:4681", StatusCode::FORBIDDEN),
        ("shop.example", StatusCode::FORBIDDEN),
    ] {
        let request = Request::get("/").header(header::HOST, host).body(Body::empty()).expect("request");
        assert_eq!(web.ask(request).await.status, status, "{host}");
    }
    let nameless = Request::get("/").body(Body::empty()).expect("request");
    assert_eq!(web.ask(nameless).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn edits_come_from_here_only() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let before = web.text("a");
    for origin in [None, Some("http://elsewhere.example"), Some("null"), Some("https://127.0.0.1:4680")] {
        let mut request = Request::post("/job/a/edit")
            .header(header::HOST, HOST)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(origin) = origin {
            request = request.header(header::ORIGIN, origin);
        }
        let request = request.body(Body::from("act=away&tag=B4&base=1")).expect("request");
        assert_eq!(web.ask(request).await.status, StatusCode::FORBIDDEN, "{origin:?}");
    }
    assert_eq!(web.text("a"), before);
}

const TOKEN: &str = "abcdefghijklmnop";

/// The cookie that an answer gives, as a browser sends it back.
fn cookie_of(answer: &Answer) -> String {
    let cookie = answer.headers[header::SET_COOKIE].to_str().expect("cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    assert!(!cookie.contains(TOKEN), "{cookie}");
    cookie.split(';').next().expect("a pair").to_owned()
}

async fn with_cookie(web: &Web, path: &str, cookie: &str) -> StatusCode {
    let request = Request::get(path)
        .header(header::HOST, HOST)
        .header(header::COOKIE, cookie)
        .body(Body::empty())
        .expect("request");
    web.ask(request).await.status
}

#[tokio::test]
async fn beyond_this_machine_a_token_is_wanted() {
    let access = Access { hosts: vec![HOST.to_owned()], token: Some(TOKEN.to_owned()), ..Access::default() };
    let web = Web::guarded(&[("a", &example("church-bass"))], access);
    let asked = web.get("/").await;
    assert_eq!(asked.status, StatusCode::FORBIDDEN);
    assert!(asked.body.contains("action=\"/enter\"") && !asked.body.contains("church"), "{}", asked.body);
    for wrong in ["", "abcdefghijklmnoq", "abcdefghijklmno"] {
        let refused = web.send("/enter", &[("token", wrong)]).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{wrong:?}");
        assert!(!refused.headers.contains_key(header::SET_COOKIE), "{wrong:?}");
    }
    let admitted = web.send("/enter", &[("token", TOKEN)]).await;
    assert_eq!(admitted.status, StatusCode::SEE_OTHER);
    assert_eq!(admitted.headers[header::LOCATION], "/");
    let cookie = cookie_of(&admitted);
    assert_eq!(with_cookie(&web, "/job/a/deck", &format!("unit=inch; {cookie}")).await, StatusCode::OK);
    for wrong in [format!("token={TOKEN}"), format!("{cookie}0"), cookie.to_uppercase()] {
        assert_eq!(with_cookie(&web, "/job/a/deck", &wrong).await, StatusCode::FORBIDDEN, "{wrong}");
    }
}

#[tokio::test]
async fn a_token_in_an_address_opens_nothing() {
    let access = Access { hosts: vec![HOST.to_owned()], token: Some(TOKEN.to_owned()), ..Access::default() };
    let web = Web::guarded(&[("a", &example("church-bass"))], access);
    for path in
        ["/?token=abcdefghijklmnop", "/enter?token=abcdefghijklmnop", "/enter/abcdefghijklmnop", "/enter/"]
    {
        let refused = web.get(path).await;
        assert!(refused.status.is_client_error(), "{path}: {}", refused.status);
        assert!(!refused.headers.contains_key(header::SET_COOKIE), "{path}");
    }
}

#[tokio::test]
async fn an_address_that_opens_does_so_once() {
    let access = Access { hosts: vec![HOST.to_owned()], token: Some(TOKEN.to_owned()), ..Access::default() };
    let web = Web::guarded(&[("a", &example("church-bass"))], access);
    let (one, two) =
        (web.bench.link(May::Change).expect("a link"), web.bench.link(May::Change).expect("a link"));
    assert!(!one.contains(TOKEN) && one != two);
    // A look ahead, as some programs take at addresses, does not use it up.
    let look = Request::head(&one).header(header::HOST, HOST).body(Body::empty()).expect("request");
    assert_eq!(web.ask(look).await.status, StatusCode::FORBIDDEN);
    let cookie = cookie_of(&web.get(&one).await);
    assert_eq!(with_cookie(&web, "/job/a/deck", &cookie).await, StatusCode::OK);
    let again = web.get(&one).await;
    assert_eq!(again.status, StatusCode::FORBIDDEN);
    assert!(
        again.body.contains("used already") && again.body.contains("action=\"/enter\""),
        "{}",
        again.body
    );
    assert_eq!(web.get(&two).await.status, StatusCode::SEE_OTHER, "the other one still opens");
    assert!(Web::with(&[]).bench.link(May::Change).is_none(), "where no token is wanted there is none");
}

/// A form that a visitor with a cookie sends from a page of ours.
async fn sent_with(web: &Web, path: &str, cookie: &str, body: &str) -> Answer {
    let request = Request::post(path)
        .header(header::HOST, HOST)
        .header(header::ORIGIN, format!("http://{HOST}"))
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(body.to_owned()))
        .expect("request");
    web.ask(request).await
}

#[tokio::test]
async fn a_phone_that_is_let_in_to_look_changes_nothing() {
    let access = Access {
        token: Some(TOKEN.to_owned()),
        phones: vec!["http://192.0.2.7:4680".to_owned()],
        ..Access::loopback(4680)
    };
    let web = Web::guarded(&[("a", &example("church-bass"))], access);
    let before = web.text("a");
    let owner = cookie_of(&web.send("/enter", &[("token", TOKEN)]).await);
    let mut cookies = Vec::new();
    for may in ["look", "change"] {
        let page = sent_with(&web, "/phone", &owner, &format!("may={may}")).await;
        assert_eq!(page.status, StatusCode::OK);
        let (_, rest) = page.body.split_once("http://192.0.2.7:4680").expect("the address of the phone");
        let path = rest.split('<').next().expect("its path");
        assert!(path.starts_with("/enter/") && page.body.contains("<svg"), "{path}");
        cookies.push(cookie_of(&web.get(path).await));
    }
    let [looks, changes] = [&cookies[0], &cookies[1]];
    assert_eq!(changes, &owner);
    assert_eq!(with_cookie(&web, "/job/a/deck", looks).await, StatusCode::OK);
    for (path, body) in [
        ("/job/a/edit", "act=away&tag=B4&base=1"),
        ("/job/a/tick", "step=x"),
        ("/job/a/undo", "base=1"),
        ("/jobs", "title=More"),
        ("/phone", "may=change"),
    ] {
        let refused = sent_with(&web, path, looks, body).await;
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{path}");
        assert!(refused.body.contains("lets you look"), "{}", refused.body);
    }
    assert_eq!(web.text("a"), before);
    assert_eq!(sent_with(&web, "/unit", looks, "unit=inch").await.status, StatusCode::SEE_OTHER);
    // With the token it comes in again as the owner.
    assert_eq!(cookie_of(&sent_with(&web, "/enter", looks, &format!("token={TOKEN}")).await), owner);
    // A workbench for this machine alone has no address for phones.
    assert_eq!(Web::with(&[]).send("/phone", &[("may", "look")]).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_door_is_guarded_like_everything_else() {
    let access = Access { token: Some(TOKEN.to_owned()), ..Access::loopback(4680) };
    let web = Web::guarded(&[], access);
    for (host, origin) in [("evil.example", None), (HOST, Some("https://evil.example")), (HOST, None)] {
        let mut request = Request::post("/enter")
            .header(header::HOST, host)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(origin) = origin {
            request = request.header(header::ORIGIN, origin);
        }
        let request = request.body(Body::from(format!("token={TOKEN}"))).expect("request");
        let answer = web.ask(request).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{host} {origin:?}");
        assert!(!answer.headers.contains_key(header::SET_COOKIE), "{host} {origin:?}");
    }
    // Without a token the door leads in.
    assert_eq!(Web::with(&[]).get("/enter").await.headers[header::LOCATION], "/");
}

#[tokio::test]
async fn names_never_leave_the_shop() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    std::fs::write(web.folder.path().join("secret.txt"), "secret").expect("written");
    for path in [
        "/job/..%2F..%2Fetc/deck",
        "/job/%2e%2e/deck",
        "/job/.boardwright/deck",
        "/job/a%2F..%2Fa/deck",
        "/static/x/..%2F..%2FCargo.toml",
        "/static/x/..%2Fsrc%2Flib.rs",
        "/job/a/print/..%2Frig.toml",
        "/job/a/print/..%2F..%2Fsecret.txt",
    ] {
        let answer = web.get(path).await;
        assert!(answer.status.is_client_error(), "{path}: {}", answer.status);
        assert!(!answer.body.contains("secret") || answer.body.contains("there is no paper"), "{path}");
    }
    for name in ["../boardwright-out", "..", ".hidden", "a/b", "a\\b", "", "nul\0"] {
        let answer = web.send("/jobs", &[("name", name), ("from", "blank")]).await;
        assert!(answer.status.is_client_error(), "{name:?}: {}", answer.status);
    }
    assert!(!web.folder.path().parent().expect("parent").join("boardwright-out").exists());
    // The second of a title is meant: without the word for it the shop asks.
    for (name, again) in [("annas-board", ""), ("annas-board-2", "yes")] {
        let fields = [("title", "Anna’s Board"), ("from", "blank"), ("again", again)];
        let made = web.send("/jobs", if again.is_empty() { &fields[..2] } else { &fields[..] }).await;
        assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.body);
        assert!(web.text(name).contains("title = \"Anna’s Board\""), "{}", web.text(name));
    }
    let made = web.send("/jobs", &[("name", "second"), ("from", "blank"), ("title", "Second")]).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER);
    assert!(web.text("second").contains("title = \"Second\""));
    assert_eq!(
        web.send("/jobs", &[("name", "second"), ("from", "blank")]).await.status,
        StatusCode::CONFLICT
    );
}

#[tokio::test]
async fn large_requests_are_refused() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let rows = "x".repeat(workbench::guard::LARGEST_BODY + 1);
    let answer = web.send("/job/a/gear/preview", &[("rows", &rows)]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn a_flood_is_slowed() {
    let web = Web::with(&[]);
    let mut refused = 0;
    for _ in 0..6000 {
        refused += usize::from(web.get("/static/x/nothing.js").await.status == StatusCode::TOO_MANY_REQUESTS);
    }
    // At 400 a second some pass while the flood runs; that not all do is what counts.
    assert!(0 < refused, "{refused}");
}

#[tokio::test]
async fn every_answer_carries_the_policy() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    for path in ["/", "/job/a/deck", "/job/none/deck", "/nowhere"] {
        let answer = web.get(path).await;
        let policy = answer.headers[header::CONTENT_SECURITY_POLICY].to_str().expect("policy");
        assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{path}");
        assert_eq!(answer.headers[header::X_CONTENT_TYPE_OPTIONS], "nosniff");
        assert!(
            !answer.body.contains(" style=\"") && !answer.body.contains(" onclick"),
            "{path}: nothing inline"
        );
    }
}

#[tokio::test]
async fn the_unit_switch_goes_nowhere_else() {
    let web = Web::with(&[]);
    for here in ["https://elsewhere.example/", "//elsewhere.example", "/job/\\\\elsewhere"] {
        let answer = web.send("/unit", &[("unit", "inch"), ("here", here)]).await;
        assert_eq!(answer.headers[header::LOCATION], "/", "{here}");
    }
}

#[tokio::test]
async fn a_token_that_is_given_is_wanted_on_this_machine_too() {
    let access = Access { token: Some(TOKEN.to_owned()), ..Access::loopback(4680) };
    let web = Web::guarded(&[("a", &example("church-bass"))], access);
    for path in ["/", "/job/a/deck", "/job/a/events", "/static/x/main.js", "/job/a/print/layout.pdf"] {
        assert_eq!(web.get(path).await.status, StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(web.send("/job/a/undo", &[("base", "1")]).await.status, StatusCode::FORBIDDEN);
    // What the page that asks for it looks like is no secret.
    assert_ne!(web.get("/static/x/look.css").await.status, StatusCode::FORBIDDEN);
    let cookie = cookie_of(&web.send("/enter", &[("token", TOKEN)]).await);
    assert_eq!(with_cookie(&web, "/job/a/deck", &cookie).await, StatusCode::OK);
}

#[tokio::test]
async fn requests_that_can_be_read_in_two_ways_are_refused() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let absolute = Request::get("http://127.0.0.1:4680/job/a/deck")
        .header(header::HOST, HOST)
        .body(Body::empty())
        .expect("request");
    assert_eq!(web.ask(absolute).await.status, StatusCode::BAD_REQUEST);
    for (name, twice) in [(header::HOST, HOST), (header::ORIGIN, "http://127.0.0.1:4680")] {
        let mut request = Request::get("/job/a/deck").header(name.clone(), twice).header(name.clone(), twice);
        if name != header::HOST {
            request = request.header(header::HOST, HOST);
        }
        let request = request.body(Body::empty()).expect("request");
        assert_eq!(web.ask(request).await.status, StatusCode::BAD_REQUEST, "{name}");
    }
    let before = web.text("a");
    let form = "application/x-www-form-urlencoded";
    for (kind, encoding, status) in [
        (format!("{form}; charset=utf-16"), None, StatusCode::UNSUPPORTED_MEDIA_TYPE),
        (format!("{form}; Charset=\"ISO-8859-1\""), None, StatusCode::UNSUPPORTED_MEDIA_TYPE),
        (format!("{form}; charset"), None, StatusCode::UNSUPPORTED_MEDIA_TYPE),
        (form.to_owned(), Some("gzip"), StatusCode::UNSUPPORTED_MEDIA_TYPE),
        ("text/plain".to_owned(), None, StatusCode::UNSUPPORTED_MEDIA_TYPE),
        // Read, and refused for what it says.
        (format!("{form};charset=UTF-8"), None, StatusCode::CONFLICT),
        (format!("{form}; charset=\"utf-8\"; x=y"), None, StatusCode::CONFLICT),
        (form.to_owned(), None, StatusCode::CONFLICT),
    ] {
        let mut request = Request::post("/job/a/edit")
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("http://{HOST}"))
            .header(header::CONTENT_TYPE, &kind);
        if let Some(encoding) = encoding {
            request = request.header(header::CONTENT_ENCODING, encoding);
        }
        let request = request.body(Body::from("act=away&tag=B4&base=99")).expect("request");
        assert_eq!(web.ask(request).await.status, status, "{kind} {encoding:?}");
    }
    assert_eq!(web.text("a"), before);
}
