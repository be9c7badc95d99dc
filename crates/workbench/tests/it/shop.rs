//! The Shop: many jobs, found and turned over; titles that are missing or taken.

use axum::http::StatusCode;

use crate::web::{Web, example};

#[tokio::test]
async fn a_shop_of_many_jobs_answers_with_a_page_of_them() {
    let text = example("church-bass");
    let names: Vec<(String, String)> = (1..=60)
        .map(|n| {
            (
                format!("job-{n:02}"),
                text.replacen("title = \"Church bass board\"", &format!("title = \"Board {n:02}\""), 1),
            )
        })
        .collect();
    let jobs: Vec<(&str, &str)> = names.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    let web = Web::with(&jobs);
    let first = web.get("/").await.body;
    assert_eq!(first.matches("class=\"job-card\"").count(), 24);
    assert!(first.contains("Board 01") && !first.contains("Board 60") && first.contains("page 1 of 3"));
    // The counts are those of the job, and the drawing is a small one.
    let deck = web.get("/job/job-01/deck").await.body;
    let counts = |page: &str| {
        page.split("class=\"counts\"")
            .nth(1)
            .and_then(|rest| rest.split("</p>").next())
            .unwrap_or_default()
            .replace("aria-label=\"Open findings\"", "")
            .trim_start_matches(' ')
            .to_owned()
    };
    // Once the engines were asked.
    assert_eq!(counts(&web.get("/").await.body), counts(&deck));
    assert!(first.len() < 24 * 20_000, "{} bytes", first.len());
    let last = web.get("/?page=3").await.body;
    assert!(last.contains("Board 60") && !last.contains("Board 01"));
    let found = web.get("/?find=board+42").await.body;
    assert!(found.contains("Board 42") && found.matches("class=\"job-card\"").count() == 1);
    assert!(web.get("/?find=nothing+such").await.body.contains("No job goes by these words"));
    // What changed last comes first; its card follows its text.
    let path = web.folder.path().join("job-33/rig.toml");
    std::fs::write(&path, text.replacen("title = \"Church bass board\"", "title = \"Changed now\"", 1))
        .expect("written");
    let file = std::fs::File::options().write(true).open(&path).expect("file");
    file.set_modified(std::time::UNIX_EPOCH + std::time::Duration::from_secs(4_000_000_000)).expect("later");
    let changed = web.get("/?sort=changed").await.body;
    let card = changed.split("class=\"job-card\"").nth(1).expect("a card");
    assert!(card.contains("Changed now"), "{}", &card[card.len().saturating_sub(300)..]);
}

#[tokio::test]
async fn a_title_that_is_missing_or_taken_is_asked_for_again_with_the_form() {
    let web = Web::with(&[]);
    let empty = web.send("/jobs", &[("title", "  "), ("from", "blank")]).await;
    assert_eq!(empty.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(empty.body.contains("A job has a title") && empty.body.contains("action=\"/jobs\""));
    let make = [("title", "Anna’s board"), ("from", "blank")];
    assert_eq!(web.send("/jobs", &make).await.status, StatusCode::SEE_OTHER);
    let again = web.send("/jobs", &make).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(again.body.contains("There is a job called “Anna’s board” already"), "{}", again.body);
    assert!(again.body.contains("value=\"Anna’s board\"") && again.body.contains("Create another"));
    let another = [("title", "Anna’s board"), ("from", "blank"), ("again", "yes")];
    assert_eq!(web.send("/jobs", &another).await.status, StatusCode::SEE_OTHER);
}
