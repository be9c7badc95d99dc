//! Text from a document is data: hostile tags and titles never become markup.

use crate::web::{PLACES, Web, example};

const EVIL: &str = "</text><script>alert(1)</script>\\\"><img src=x onerror=alert(2)>";

#[tokio::test]
async fn hostile_words_are_escaped_everywhere() {
    let text = example("church-bass")
        .replace("title = \"Church bass board\"", &format!("title = \"{EVIL}\""))
        .replace("title = \"compressor\"", &format!("title = \"{EVIL}\""))
        .replace("\"B4\"", "\"B<b>4'&\"")
        .replace("\"B4.", "\"B<b>4'&.")
        .replace("id = \"R1\", text = \"", &format!("id = \"R1\", text = \"{EVIL}"))
        .replace("name = \"desk feed\"", "name = \"<script>feed\"");
    let web = Web::with(&[("a", &text)]);
    let mut addresses: Vec<String> = PLACES.iter().map(|place| format!("/job/a/{place}")).collect();
    addresses.extend([
        "/".to_owned(),
        "/job/a/deck?pick=B%3Cb%3E4%27%26".to_owned(),
        "/job/a/gear?pick=B%3Cb%3E4%27%26".to_owned(),
    ]);
    addresses.extend(
        [
            "/job/a/where?field=%3Cscript%3E%2Fx",
            "/job/a/build?all=1",
            "/job/a/gear?add=catalogue&words=%3Cscript%3E",
        ]
        .map(str::to_owned),
    );
    for address in addresses {
        let answer = web.get(&address).await;
        assert!(answer.status.is_success(), "{address}: {}\n{}", answer.status, answer.body);
        for bad in ["<script>alert", "<img src=x", "B<b>4", "<script>feed", "<script>/x"] {
            assert!(!answer.body.contains(bad), "{address} lets {bad} through");
        }
    }
    let why = [("base", "1"), ("letter", "A"), ("why", "<script>alert(3)</script>"), ("by", "<img src=x>")];
    assert!(web.send("/job/a/freeze", &why).await.status.is_success());
    let page = web.get("/job/a/papers").await.body;
    assert!(page.contains("&lt;script&gt;alert(3)") && !page.contains("<img src=x"), "{page}");
    let frozen = web.get("/job/a/revision/A").await;
    assert_eq!(frozen.headers[axum::http::header::CONTENT_TYPE], "text/plain; charset=utf-8");
    let preview = web.send("/job/a/gear/preview", &[("rows", "tag\ttitle\n<script>\t<img src=x>\n")]).await;
    assert!(preview.status.is_success() && !preview.body.contains("<img src=x"), "{}", preview.body);
}

#[tokio::test]
async fn an_unreadable_document_has_a_page_and_a_way_out() {
    let web = Web::with(&[("a", "format = 1\n[job]\ntitle = <script>\n")]);
    for place in PLACES {
        let answer = web.get(&format!("/job/a/{place}")).await;
        assert!(answer.status.is_success() && answer.body.contains("cannot be read"), "{place}");
        assert!(!answer.body.contains("<script>\n"));
    }
    assert!(web.get("/").await.body.contains("cannot be read"));
}
