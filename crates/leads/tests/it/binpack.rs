//! Reads published bin packing problems.

/// One problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Instance {
    /// Its name; empty where the file gives none.
    pub(crate) name: String,
    /// How large a bin is.
    pub(crate) capacity: i64,
    /// The sizes of the items.
    pub(crate) sizes: Vec<i64>,
}

/// Reads all problems of a file, in either layout; sizes with decimals are made whole by a common factor.
pub(crate) fn read(text: &str) -> Result<Vec<Instance>, String> {
    let mut words = text.split_whitespace().peekable();
    let first = words.next().ok_or("the file is empty")?;
    let first: usize = first.parse().map_err(|_| format!("`{first}` is no count"))?;
    let second = *words.peek().ok_or("the file ends too early")?;
    let next = |words: &mut dyn Iterator<Item = &str>| -> Result<String, String> {
        words.next().map(str::to_owned).ok_or_else(|| "the file ends too early".to_owned())
    };
    let mut out = Vec::new();
    if second.parse::<f64>().is_ok() {
        let capacity = next(&mut words)?;
        let sizes = (0..first).map(|_| next(&mut words)).collect::<Result<Vec<_>, _>>()?;
        out.push(instance("", &capacity, &sizes)?);
        return Ok(out);
    }
    for _ in 0..first {
        let name = next(&mut words)?;
        let capacity = next(&mut words)?;
        let items = next(&mut words)?;
        let items: usize = items.parse().map_err(|_| format!("`{items}` is no count"))?;
        let _best_known = next(&mut words)?;
        let sizes = (0..items).map(|_| next(&mut words)).collect::<Result<Vec<_>, _>>()?;
        out.push(instance(&name, &capacity, &sizes)?);
    }
    Ok(out)
}

fn instance(name: &str, capacity: &str, sizes: &[String]) -> Result<Instance, String> {
    let decimals = |word: &str| word.split_once('.').map_or(0, |(_, part)| part.trim_end_matches('0').len());
    let places = sizes.iter().map(|word| decimals(word)).max().unwrap_or(0).max(decimals(capacity));
    let whole = |word: &str| -> Result<i64, String> {
        let (left, right) = word.split_once('.').unwrap_or((word, ""));
        let right = right.trim_end_matches('0');
        format!("{left}{right:0<places$}").parse().map_err(|_| format!("`{word}` is no size"))
    };
    Ok(Instance {
        name: name.to_owned(),
        capacity: whole(capacity)?,
        sizes: sizes.iter().map(|word| whole(word)).collect::<Result<_, _>>()?,
    })
}
