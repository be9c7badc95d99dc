//! PDF read back by other people's programs: the poppler tools.

use std::io::Write as _;
use std::process::{Command, Stdio};

/// Runs one of the poppler tools on a PDF and gives what it prints.
fn poppler(tool: &str, arguments: &[&str], pdf: &[u8]) -> String {
    let mut child = Command::new(tool)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{tool} (of poppler-utils) runs: {error}"));
    let mut input = child.stdin.take().expect("the input is piped");
    let pdf = pdf.to_vec();
    let writer = std::thread::spawn(move || input.write_all(&pdf));
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("the writer ends").expect("it reads all");
    assert!(output.status.success(), "{tool} accepts the file");
    String::from_utf8(output.stdout).expect("it prints UTF-8")
}

/// The text of a range of pages, without the breaks that long words got.
pub(super) fn text(pdf: &[u8], first: usize, last: usize) -> String {
    let (first, last) = (first.to_string(), last.to_string());
    let text = poppler("pdftotext", &["-layout", "-f", &first, "-l", &last, "-", "-"], pdf);
    text.replace('\u{200b}', "")
}

/// Every word of a page with its box, in points: left, top, right, bottom.
pub(super) fn words(pdf: &[u8], page: usize) -> Vec<([f64; 4], String)> {
    let page = page.to_string();
    let html = poppler("pdftotext", &["-bbox", "-f", &page, "-l", &page, "-", "-"], pdf);
    html.lines()
        .filter_map(|line| {
            let rest = line.trim().strip_prefix("<word ")?;
            let value = |key: &str| -> Option<f64> {
                rest.split_once(&format!("{key}=\""))?.1.split_once('"')?.0.parse().ok()
            };
            let content = rest.split_once('>')?.1.strip_suffix("</word>")?.to_owned();
            Some(([value("xMin")?, value("yMin")?, value("xMax")?, value("yMax")?], content))
        })
        .collect()
}

/// The upright rectangles of the first page, in millimetres: left, top, width, height.
pub(super) fn rectangles(pdf: &[u8]) -> Vec<[f64; 4]> {
    let svg =
        poppler("pdftocairo", &["-svg", "-origpagesizes", "-noshrink", "-f", "1", "-l", "1", "-", "-"], pdf);
    svg.lines().filter(|line| line.trim_start().starts_with("<path")).filter_map(rectangle).collect()
}

/// A path of four corners at right angles, with its transform applied.
fn rectangle(line: &str) -> Option<[f64; 4]> {
    let attribute = |name: &str| Some(line.split_once(&format!(" {name}=\""))?.1.split_once('"')?.0);
    let numbers: Vec<f64> = attribute("d")?
        .split(|c: char| c.is_ascii_alphabetic() || c.is_whitespace() || c == ',')
        .filter_map(|word| word.parse().ok())
        .collect();
    if !matches!(numbers.len(), 8 | 10) || attribute("d")?.contains('C') {
        return None;
    }
    let matrix: Vec<f64> =
        attribute("transform").and_then(|text| text.strip_prefix("matrix(")?.strip_suffix(')')).map_or_else(
            || vec![1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
            |text| text.split([',', ' ']).filter_map(|word| word.parse().ok()).collect(),
        );
    let [a, b, c, d, e, f] = matrix.try_into().ok()?;
    let points: Vec<(f64, f64)> =
        numbers.chunks(2).map(|p| (a * p[0] + c * p[1] + e, b * p[0] + d * p[1] + f)).collect();
    let extent = |values: Vec<f64>| {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    };
    let (left, right) = extent(points.iter().map(|p| p.0).collect());
    let (top, bottom) = extent(points.iter().map(|p| p.1).collect());
    let mm = 25.4 / 72.0;
    Some([left * mm, top * mm, (right - left) * mm, (bottom - top) * mm])
}

/// Every piece of text with its page, its top in millimetres and its size in points.
pub(super) fn sizes(pdf: &[u8]) -> Vec<(usize, f64, f64, String)> {
    /// Pixels in a point, the most the tool gives.
    const ZOOM: f64 = 3.0;
    let xml = poppler("pdftohtml", &["-xml", "-i", "-stdout", "-zoom", "3", "-", "-"], pdf);
    let attribute = |line: &str, name: &str| -> Option<f64> {
        line.split_once(&format!(" {name}=\""))?.1.split_once('"')?.0.parse().ok()
    };
    let (mut page, mut fonts, mut out) = (0, std::collections::BTreeMap::new(), Vec::new());
    for line in xml.lines().map(str::trim) {
        let key = |name: &str| attribute(line, name);
        if line.starts_with("<page ") {
            page += 1;
        } else if let (true, Some(id), Some(size)) = (line.starts_with("<fontspec "), key("id"), key("size"))
        {
            fonts.insert(format!("{id}"), size / ZOOM);
        } else if let (true, Some(top), Some(font)) = (line.starts_with("<text "), key("top"), key("font")) {
            let words: String = line
                .split('<')
                .skip(1)
                .filter_map(|piece| piece.split_once('>'))
                .map(|(_, words)| words)
                .collect();
            let size = fonts.get(&format!("{font}")).copied().expect("its font was told before");
            out.push((page, top / ZOOM * 25.4 / 72.0, size, words));
        }
    }
    out
}
