//! Orders of a shop on a screen: the lists are those of the command, and what came stands in the stock.

use axum::http::StatusCode;

use crate::web::{Web, example};

fn shop() -> Web {
    let web =
        Web::with(&[("a", &example("church-bass-corrected")), ("b", &example("cabin-board-corrected"))]);
    let prices = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/estimate/prices.toml");
    std::fs::copy(prices, web.folder.path().join("prices.toml")).expect("copied");
    web
}

/// Item, packs to buy, of each row of the lists.
fn rows(csv: &str) -> Vec<(String, i64)> {
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        Some((cells.get(1)?.trim_matches('"').to_owned(), cells.get(6)?.parse().ok()?))
    };
    csv.lines().skip(1).filter_map(row).collect()
}

#[tokio::test]
async fn what_came_is_booked_in_is_no_longer_to_buy_and_can_be_taken_back() {
    let web = shop();
    let page = web.get("/orders?job=a").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.body.contains("1</span>") || page.body.contains("1 of 2 jobs"), "{}", page.body);
    let before = rows(&web.get("/orders.csv?job=a").await.body);
    let (item, packs) = before.iter().find(|(_, packs)| 0 < *packs).cloned().expect("something to buy");
    assert!(page.body.contains(&item), "{item}");
    let count = packs.to_string();
    let came = [("what", "came"), ("item", item.as_str()), ("packs", count.as_str())];
    assert_eq!(web.send("/orders?job=a", &came).await.status, StatusCode::SEE_OTHER);
    let bought = |rows: &[(String, i64)]| rows.iter().find(|(own, _)| *own == item).map(|(_, packs)| *packs);
    let after = rows(&web.get("/orders.csv?job=a").await.body);
    assert_eq!(bought(&after), Some(0), "{after:?}");
    let told = web.get("/orders?job=a").await.body;
    assert!(told.contains(&format!("Take back: receive {count} × {item}")), "{told}");
    assert_eq!(web.send("/orders?job=a", &[("what", "back")]).await.status, StatusCode::SEE_OTHER);
    assert_eq!(rows(&web.get("/orders.csv?job=a").await.body), before);
    // What makes no sense is told on the page, and nothing is booked.
    for (item, packs, why) in
        [(item.as_str(), "0", "is not a number of packs"), ("no such thing", "1", "has no item")]
    {
        let refused = web.send("/orders?job=a", &[("what", "came"), ("item", item), ("packs", packs)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(refused.body.contains(why) && refused.body.contains("<h1>Orders</h1>"), "{}", refused.body);
    }
    assert_eq!(rows(&web.get("/orders.csv?job=a").await.body), before);
}

#[tokio::test]
async fn lists_are_over_the_jobs_that_are_ticked() {
    let web = shop();
    let wanted = |csv: &str| rows(csv).iter().map(|(_, packs)| packs).sum::<i64>();
    let [one, other, both] = ["job=a", "job=b", "job=a&job=b"].map(|query| format!("/orders.csv?{query}"));
    let (one, other) = (web.get(&one).await.body, web.get(&other).await.body);
    let both = web.get(&both).await.body;
    assert!(wanted(&one) < wanted(&both) && wanted(&both) <= wanted(&one) + wanted(&other));
    // A small shop begins with all of them.
    assert_eq!(web.get("/orders.csv").await.body, both);
    let bare = Web::with(&[("a", &example("cabin-board"))]).get("/orders").await;
    assert!(bare.status == StatusCode::OK && bare.body.contains("has no prices.toml"), "{}", bare.body);
}
