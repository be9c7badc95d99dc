//! Somebody at the workbench: each field that is filled, each choice, each press of a button is one action.

use serde_json::json;

use crate::browser::Browser;

pub(crate) struct Person<'a> {
    pub(crate) browser: &'a Browser,
    pub(crate) actions: usize,
}

impl<'a> Person<'a> {
    pub(crate) fn at(browser: &'a Browser) -> Self {
        Self { browser, actions: 0 }
    }

    /// Waits until this is what would be taken back next.
    pub(crate) async fn undoable(&self, what: &str) {
        let named = "return document.querySelector('[data-step=undo] .name')?.textContent";
        self.browser.until(what, &format!("{named} === {}", json!(what))).await;
    }

    /// Types into a field and stays there.
    pub(crate) async fn types(&mut self, selector: &str, text: &str) {
        self.actions += 1;
        let field = self.browser.find(selector).await;
        field.click().await.expect("click");
        self.browser.js("document.activeElement.select?.()", vec![]).await;
        field.send_keys(text).await.expect("typed");
    }

    /// Types into a field and leaves it.
    pub(crate) async fn fills(&mut self, selector: &str, text: &str) {
        self.types(selector, &format!("{text}\t")).await;
    }

    pub(crate) async fn chooses(&mut self, selector: &str, word: &str) {
        self.actions += 1;
        let script = "const s = document.querySelector(arguments[0]); s.value = arguments[1]; s.dispatchEvent(new Event('input', { bubbles: true })); s.dispatchEvent(new Event('change', { bubbles: true }))";
        self.browser.js(script, vec![json!(selector), json!(word)]).await;
    }

    pub(crate) async fn presses(&mut self, selector: &str) {
        self.actions += 1;
        self.browser.find(selector).await.click().await.expect("click");
    }

    /// Presses the button that says this.
    pub(crate) async fn says(&mut self, words: &str) {
        self.actions += 1;
        let there =
            "[...document.querySelectorAll('button')].find(b => b.textContent.trim() === arguments[0])";
        self.browser
            .until(words, &format!("return !!{}", there.replace("arguments[0]", &json!(words).to_string())))
            .await;
        self.browser.js(&format!("{there}.click()"), vec![json!(words)]).await;
    }

    /// A picture for the guide, without what was said last.
    pub(crate) async fn picture(&self, name: &str) {
        self.browser.js("document.querySelector('#said')?.replaceChildren()", vec![]).await;
        self.browser.picture(&format!("guide-{name}")).await;
    }
}
