//! The shorter way is held to the grammar.

use arcstr::ArcStr;

use super::super::book::head_by_grammar;
use super::super::fields::by_grammar;
use super::*;
use crate::source::SourceId;
use crate::syntax::layout;
use crate::syntax::words::{DECLARATIONS, DeclarationRow, Head, leading_words};

/// The lines of a book by shape.
fn each_line(text: &str, mut met: impl FnMut(&str, Shape)) {
    let text = layout::without_comments(text);
    let lines = layout::lines(&text);
    for block in layout::blocks(&lines) {
        let head = &text[block.head.range.clone()];
        let Some((row, length)) =
            DECLARATIONS.iter().find_map(|row| leading_words(head, row.text).map(|length| (row, length)))
        else {
            continue;
        };
        let after = block.head.range.start + head.find(':').map_or(length, |at| at + 1);
        for line in layout::logical(&text, row, after..block.head.range.end, block.body) {
            if let Some(field) = line.field {
                met(&text[line.body], field.shape);
            }
        }
    }
}

fn books() -> Vec<String> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![root.join("rulebooks"), root.join("tests")];
    let mut texts = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rulebook") {
                texts.extend(std::fs::read_to_string(path));
            }
        }
    }
    texts
}

fn same(line: &str, shape: Shape) -> bool {
    let line = &ArcStr::from(line);
    let slice = Slice::whole(SourceId::default(), 7, line);
    let Some(quick) = field(slice, shape) else { return false };
    assert_eq!(Some(quick), by_grammar(slice, shape).ok(), "{line:?} as {shape:?}");
    true
}

#[test]
fn plain_lines_are_read_as_the_grammar_reads_them() {
    let (mut quick, mut all) = (0, 0);
    for text in books() {
        each_line(&text, |line, shape| {
            let counts = !matches!(shape, Shape::Text | Shape::Statement);
            quick += usize::from(same(line, shape) && counts);
            all += usize::from(counts);
        });
    }
    assert!(all > 2_000 && quick * 10 > all * 7, "{quick} of {all} lines are plain");
}

/// Every word of many lines in turn left out, doubled, put in capitals, or another in its place.
#[test]
fn lines_gone_wrong_are_read_as_the_grammar_reads_them_or_left_to_it() {
    let others = [
        "and",
        "Not",
        "is",
        "of",
        "12",
        "12.5",
        "V",
        ",",
        "with",
        "to",
        "At",
        "in tolerance",
        "A",
        "times",
        "%",
        "from",
        "in",
        "at",
        "-",
        "-1",
        "=",
        "least",
        "1,5",
        "in 8 of 10",
        "behind",
        "±",
        "closed",
        "opens",
        "may open",
        "Emf",
        "coil",
        "ever",
        "always",
        "within",
        "for at least",
        "bar gauge",
        "V AC",
        "5 to 1",
        "3 times",
        "or",
        "mm²",
        "(",
        ")",
        "low",
        "changes nothing",
        "contact",
        "Contact",
        "May",
    ];
    let mut tried = 0;
    for text in books() {
        let mut count = 0;
        each_line(&text, |line, shape| {
            count += 1;
            let shared = ArcStr::from(line);
            if field(Slice::whole(SourceId::default(), 0, &shared), shape).is_none() || count % 9 != 0 {
                return;
            }
            let words: Vec<&str> = line.split(' ').collect();
            for at in 0..words.len() {
                let other = others[(count + at) % others.len()];
                let upper = words[at].to_uppercase();
                let ways = [vec![], vec![words[at]; 2], vec![upper.as_str()], vec![other], vec![words[at], other]];
                for way in ways {
                    let mended: Vec<&str> = words[..at].iter().chain(&way).chain(&words[at + 1..]).copied().collect();
                    same(&mended.join(" "), shape);
                    tried += 1;
                }
            }
        });
    }
    assert!(tried > 2_000, "{tried}");
}

/// Heads of declarations, as typed and with one word changed.
#[test]
fn plain_heads_are_read_as_the_grammar_reads_them() {
    let (mut quick, mut all, mut tried) = (0, 0, 0usize);
    for text in books() {
        let text = layout::without_comments(&text);
        for block in layout::blocks(&layout::lines(&text)) {
            let head = &text[block.head.range.clone()];
            let found = DECLARATIONS.iter().find_map(|row| leading_words(head, row.text).map(|length| (row, length)));
            let Some((row, length)) = found else { continue };
            if matches!(row.head, Head::Free | Head::Label) {
                continue;
            }
            let said = &head[length..];
            all += 1;
            quick += usize::from(same_head(said, row));
            if all % 5 != 0 {
                continue;
            }
            let words: Vec<&str> = said.split(' ').collect();
            for at in 0..words.len() {
                for way in
                    [vec![], vec!["="], vec![words[at], "12"], vec!["means", words[at]], vec![words[at], "- 0.5 V"]]
                {
                    same_head(&[&words[..at], &way, &words[at + 1..]].concat().join(" "), row);
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 2_000 && quick * 10 > all * 9, "{quick} of {all} heads are plain");
}

fn same_head(said: &str, row: &'static DeclarationRow) -> bool {
    let said = &ArcStr::from(said);
    let slice = Slice::whole(SourceId::default(), 3, said);
    let Some(read) = super::head(slice, row.head) else { return false };
    assert_eq!(Some(read), head_by_grammar(row, slice).ok(), "{said:?} as {:?}", row.head);
    true
}
