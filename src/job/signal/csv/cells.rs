//! A line cut into cells.

/// Calls `each` with the number and bytes of every cell, until it says to stop.
pub(super) fn each_cell<'l>(line: &'l [u8], separator: u8, mut each: impl FnMut(usize, &'l [u8]) -> bool) {
    let quoted = memchr::memchr(b'"', line).is_some();
    let (mut start, mut place) = (0, 0);
    while start <= line.len() {
        let rest = line.get(start..).unwrap_or_default();
        let length = if quoted { quoted_length(rest, separator) } else { plain_length(rest, separator) };
        if !each(place, rest.get(..length).unwrap_or_default()) {
            return;
        }
        start += length + 1;
        place += 1;
    }
}

fn plain_length(rest: &[u8], separator: u8) -> usize {
    memchr::memchr(separator, rest).unwrap_or(rest.len())
}

/// Up to the next separator outside of quotes.
fn quoted_length(rest: &[u8], separator: u8) -> usize {
    let mut inside = false;
    for (at, byte) in rest.iter().enumerate() {
        match byte {
            b'"' => inside = !inside,
            _ if *byte == separator && !inside => return at,
            _ => {}
        }
    }
    // A quote that is never closed stands for itself.
    if inside { plain_length(rest, separator) } else { rest.len() }
}

/// The cells of a line.
pub(super) fn cells(line: &[u8], separator: u8) -> Vec<&[u8]> {
    let mut all = Vec::new();
    each_cell(line, separator, |_, cell| {
        all.push(cell);
        all.len() <= super::MOST_COLUMNS
    });
    all
}

/// A cell without blanks around it and without its quotes.
pub(super) fn bare(cell: &[u8]) -> &[u8] {
    let cell = cell.trim_ascii();
    match cell {
        [b'"', inner @ .., b'"'] => inner.trim_ascii(),
        _ => cell,
    }
}

/// A cell as text: UTF-8, else Latin-1, which has a letter for every byte.
pub(super) fn text(cell: &[u8]) -> String {
    let cell = bare(cell);
    match std::str::from_utf8(cell) {
        Ok(text) => text.to_string(),
        Err(_) => cell.iter().map(|byte| char::from(*byte)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(line: &str) -> Vec<String> {
        cells(line.as_bytes(), b',').into_iter().map(text).collect()
    }

    #[test]
    fn quotes_hold_a_separator_and_a_stray_one_swallows_nothing() {
        assert_eq!(cut("1,\"2,5\",3"), ["1", "2,5", "3"]);
        assert_eq!(cut("1,\"2,3"), ["1", "\"2", "3"]);
        assert_eq!(cut(""), [""]);
        assert_eq!(cut("a,,"), ["a", "", ""]);
    }
}
