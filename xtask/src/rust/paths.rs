//! The paths that a source file names: what it imports, and what it calls by its way through modules.

use super::tokens::Token;

/// What a `use` takes in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Import<'a> {
    /// As written, as `crate`, `model`, `Item`; of a glob the module alone.
    pub(crate) path: Vec<&'a str>,
    /// The name it has here; nothing for a glob.
    pub(crate) name: Option<&'a str>,
    /// Handed on to others: `pub use`, also `pub(crate) use`.
    pub(crate) is_handed_on: bool,
}

/// Imports and paths of a file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Named<'a> {
    pub(crate) imports: Vec<Import<'a>>,
    /// Paths of two names or more outside of imports.
    pub(crate) paths: Vec<Vec<&'a str>>,
}

/// Everything that the tokens of a file name by a path.
pub(crate) fn named<'a>(tokens: &[Token<'a>]) -> Named<'a> {
    let mut named = Named::default();
    let mut at = 0;
    while at < tokens.len() {
        if tokens[at].text == "use" {
            let end =
                tokens[at..].iter().position(|token| token.text == ";").map_or(tokens.len(), |end| at + end);
            let is_handed_on = at > 0 && matches!(tokens[at - 1].text, "pub" | ")");
            tree(&tokens[at + 1..end], &[], is_handed_on, &mut named.imports);
            at = end;
        } else if tokens[at].is_word
            && !(at > 0 && tokens[at - 1].text == ":" && is_double(tokens, at.saturating_sub(2)))
        {
            let (path, length) = path(&tokens[at..]);
            if path.len() > 1 {
                named.paths.push(path);
            }
            at += length;
        } else {
            at += 1;
        }
    }
    named
}

/// Whether `::` stands at this place.
fn is_double(tokens: &[Token<'_>], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| token.text == ":")
        && tokens.get(at + 1).is_some_and(|token| token.text == ":")
}

/// The path that the tokens begin with, and how many tokens it takes.
fn path<'a>(tokens: &[Token<'a>]) -> (Vec<&'a str>, usize) {
    let mut path = vec![tokens[0].text];
    let mut at = 1;
    while is_double(tokens, at) && tokens.get(at + 2).is_some_and(|token| token.is_word) {
        path.push(tokens[at + 2].text);
        at += 3;
    }
    (path, at)
}

/// Reads a tree of imports: `a::{b, c::*, d as e}`.
fn tree<'a>(tokens: &[Token<'a>], before: &[&'a str], is_handed_on: bool, found: &mut Vec<Import<'a>>) {
    let mut whole = before.to_vec();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        match token.text {
            "{" => {
                for part in parts(&tokens[at + 1..tokens.len().saturating_sub(1)]) {
                    tree(part, &whole, is_handed_on, found);
                }
                return;
            }
            "*" => {
                found.push(Import { path: whole, name: None, is_handed_on });
                return;
            }
            "as" => break,
            ":" => at += 1,
            name => {
                // `a::{self}` is `a`.
                if name != "self" || whole.is_empty() {
                    whole.push(name);
                }
                at += 1;
            }
        }
    }
    let alias = tokens.get(at + 1).filter(|_| tokens.get(at).is_some_and(|token| token.text == "as"));
    let name = alias.map(|token| token.text).or(whole.last().copied());
    if whole.len() > 1 {
        found.push(Import { path: whole, name, is_handed_on });
    }
}

/// Splits at the commas that stand in no bracket.
fn parts<'a, 'b>(tokens: &'b [Token<'a>]) -> Vec<&'b [Token<'a>]> {
    let mut depth = 0_usize;
    let mut is_comma = |token: &Token<'_>| {
        match token.text {
            "{" => depth += 1,
            "}" => depth -= 1,
            _ => {}
        }
        depth == 0 && token.text == ","
    };
    tokens.split(|token| is_comma(token)).filter(|part| !part.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokens;
    use super::*;

    #[test]
    fn imports_are_spread_out() {
        let found = tokens(
            "use crate::a::{b, c::{D as E, self}, f::*};\npub use g::h;\npub(crate) use super::i as j;\nuse std;\n",
        );
        let told: Vec<String> = named(&found)
            .imports
            .iter()
            .map(|import| {
                let on = if import.is_handed_on { "+" } else { "" };
                format!("{on}{} {}", import.path.join("::"), import.name.unwrap_or("*"))
            })
            .collect();
        assert_eq!(
            told,
            ["crate::a::b b", "crate::a::c::D E", "crate::a::c c", "crate::a::f *", "+g::h h", "+super::i j"]
        );
    }

    #[test]
    fn paths_are_taken_whole() {
        let found = tokens("fn f(x: a::B) -> u8 { c::d::<u8>(x); self::e(); g.h(); Self::new::<T>() }");
        let paths: Vec<String> = named(&found).paths.iter().map(|path| path.join("::")).collect();
        assert_eq!(paths, ["a::B", "c::d", "self::e", "Self::new"]);
    }
}
