//! The items of a source file: what they are called, who may see them, which words stand in them.

use std::collections::BTreeSet;

use super::tokens::Token;

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A function, type, trait, constant or macro.
    Named,
    /// What a type does for a trait: there as soon as both are.
    TraitImpl,
    /// An import that gives another name.
    Alias,
    /// A module in a file of its own.
    Module,
    /// A macro called outside of every item: what it makes cannot be seen.
    Call,
}

/// An item, or a function of a type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Item<'a> {
    pub(crate) kind: Kind,
    pub(crate) name: &'a str,
    /// The type whose function it is, or that has the trait.
    pub(crate) owner: Option<&'a str>,
    /// `pub` and no less.
    pub(crate) is_public: bool,
    pub(crate) line: usize,
    /// The words that stand in it.
    pub(crate) words: BTreeSet<&'a str>,
}

/// The items of a file; what is there for tests only is left out.
pub(crate) fn items<'a>(tokens: &[Token<'a>]) -> Vec<Item<'a>> {
    let mut found = Vec::new();
    within(tokens, None, &mut found);
    found
}

/// The tokens of a file without its items for tests only.
pub(crate) fn without_tests<'a>(tokens: &[Token<'a>]) -> Vec<Token<'a>> {
    let mut kept = Vec::new();
    let mut rest = tokens;
    while !rest.is_empty() {
        let (attributes, length) = attributes(rest);
        if length == 0 {
            kept.push(rest[0]);
            rest = &rest[1..];
            continue;
        }
        if is_for_tests(attributes) {
            let body = &rest[length..];
            rest = &body[extent(body)..];
        } else {
            kept.extend_from_slice(attributes);
            rest = &rest[length..];
        }
    }
    kept
}

fn within<'a>(tokens: &[Token<'a>], owner: Option<&'a str>, found: &mut Vec<Item<'a>>) {
    let mut rest = tokens;
    while !rest.is_empty() {
        let (attributes, length) = attributes(rest);
        let body = &rest[length..];
        let end = extent(body);
        if end == 0 {
            // A bracket that closes nothing, or a mark of its own.
            rest = &rest[(length + 1).min(rest.len())..];
            continue;
        }
        if !is_for_tests(attributes) {
            one(attributes, &body[..end], owner, found);
        }
        rest = &body[end..];
    }
}

/// The attributes that stand first, with their number of tokens.
fn attributes<'a, 'b>(tokens: &'b [Token<'a>]) -> (&'b [Token<'a>], usize) {
    let mut length = 0;
    while tokens.get(length).is_some_and(|token| token.text == "#") {
        let inner = usize::from(tokens.get(length + 1).is_some_and(|token| token.text == "!"));
        if tokens.get(length + 1 + inner).is_none_or(|token| token.text != "[") {
            break;
        }
        length += 1 + inner + closed(&tokens[length + 1 + inner..]);
    }
    (&tokens[..length], length)
}

fn is_for_tests(attributes: &[Token<'_>]) -> bool {
    attributes
        .windows(3)
        .any(|three| three[0].text == "cfg" && three[1].text == "(" && three[2].text == "test")
        || attributes.windows(3).any(|three| three[0].text == "[" && three[1].text == "test")
}

/// Tokens from an opening bracket to the one that closes it.
fn closed(tokens: &[Token<'_>]) -> usize {
    let mut depth = 0_usize;
    for (at, token) in tokens.iter().enumerate() {
        match token.text {
            "(" | "[" | "{" => depth += 1,
            ")" | "]" | "}" => {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    return at + 1;
                }
            }
            _ => {}
        }
    }
    tokens.len()
}

/// Tokens of the item that stands first: up to its `;`, or to the end of its block.
fn extent(tokens: &[Token<'_>]) -> usize {
    // A constant, import or alias ends at its semicolon, whatever blocks stand in it.
    let head = head(tokens);
    let ends_at_semicolon = matches!(
        tokens.get(head).map(|token| token.text),
        Some("const" | "static" | "type" | "use" | "let" | "extern")
    ) && tokens.get(head + 1).is_none_or(|token| token.text != "fn");
    let mut at = 0;
    while at < tokens.len() {
        match tokens[at].text {
            ";" => return at + 1,
            "{" if !ends_at_semicolon => return at + closed(&tokens[at..]),
            "(" | "[" | "{" => at += closed(&tokens[at..]),
            ")" | "]" | "}" => return at,
            _ => at += 1,
        }
    }
    at
}

/// Tokens before the keyword: who may see it, and how the function runs.
fn head(tokens: &[Token<'_>]) -> usize {
    let mut at = 0;
    if tokens.first().is_some_and(|token| token.text == "pub") {
        at = 1;
        if tokens.get(1).is_some_and(|token| token.text == "(") {
            at += closed(&tokens[1..]);
        }
    }
    while tokens.get(at).is_some_and(|token| match token.text {
        "unsafe" | "async" | "default" | "auto" => true,
        "const" => tokens.get(at + 1).is_some_and(|next| matches!(next.text, "fn" | "unsafe" | "async")),
        _ => false,
    }) {
        at += 1;
    }
    at
}

fn one<'a>(
    attributes: &[Token<'a>],
    tokens: &[Token<'a>],
    owner: Option<&'a str>,
    found: &mut Vec<Item<'a>>,
) {
    let at = head(tokens);
    let Some(keyword) = tokens.get(at) else { return };
    let is_public = tokens[0].text == "pub" && tokens.get(1).is_some_and(|token| token.text != "(");
    let mut push = |kind, name: Token<'a>, owner, words: BTreeSet<&'a str>| {
        found.push(Item { kind, name: name.text, owner, is_public, line: name.line, words });
    };
    match keyword.text {
        "fn" | "struct" | "enum" | "union" | "trait" | "type" | "const" | "static" => {
            let name = tokens[at + 1..].iter().find(|token| token.is_word && token.text != "mut");
            if let Some(name) = name {
                push(Kind::Named, *name, owner, words(attributes, tokens));
            }
        }
        "macro_rules" => {
            if let Some(name) = tokens.get(at + 2) {
                push(Kind::Named, *name, None, words(attributes, tokens));
            }
        }
        "mod" => {
            if let Some(open) = tokens.iter().position(|token| token.text == "{") {
                within(&tokens[open + 1..tokens.len() - 1], None, found);
            } else if let Some(name) = tokens.get(at + 1) {
                push(Kind::Module, *name, None, BTreeSet::new());
            }
        }
        "impl" => implementation(tokens, found),
        "use" => {
            for three in tokens.windows(3).filter(|three| three[1].text == "as") {
                push(Kind::Alias, three[2], None, BTreeSet::from([three[0].text]));
            }
        }
        _ if tokens.iter().any(|token| token.text == "!") => {
            push(Kind::Call, *keyword, owner, words(attributes, tokens));
        }
        _ => {}
    }
}

fn words<'a>(attributes: &[Token<'a>], tokens: &[Token<'a>]) -> BTreeSet<&'a str> {
    attributes.iter().chain(tokens).filter(|token| token.is_word).map(|token| token.text).collect()
}

fn implementation<'a>(tokens: &[Token<'a>], found: &mut Vec<Item<'a>>) {
    let Some(open) = tokens.iter().position(|token| token.text == "{") else { return };
    let header = &tokens[1..open];
    let after = skip_generics(header);
    let header = &header[after..];
    let split = header.iter().enumerate().position(|(at, token)| {
        token.text == "for" && header.get(at + 1).is_none_or(|next| next.text != "<")
    });
    let subject = split.map_or(header, |at| &header[at + 1..]);
    let owner = last_of_path(subject);
    match (split, owner) {
        (None, Some(owner)) => within(&tokens[open + 1..tokens.len() - 1], Some(owner.text), found),
        (Some(at), Some(owner)) => {
            let name = last_of_path(&header[..at]).unwrap_or(owner);
            let words = words(&[], tokens);
            found.push(Item {
                kind: Kind::TraitImpl,
                name: name.text,
                owner: Some(owner.text),
                is_public: false,
                line: name.line,
                words,
            });
        }
        _ => {}
    }
}

fn skip_generics(tokens: &[Token<'_>]) -> usize {
    if tokens.first().is_none_or(|token| token.text != "<") {
        return 0;
    }
    let mut depth = 0_usize;
    for (at, token) in tokens.iter().enumerate() {
        match token.text {
            "<" => depth += 1,
            // Not the second half of an arrow.
            ">" if tokens[at - 1].text != "-" => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return at + 1;
        }
    }
    tokens.len()
}

/// The last name of the path that the tokens begin with, before what it is given in `<>`.
fn last_of_path<'a>(tokens: &[Token<'a>]) -> Option<Token<'a>> {
    let skipped = tokens
        .iter()
        .position(|token| token.is_word && !matches!(token.text, "dyn" | "mut" | "const" | "a"))?;
    let mut last = tokens[skipped];
    let mut at = skipped + 1;
    while tokens.len() > at + 2 && tokens[at].text == ":" && tokens[at + 2].is_word {
        last = tokens[at + 2];
        at += 3;
    }
    Some(last)
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokens;
    use super::*;

    fn told(text: &str) -> Vec<String> {
        items(&tokens(text))
            .iter()
            .map(|item| {
                let owner = item.owner.map(|owner| format!("{owner}::")).unwrap_or_default();
                let public = if item.is_public { "pub " } else { "" };
                format!("{public}{:?} {owner}{}@{}", item.kind, item.name, item.line)
            })
            .collect()
    }

    #[test]
    fn each_kind_is_found() {
        let text = "//! Opening.\n#![warn(x)]\npub mod a;\npub struct S<'a>(pub &'a [u8; 3]);\n\
            pub const N: [u8; 2] = { [1, 2] };\npub(crate) const fn f(x: [u8; 3]) -> u8 { x[0] }\n\
            impl<'a> S<'a> {\n    /// It is.\n    pub const K: u8 = 1;\n    #[must_use]\n    pub fn new() -> Self { Self(&[]) }\n}\n\
            impl<T: Into<u8>> fmt::Display for S<'_> { fn fmt(&self) {} }\n\
            use a::{B as C, D};\nthread_local! { static X: u8 = 1; }\nmacro_rules! m { () => {} }\n\
            mod inner { pub enum E { A } }\npub trait T { fn t(&self); }";
        assert_eq!(
            told(text),
            [
                "pub Module a@3",
                "pub Named S@4",
                "pub Named N@5",
                "Named f@6",
                "pub Named S::K@9",
                "pub Named S::new@11",
                "TraitImpl S::Display@13",
                "Alias C@14",
                "Call thread_local@15",
                "Named m@16",
                "pub Named E@17",
                "pub Named T@18"
            ]
        );
    }

    #[test]
    fn what_is_for_tests_is_left_out() {
        let text = "fn a() {}\n#[cfg(test)]\nmod tests { fn b() {} }\n#[test]\nfn c() {}\n#[cfg(test)]\nuse x::y;\nfn d() {}";
        assert_eq!(told(text), ["Named a@1", "Named d@8"]);
        let kept: Vec<&str> = without_tests(&tokens(text)).iter().map(|token| token.text).collect();
        assert_eq!(kept, ["fn", "a", "(", ")", "{", "}", "fn", "d", "(", ")", "{", "}"]);
    }
}
