//! The Brief: who it is for, what they want, where it will live, what carries it.

use document::format::{RIG, Shape, Table};
use document::{Entry, Job};
use finding::{Field, Judged, Verdict};
use maud::{Markup, html};
use rig::{Requirement, Sink};

use super::fields::Fields;
use super::frame::Head;

/// The page.
pub(crate) struct Brief<'a> {
    pub(crate) head: &'a Head,
    pub(crate) job: &'a Job,
    pub(crate) requirements: &'a [Requirement],
    pub(crate) sinks: &'a [Sink],
    /// What of the requirements was judged.
    pub(crate) judged: Vec<Judged>,
    pub(crate) boards: Vec<Entry>,
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
        let fields = Fields::new(self.head, self.job);
        let table = |name: &'static str, without: &[&str]| match table_of(name) {
            Some(table) => fields.keys(&Field::new([name]), table, without),
            None => html! {},
        };
        let top = |name: &'static str| match RIG.key(name) {
            Some(key) => fields.top(key),
            None => html! {},
        };
        html! {
            div.page.brief {
                div.cols {
                    section.panel { h2 { "Job" } (table("job", &["mains"])) (self.mains()) }
                    section.panel { h2 { "What the client wants" } (table("brief", &["requirements"])) }
                    section.panel { h2 { "Board" } (self.board()) (table("board", &["kind", "search", "title"])) }
                    section.panel { h2 { "Outside the board" } (top("source")) (top("sink")) }
                    section.panel { h2 { "Leads, as usual" } (table("leads", &[])) }
                    section.panel { h2 { "Masses not listed elsewhere" } (top("mass")) }
                    section.panel { h2 { "Switching states" } (top("state")) }
                    section.panel { h2 { "Switches that work several" } (top("switching")) }
                    section.panel { h2 { "Moments" } (top("moment")) }
                    section.panel { h2 { "Plugged in together" } (top("use")) }
                    section.panel { h2 { "Quote" } (table("quote", &[])) }
                }
                (self.wants())
            }
        }
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

    /// What of a requirement is judged, each with its verdict, and a form for one more.
    fn wishes(&self, wanted: &Requirement) -> Markup {
        let head = self.head;
        let own = self.judged.iter().filter(|judged| judged.requirement == wanted.id);
        html! {
            div.wishes {
                @for (at, judged) in own.enumerate() {
                    form method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("wish-away"))
                        input type="hidden" name="id" value=(wanted.id);
                        input type="hidden" name="at" value=(at);
                        span.doc { (verdict(judged)) }
                        button.btn.small type="submit" aria-label={ "Take away: " (judged.wish) } { "×" }
                    }
                }
                details data-key={ "wish-" (wanted.id) } {
                    summary { "Judge it by…" }
                    form.wish method="post" action=(head.edit_to()) data-live="" data-clear="" {
                        (head.edit_fields("wish"))
                        input type="hidden" name="id" value=(wanted.id);
                        label { "What" select name="wish" { @for (word, text) in WISHES { option value=(word) { (text) } } } }
                        label.of { "Devices" input name="of" placeholder="A1, A2" size="12"; }
                        label.measure { "How much" input name="measure" placeholder="100 mm" size="12"; }
                        label.sink {
                            "Amp or desk"
                            select name="sink" { @for sink in self.sinks { option value=(sink.id) { (sink.title) } } }
                        }
                        button.btn.small type="submit" { "Add" }
                    }
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
                    (self.wishes(wanted))
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

/// The kinds of wishes, by what a form says and by what a person reads.
const WISHES: &[(&str, &str)] = &[
    ("order", "this order in the signal"),
    ("place/right-end", "at the right end"),
    ("place/left-end", "at the left end"),
    ("place/front-row", "in the front row"),
    ("place/back-row", "in the back row"),
    ("place/under-deck", "under the deck"),
    ("place/upper-deck", "on the upper deck"),
    ("place/flat", "flat on the deck"),
    ("place/by-feel", "where the foot finds it blind"),
    ("beside", "beside each other"),
    ("together", "near one another"),
    ("apart", "apart by"),
    ("use/often", "used often"),
    ("use/sometimes", "used now and then"),
    ("use/set-and-forget", "set once and left"),
    ("plays", "one still plays without"),
    ("mono", "nothing lost where only one is heard"),
    ("spare", "a free place of"),
    ("mass", "without the case no heavier than"),
    ("mass/cased", "with the case no heavier than"),
];

fn verdict(judged: &Judged) -> String {
    let wish = &judged.wish;
    match &judged.verdict {
        Verdict::Met => format!("met: {wish}"),
        Verdict::NotMet { why, .. } => format!("not met: {wish}; {why}"),
        Verdict::NotKnown { missing, .. } => format!("not judged: {wish}; missing: {missing}"),
    }
}
