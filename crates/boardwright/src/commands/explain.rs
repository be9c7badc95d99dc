//! `boardwright explain`.

use std::fmt::Write;

use crate::args::Explain;
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Explain) -> anyhow::Result<Outcome> {
    let Some(rule) = &options.rule else {
        let mut out = String::new();
        let width = checks::RULES.iter().map(|rule| rule.id.len()).max().unwrap_or(0);
        for rule in checks::RULES {
            let _ = writeln!(out, "{:width$}  {:5}  {}", rule.id, rule.severity.word(), rule.title);
        }
        shell::data(&out)?;
        return Ok(Outcome::Clean);
    };
    let Some(text) = checks::explain(rule) else {
        let near = checks::near_rules(rule);
        let near =
            if near.is_empty() { ";".to_owned() } else { format!("; did you mean {}?", near.join(" or ")) };
        anyhow::bail!("there is no rule `{rule}`{near} `boardwright explain` lists them all")
    };
    shell::data(&text)?;
    Ok(Outcome::Clean)
}
