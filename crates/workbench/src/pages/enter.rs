//! The door's form.

use maud::html;

use super::frame::bare;

/// Asks for the token and says why.
pub(crate) fn page(why: &str) -> String {
    bare(
        "Token",
        &html! {
            h1 { "Token" }
            p { (why) }
            form method="post" action="/enter" {
                label { "Token " input type="password" name="token" required autocomplete="current-password" autofocus; }
                " "
                button.btn.first type="submit" { "Open" }
            }
        },
    )
}
