//! The Brief: who it is for, what they want, where it will live, what carries it.

use document::format::{Key, RIG, Shape, Table};
use document::{Entry, Job};
use finding::Field;
use maud::{Markup, html};
use rig::{Provenance, Requirement};

use super::frame::Head;
use super::value::packed;

/// The page.
pub(crate) struct Brief<'a> {
    pub(crate) head: &'a Head,
    pub(crate) job: &'a Job,
    pub(crate) requirements: &'a [Requirement],
    pub(crate) boards: Vec<Entry>,
    pub(crate) states: Vec<(String, Vec<String>)>,
}

fn table_of(name: &str) -> Option<&'static Table> {
    match RIG.key(name).map(|key| &key.shape) {
        Some(Shape::Table(table)) => Some(table),
        _ => None,
    }
}

impl Brief<'_> {
    pub(crate) fn tools() -> Markup {
        html! { span.faint { "Every field is kept in the job’s own file the moment it is set." } }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page.brief {
                div.cols {
                    section.panel { h2 { "Job" } (self.keys("job", &[])) (self.mains()) }
                    section.panel { h2 { "What the client wants" } (self.keys("brief", &[])) }
                    section.panel { h2 { "Board" } (self.board()) (self.size()) (self.keys("board", &["kind", "search", "title"])) (self.below(&Field::new(["board", "lid"]), "lid")) (self.below(&Field::new(["board", "case"]), "case")) }
                }
                (self.wants())
                @if !self.states.is_empty() {
                    section.panel { h2 { "Switching states" } table.list { tbody { @for (name, engaged) in &self.states { tr { th scope="row" { (name) } td { @if engaged.is_empty() { "nothing engaged" } @else { (engaged.join(", ")) } } } } } } }
                }
            }
        }
    }

    fn keys(&self, name: &'static str, without: &[&str]) -> Markup {
        let Some(table) = table_of(name) else { return html! {} };
        html! { @for key in table.keys.iter().filter(|key| !without.contains(&key.name)) { (self.field(&Field::new([name]).below(key.name), key)) } }
    }

    fn below(&self, field: &Field, name: &str) -> Markup {
        let inner = table_of("board").and_then(|table| table.key(name)).map(|key| &key.shape);
        let Some(Shape::Table(table)) = inner else { return html! {} };
        html! { fieldset { legend { (super::findings::sentence(name)) } @for key in table.keys { (self.field(&field.below(key.name), key)) } } }
    }

    fn mains(&self) -> Markup {
        let head = self.head;
        let now = |key: &str| {
            self.job.written(&Field::new(["job", "mains", key])).map(|w| w.text).unwrap_or_default()
        };
        html! {
            form.field.two method="post" action=(head.edit_to()) data-live="" {
                (head.edit_fields("set"))
                input type="hidden" name="name" value="mains at home";
                span.label { "Mains" span.doc { "The mains at home." } }
                input type="hidden" name="field" value="job/mains/volts";
                input name="value" size="7" placeholder="230 V" value=(now("volts")) required aria-label="Mains voltage";
                input type="hidden" name="field" value="job/mains/hertz";
                input name="value" size="7" placeholder="50 Hz" value=(now("hertz")) required aria-label="Mains frequency";
                button.btn.small type="submit" { "Set" }
            }
        }
    }

    fn board(&self) -> Markup {
        let head = self.head;
        let now = self.job.written(&Field::new(["board", "kind"])).map(|w| w.text).unwrap_or_default();
        html! {
            form.field method="post" action=(head.edit_to()) data-live="" {
                (head.edit_fields("set"))
                input type="hidden" name="field" value="board/kind";
                input type="hidden" name="name" value="choose the board";
                label for="board-kind" { "Kind" span.doc { "A board of the catalogue." } }
                select #board-kind name="value" { @for entry in &self.boards { option value=(entry.id) selected[entry.id == now] { (entry.title) } } }
                button.btn.small type="submit" { "Set" }
            }
        }
    }

    /// Size of the main deck, to override the kind's.
    fn size(&self) -> Markup {
        let head = self.head;
        html! {
            @for deck in self.job.names_below(&Field::new(["board", "deck"])) {
                @let field = Field::new(["board", "deck", deck.as_str(), "size"]);
                @let now = |key: &str| self.job.written(&field.below(key)).map(|w| w.text).unwrap_or_default();
                @if !now("width").is_empty() {
                    form.field.two method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("set"))
                        input type="hidden" name="name" value={ "size of deck " (deck) };
                        span.label { "Deck " (deck) span.doc { "Width and depth." } }
                        input type="hidden" name="field" value=(packed(&field.below("width")));
                        input name="value" size="7" value=(now("width")) required aria-label={ "Width of deck " (deck) };
                        input type="hidden" name="field" value=(packed(&field.below("depth")));
                        input name="value" size="7" value=(now("depth")) required aria-label={ "Depth of deck " (deck) };
                        button.btn.small type="submit" { "Set" }
                    }
                }
            }
        }
    }

    fn field(&self, field: &Field, key: &'static Key) -> Markup {
        let head = self.head;
        let written = self.job.written(field);
        let text = written.as_ref().map_or("", |written| written.text.as_str());
        let from = written.as_ref().map_or(Provenance::Printed, |written| written.from);
        let id = packed(field).replace('/', "-");
        let is_shown = matches!(
            key.shape,
            Shape::Text | Shape::Tag | Shape::Switch | Shape::Count(_) | Shape::Words(_) | Shape::Measure(_)
        ) && key.name != "from";
        html! {
            @if is_shown {
                form.field method="post" action=(head.edit_to()) data-live="" data-key=(id) {
                    (head.edit_fields("set"))
                    input type="hidden" name="field" value=(packed(field));
                    label for=(id) { (super::findings::sentence(&key.name.replace('_', " "))) span.doc { (key.doc) } }
                    @match &key.shape {
                        Shape::Words(words) => { select id=(id) name="value" { option value="" selected[text.is_empty()] { "not said" } @for word in *words { option selected[*word == text] { (word) } } } }
                        Shape::Switch => { select id=(id) name="value" { option value="" selected[text.is_empty()] { "not said" } option value="true" selected[text == "true"] { "yes" } option value="false" selected[text == "false"] { "no" } } }
                        Shape::Measure(measure) => { input id=(id) name="value" size="9" value=(text) placeholder=(measure.example); }
                        Shape::Count(_) => { input id=(id) name="value" size="4" inputmode="numeric" value=(text); }
                        _ if key.name == "note" || key.name == "music" || key.name == "venues" => { textarea id=(id) name="value" rows="2" { (text) } }
                        _ => { input id=(id) name="value" value=(text); }
                    }
                    @if key.given {
                        select name="from" aria-label={ "Where " (key.name) " comes from" } { @for of in [Provenance::Measured, Provenance::Printed, Provenance::Assumed, Provenance::Unknown] { option value=(of.word()) selected[of == from] { (of.word()) } } }
                    }
                    button.btn.small type="submit" aria-label={ "Set " (key.name) } { "Set" }
                }
            }
        }
    }

    fn wants(&self) -> Markup {
        let head = self.head;
        html! {
            section.panel {
                h2 { "Requirements" span { (self.requirements.len()) } }
                @for wanted in self.requirements {
                    form.field.wide method="post" action=(head.edit_to()) data-live="" data-key={ "want-" (wanted.id) } {
                        (head.edit_fields("requirement"))
                        input type="hidden" name="id" value=(wanted.id);
                        label for={ "want-" (wanted.id) } { b { (wanted.id) } }
                        input id={ "want-" (wanted.id) } name="text" value=(wanted.text);
                        button.btn.small type="submit" aria-label={ "Set " (wanted.id) } { "Set" }
                    }
                }
                form.field.wide method="post" action=(head.edit_to()) data-live="" data-clear="" {
                    (head.edit_fields("requirement"))
                    label for="want-new" { "New" }
                    input #want-new name="text" required placeholder="what must be so, in the client’s words";
                    button.btn.small type="submit" { "Add" }
                }
            }
        }
    }
}
