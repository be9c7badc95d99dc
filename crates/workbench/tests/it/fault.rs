//! A fault on a phone: one question at a time, every answer in the address.

use axum::http::StatusCode;

use crate::web::{Web, example};

/// The addresses of the links of a page by the words that they begin with.
fn link(page: &str, word: &str) -> String {
    let found = page.split("<a ").find(|part| {
        let inside = part.split_once('>').map_or("", |(_, rest)| rest);
        let inside = inside.strip_prefix("<span aria-hidden=\"true\">↶</span>").unwrap_or(inside);
        inside.starts_with(word)
    });
    let part = found.unwrap_or_else(|| panic!("no link {word} in {page}"));
    let href = part.split("href=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap_or_default();
    href.replace("&amp;", "&")
}

fn between<'a>(page: &'a str, from: &str, to: &str) -> &'a str {
    page.split_once(from).and_then(|(_, rest)| rest.split_once(to)).map_or("", |(inside, _)| inside)
}

#[tokio::test]
async fn one_question_leads_to_the_next_and_undo_leads_back() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let build = web.get("/job/a/build").await.body;
    let first = web.get(&link(&build, "Find a fault")).await;
    assert_eq!(first.status, StatusCode::OK);
    let asked = web.get(&link(&first.body, "No sound")).await.body;
    assert!(asked.contains("Question 1, about"), "{asked}");
    let question = between(&asked, "<h1>", "</h1>").to_owned();
    assert!(question.ends_with("Sound?") || question.ends_with("on?"), "{question}");
    assert!(asked.contains("Play tonight"));
    // Nothing here needs a script.
    assert!(!asked.contains("<script"));
    let left = |page: &str| between(page, "<span class=\"r\"><b>", "</b>").parse::<usize>().expect("a count");
    let yes = web.get(&link(&asked, "Yes")).await.body;
    assert!(yes.contains("Question 2, about") && left(&yes) < left(&asked));
    let no = web.get(&link(&asked, "No<")).await.body;
    // A light that is on half of the time says nothing of its device, which either answer then leaves.
    assert!(left(&asked) <= left(&yes) + left(&no), "what a yes leaves and a no leaves");
    assert_eq!(web.get(&link(&yes, "Undo")).await.body, asked);
    // Who is not sure is asked something else.
    let unsure = web.get(&link(&asked, "Not sure")).await.body;
    assert_ne!(between(&unsure, "<h1>", "</h1>"), question);
}

#[tokio::test]
async fn whoever_answers_to_the_end_is_told_what_it_is_and_can_look_further() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let mut page = web.get("/job/a/fault?symptom=dead").await.body;
    for _ in 0..30 {
        if !page.contains(">Yes<") {
            break;
        }
        page = web.get(&link(&page, "No<")).await.body;
    }
    assert!(page.contains("Found after"), "{page}");
    assert!(page.contains("class=\"here\"") || page.contains("class=\"left\""), "what is left is lit");
    let further = web.get(&link(&page, "Not cured")).await.body;
    assert!(further.contains("Question") || further.contains("Found after"));
}

#[tokio::test]
async fn a_device_without_power_is_chosen_first_and_odd_addresses_are_answered() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let which = web.get("/job/a/fault?symptom=no-power").await.body;
    assert!(which.contains("Which device has no light?") && !which.contains("has a feed yet"));
    // On a board whose devices have no feeds there is nothing to choose from, and the page says why.
    let unfed: String = example("cabin-board-corrected")
        .lines()
        .filter(|line| !line.starts_with("feed = "))
        .fold(String::new(), |text, line| text + line + "\n");
    let unfed = Web::with(&[("a", &unfed)]).get("/job/a/fault?symptom=no-power").await.body;
    assert!(unfed.contains("No device of this board has a feed yet"), "{unfed}");
    for odd in
        ["symptom=none", "symptom=dead&at=%zz&told=x=y,=,into:Q=yes", "symptom=no-power&device=Q&state=%00"]
    {
        assert_eq!(web.get(&format!("/job/a/fault?{odd}")).await.status, StatusCode::OK, "{odd}");
    }
    assert_eq!(web.get("/job/none/fault").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_was_mended_is_written_down_moves_the_odds_and_can_be_taken_back() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let mut page = web.get("/job/a/fault?symptom=dead").await.body;
    let likeliest = |page: &str| between(page, "<dt>Likeliest</dt>", "</dd>").to_owned();
    let before = likeliest(&page);
    for _ in 0..30 {
        if !page.contains(">Yes<") {
            break;
        }
        page = web.get(&link(&page, "No<")).await.body;
    }
    let form = web.get(&link(&page, "Cured")).await.body;
    assert!(form.contains("selected") && form.contains("value=\"dead\" selected"), "{form}");
    let mended = "/job/a/fault/mended";
    // Nothing done and nothing lent is nothing.
    assert_eq!(
        web.send(mended, &[("part", "B5.IN"), ("found", "x")]).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let unknown = web.send(mended, &[("part", "B99.IN"), ("did", "x")]).await;
    assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        unknown.body.contains("this board has no B99.IN that can be at fault; it has "),
        "{}",
        unknown.body
    );
    for _ in 0..40 {
        let done = web
            .send(
                mended,
                &[
                    ("part", "B5.IN"),
                    ("symptom", "dead"),
                    ("found", "nut loose"),
                    ("did", "tightened"),
                    ("by", "O. Fenlo"),
                ],
            )
            .await;
        assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    }
    let list = web.get(mended).await.body;
    assert!(list.contains("nut loose; tightened") && list.matches("Take back").count() == 80, "{list}");
    let first = web.get("/job/a/fault").await.body;
    assert!(first.contains("Mended before") && first.contains("nut loose; tightened"));
    // A shop that mends forty jacks suspects jacks.
    let after = likeliest(&web.get("/job/a/fault?symptom=dead").await.body);
    assert_ne!(before, after);
    assert!(
        after.starts_with("<dd><b>") && between(&after, "<b>", "</b>").contains('.'),
        "a jack first: {after}"
    );
    let ids: Vec<&str> =
        list.split("name=\"back\" value=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    for id in ids {
        assert_eq!(web.send(mended, &[("back", id)]).await.status, StatusCode::SEE_OTHER);
    }
    assert_eq!(likeliest(&web.get("/job/a/fault?symptom=dead").await.body), before);
}
