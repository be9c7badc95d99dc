//! Jobs that are none, and folders that are not what they were.

use axum::http::StatusCode;

use crate::web::{Web, example};

#[tokio::test]
async fn the_stock_is_no_job() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let stock = web.folder.path().join("stock.toml");
    for name in ["~stock", "~kinds", "catalogue", "nul.txt", "x.", "-rf", "shop.toml", "A"] {
        let answer = web.send("/jobs", &[("name", name), ("from", "blank")]).await;
        let wanted = if name == "A" { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
        assert_eq!(answer.status, wanted, "{name}: {}", answer.body);
        assert!(name == "A" || answer.body.contains("Allowed are letters"), "{name}: {}", answer.body);
    }
    assert!(!stock.exists());
    std::fs::write(&stock, "# ours\n").expect("written");
    let base = ("base", "1");
    for (path, fields) in [
        ("/job/~stock/edit", vec![base, ("act", "set"), ("field", "job/title"), ("value", "x")]),
        ("/job/~stock/undo", vec![base]),
        ("/job/~stock/redo", vec![base]),
        ("/job/~stock/tick", vec![base, ("step", "x"), ("done", "yes")]),
        ("/job/~stock/freeze", vec![base, ("letter", "A"), ("why", "x")]),
        ("/job/~stock/arrange", vec![base]),
        ("/job/~stock/stock", vec![base]),
    ] {
        let answer = web.send(path, &fields).await;
        assert!(answer.status.is_client_error(), "{path}: {} {}", answer.status, answer.body);
    }
    assert!(web.get("/job/~stock/deck").await.status.is_client_error());
    assert_eq!(std::fs::read_to_string(&stock).expect("stock"), "# ours\n");
}

#[cfg(unix)]
#[tokio::test]
async fn a_pipe_in_the_place_of_a_document_is_told() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let path = web.folder.path().join("a/rig.toml");
    std::fs::remove_file(&path).expect("gone");
    let made = std::process::Command::new("mkfifo").arg(&path).status().expect("mkfifo");
    assert!(made.success());
    for page in ["/", "/job/a/deck"] {
        let answer = web.get(page).await;
        assert!(
            answer.body.contains("rig.toml") && answer.body.contains("a pipe"),
            "{page}: {}",
            answer.body
        );
    }
}

#[tokio::test]
async fn a_folder_that_was_moved_is_told_and_goes_on_when_it_is_back() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let (here, there) = (web.folder.path().to_owned(), web.folder.path().with_extension("moved"));
    std::fs::rename(&here, &there).expect("moved");
    for answer in [
        web.get("/").await,
        web.get("/job/a/deck").await,
        web.send("/job/a/edit", &[("base", "1"), ("act", "away"), ("tag", "B4")]).await,
        web.send("/jobs", &[("name", "b"), ("from", "blank")]).await,
    ] {
        assert_eq!(answer.status, StatusCode::SERVICE_UNAVAILABLE, "{}", answer.body);
        assert!(answer.body.contains("was moved, renamed or deleted"), "{}", answer.body);
    }
    std::fs::rename(&there, &here).expect("back");
    assert_eq!(web.get("/job/a/deck").await.status, StatusCode::OK);
}
