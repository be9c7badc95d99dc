//! Tables as files of values: UTF-8 with its signature, so that spreadsheets know it, commas and quotes after RFC 4180, nothing that a spreadsheet would run.

/// What tells a spreadsheet that a file is UTF-8.
const SIGNATURE: &str = "\u{feff}";

/// Rows as text: each ends in CR LF.
pub(crate) fn csv(rows: &[Vec<String>]) -> String {
    let mut out = String::from(SIGNATURE);
    for row in rows {
        let fields: Vec<String> = row.iter().map(|field| quoted(&harmless(field))).collect();
        out.push_str(&fields.join(","));
        out.push_str("\r\n");
    }
    out
}

/// A field that a spreadsheet takes as text: what would begin a formula gets an apostrophe before it. Figures
/// stay figures, with the plain minus that programs read.
fn harmless(field: &str) -> String {
    let figure = field.replace('\u{2212}', "-").replace('\u{202f}', "");
    if figure.parse::<f64>().is_ok_and(f64::is_finite) {
        return figure;
    }
    // A tab or a return at the start begins a formula in some programs; so do these signs after blanks.
    let hidden = field.starts_with(['\t', '\r', '\n']);
    let cleaned: String =
        field.chars().filter(|c| !is_direction(*c)).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let cleaned = cleaned.trim_end();
    if hidden
        || cleaned
            .trim_start()
            .starts_with(['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'])
    {
        format!("'{}", cleaned.trim_start())
    } else {
        cleaned.to_owned()
    }
}

/// Marks that turn the direction of writing, and what is invisible.
fn is_direction(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

fn quoted(field: &str) -> String {
    if field.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_text_and_figures_stay_figures() {
        for (field, kept) in [
            ("=CMD()", "'=CMD()"),
            ("+1+1", "'+1+1"),
            ("-x", "'-x"),
            ("@sum", "'@sum"),
            ("\t=1", "'=1"),
            ("\r=1", "'=1"),
            (" =1", "'=1"),
            ("\u{202e}=1", "'=1"),
            ("−9", "-9"),
            ("-9.5", "-9.5"),
            ("9 V", "9 V"),
        ] {
            assert_eq!(harmless(field), kept, "{field:?}");
        }
    }

    #[test]
    fn commas_quotes_and_lines_are_quoted() {
        let rows = vec![vec!["a,b".to_owned(), "say \"x\"".to_owned(), "plain".to_owned()]];
        assert_eq!(csv(&rows), "\u{feff}\"a,b\",\"say \"\"x\"\"\",plain\r\n");
    }
}
