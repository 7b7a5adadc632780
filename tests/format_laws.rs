//! The laws of the formatter, over every rulebook of the project and over random ones: the same tree, every comment
//! kept in order, a second run changes nothing, and no text brings it down.

#[path = "format_laws/noise.rs"]
mod noise;
#[path = "format_laws/words.rs"]
mod words;

use std::path::{Path, PathBuf};

use proptest::collection::vec;
use proptest::prelude::*;
use ruleout::source::SourceId;
use ruleout::syntax::format::format;
use ruleout::syntax::parse_book;

use words::Dice;

/// A tree as text without its places: independent of the comparison that the formatter itself makes.
fn said(text: &str) -> Result<String, String> {
    let (tree, problems) = parse_book(SourceId::default(), text);
    if let Some(problem) = problems.first() {
        return Err(format!("{} at {:?}", problem.message, text.get(problem.span().range())));
    }
    let whole = format!("{:?}", tree.declarations);
    let mut parts = whole.split("Span { source: SourceId(0), start: ");
    let mut out = parts.next().unwrap_or("").to_string();
    for part in parts {
        out.push_str(part.split_once('}').map_or(part, |(_, rest)| rest));
    }
    Ok(out)
}

/// Every comment, in order: a `#` outside of quotes, to the end of its line.
fn comments(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.split('\n') {
        let (mut quoted, mut escaped) = (false, false);
        for (at, c) in line.char_indices() {
            match c {
                _ if escaped => escaped = false,
                '\\' if quoted => escaped = true,
                '"' => quoted = !quoted,
                '#' if !quoted => {
                    found.push(line[at..].trim_end().replace('\r', " "));
                    break;
                }
                _ => {}
            }
        }
    }
    found
}

/// The laws for a text that reads without a problem; what it is laid out as.
fn lawful(text: &str) -> Result<String, String> {
    let before = said(text)?;
    let once = format(text).map_err(|problems| format!("refused: {:?}", problems[0].message))?;
    let after = said(&once).map_err(|problem| format!("laid out with a problem: {problem}\n{once}"))?;
    if before != after {
        return Err(format!("says something else:\n{text}\n---\n{once}"));
    }
    if comments(text) != comments(&once) {
        return Err(format!("comments moved or lost:\n{text}\n---\n{once}"));
    }
    let twice = format(&once).map_err(|problems| format!("refused the second time: {:?}", problems[0].message))?;
    if twice != once {
        return Err(format!("a second run changes:\n{once}\n---\n{twice}"));
    }
    tidy(&once)
}

/// What holds for every laid out text, whatever it says.
fn tidy(text: &str) -> Result<String, String> {
    let ends = text.is_empty() || text.ends_with('\n') && !text.ends_with("\n\n");
    let lines = text.lines().all(|line| line == line.trim_end() && !line.contains('\r'));
    if !ends || !lines || text.starts_with(['\n', '\u{FEFF}']) || text.contains("\n\n\n") {
        return Err(format!("not tidy:\n{text:?}"));
    }
    Ok(text.to_string())
}

fn rulebooks_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.is_dir() {
            rulebooks_under(&path, found);
        } else if path.extension().is_some_and(|end| end == "rulebook") {
            found.push(path);
        }
    }
}

#[test]
fn every_rulebook_of_the_project_keeps_the_laws() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = Vec::new();
    for folder in ["rulebooks", "tests/corpus"] {
        rulebooks_under(&root.join(folder), &mut paths);
    }
    let mut texts: Vec<(String, String)> = paths
        .iter()
        .map(|path| (path.display().to_string(), std::fs::read_to_string(path).unwrap_or_default()))
        .collect();
    texts.push(("sample".into(), include_str!("format_laws/written.rulebook").into()));
    for (name, text) in texts {
        let (_, problems) = parse_book(SourceId::default(), &text);
        if problems.is_empty() {
            lawful(&text).unwrap_or_else(|broken| panic!("{name}: {broken}"));
        } else {
            assert_eq!(format(&text), Err(problems), "{name}");
        }
    }
}

#[test]
fn the_sample_is_laid_out_as_written_down() {
    let text = include_str!("format_laws/written.rulebook");
    let expected = include_str!("format_laws/laid_out.rulebook");
    assert_eq!(lawful(text).unwrap(), expected);
    assert_eq!(format(expected).unwrap(), expected);
}

#[test]
fn the_comparison_of_these_tests_sees_what_it_should() {
    let tree = |text| said(text).unwrap();
    assert_eq!(tree("limit a = 3 V\n"), tree("\n\nlimit  a  =  3V\n"));
    assert_ne!(tree("limit a = 3 V\n"), tree("limit a = 4 V\n"));
    assert_ne!(tree("limit a = (b - c) * d\n"), tree("limit a = b - c * d\n"));
    assert_eq!(comments("a # b\n\"#\\\"\" # c # d\n"), ["# b", "# c # d"]);
}

#[test]
fn a_text_with_a_problem_is_left_alone() {
    for text in ["fan runs\n", "limit a = 3,5 V\n", "rule x\n  a is yes\n", "limit a = 3 V\nlimit b = (\n"] {
        let (_, problems) = parse_book(SourceId::default(), text);
        assert!(!problems.is_empty(), "{text}");
        assert_eq!(format(text), Err(problems), "{text}");
    }
}

/// Each law of the layout at its smallest.
#[test]
fn one_layout() {
    let cases = [
        ("\u{FEFF}\r\n\r\nlimit a=11.5V  \r\n", "limit a = 11.5 V\n"),
        ("limit a = ((b)−3)*-2V /( 4 )", "limit a = ((b) - 3) * -2 V / (4)\n"),
        ("limit a = (b)/2 - - c", "limit a = (b) / 2 - - c\n"),
        ("reading r\n  meter +-0.5%+2 digits of 0.01V", "reading r\n  meter ± 0.5 % + 2 digits of 0.01 V\n"),
        ("case c:  r = 3V+-0.1V\n\n\n  r = 0.4.2\n", ""),
        ("case c:  r = 3V+-0.1V\n\n\n  r = ol\n", "case c:\n  r = 3 V ± 0.1 V\n\n  r = OL\n"),
        ("state `a b`\n  needs `a and b`, `c`", "state a b\n  needs `a and b`, c\n"),
        (
            "limit a = 1 V\n\n\nlimit b = 2 V\nlimit c = 3 V\nstate d\n",
            "limit a = 1 V\n\nlimit b = 2 V\nlimit c = 3 V\n\nstate d\n",
        ),
        ("fault\n f \"b\" \"c\"\n \"d\"\n", "fault f \"b\" \"c\"\n  \"d\"\n"),
        ("state a\n  how \"b\" \"c\"\nstate d\n", "state a\n  how \"b\"\n    \"c\"\n\nstate d\n"),
        ("Finding f means a is yes and\n b # c\n", "finding f means a is yes\n    and b  # c\n"),
        ("part p\n#a\n  where \"x\"\n  # b\n# c\n", "part p\n  #a\n  where \"x\"\n  # b\n\n# c\n"),
    ];
    for (written, laid_out) in cases {
        match laid_out {
            "" => assert!(format(written).is_err(), "{written}"),
            _ => assert_eq!(lawful(written).as_deref(), Ok(laid_out), "{written}"),
        }
    }
}

#[test]
fn a_list_wraps_at_a_hundred_columns_and_never_so_that_a_name_begins_a_field() {
    let names = ["takes a long while for the warm"; 9].join(", ");
    let laid_out = lawful(&format!("state a\n  needs {names}\n")).unwrap();
    assert_eq!(laid_out.lines().count(), 2, "no line may begin with `takes`: {laid_out}");
    let laid_out = lawful(&format!("state a\n  needs {}\n", names.replace("takes", "has"))).unwrap();
    let lines: Vec<&str> = laid_out.lines().skip(1).collect();
    assert!(lines.len() > 2 && lines.iter().all(|line| line.len() <= 100), "{laid_out}");
    assert!(lines[1..].iter().all(|line| line.starts_with("    has")), "{laid_out}");
}

#[test]
fn a_sentence_stays_on_its_line_up_to_column_88() {
    let fits = format!("rule x:\n  a is yes and {} is no implies c\n", "b".repeat(57));
    assert_eq!(fits.lines().map(str::len).max(), Some(88));
    assert_eq!(lawful(&fits).unwrap(), fits);
    let longer = lawful(&fits.replace("implies c", "implies cc")).unwrap();
    assert_eq!(longer.lines().count(), 4, "{longer}");
}

#[test]
fn words_that_the_tree_does_not_hold_are_never_dropped() {
    let text = "complaint fans do not run\n  at all\n  may be blown fuse\n";
    assert!(format(text).map_or(true, |once| once.contains("at all")));
}

/// A text of about so many pieces.
type Shape = fn(usize) -> String;

/// Shapes that would show a walk that goes back over what it has read, each at one and at four times a size.
#[test]
fn long_texts_take_time_in_proportion() {
    let shapes: &[(&str, Shape)] = &[
        ("comments", |n| "  # one\n".repeat(n) + "state a\n" + &"  # two\n".repeat(n)),
        ("names", |n| "state b\n  needs a".to_string() + &", `a b`\n    , `c`".repeat(n) + "\n"),
        ("clauses", |n| "finding f means a".to_string() + &" and # why\n  b is yes".repeat(n) + "\n"),
        ("declarations", |n| "state a\n".repeat(n)),
        ("texts", |n| "state a\n  how \"x\"".to_string() + &" \"y\"".repeat(n) + "\n"),
        ("statements", |n| "case a:\n".to_string() + &"  a = 3V # c\n".repeat(n)),
        ("one word", |n| format!("state {}\n", "a".repeat(n))),
    ];
    let time = |text: &str| {
        let start = std::time::Instant::now();
        lawful(text).unwrap();
        start.elapsed().as_secs_f64()
    };
    for (name, shape) in shapes {
        let (small, large) = (time(&shape(1_000)), time(&shape(4_000)));
        assert!(large < 10.0 * small + 0.5, "{name}: {small} s, then {large} s for four times as much");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_books_with_random_layout_keep_the_laws(
        tree in vec(any::<u8>(), 0..160),
        layout in vec(any::<u8>(), 0..400),
    ) {
        let book = words::book(&mut Dice::new(&tree));
        let plain = noise::plain(&book);
        let noisy = noise::noisy(&book, &mut Dice::new(&layout));
        // The noise may not change what is said, or the test would try less than it claims.
        prop_assert_eq!(said(&plain), said(&noisy), "{}\n---\n{}", plain, noisy);
        for text in [plain, noisy] {
            if let Err(broken) = lawful(&text) {
                return Err(TestCaseError::fail(format!("{broken}\n{text}")));
            }
        }
    }

    #[test]
    fn a_damaged_book_is_refused_or_keeps_the_laws(
        edits in vec((any::<prop::sample::Index>(), 0usize..3, "[#\"`a-c (),:=\n\r\t+−±é0-9.]{0,3}"), 1..6),
    ) {
        let mut text = include_str!("format_laws/written.rulebook").to_string();
        for (at, cut, put) in edits {
            let places: Vec<usize> = text.char_indices().map(|(place, _)| place).collect();
            let first = at.index(places.len());
            let end = places.get(first + cut).copied().unwrap_or(text.len());
            text.replace_range(places[first]..end, &put);
        }
        match format(&text) {
            Ok(once) => {
                prop_assert_eq!(said(&text), said(&once), "{}\n---\n{}", text, once);
                prop_assert_eq!(comments(&text), comments(&once), "{}\n---\n{}", text, once);
                prop_assert_eq!(format(&once).ok(), Some(once.clone()), "{}\n---\n{}", text, once);
            }
            // Damage can join words to what no layout says again; then the text is left alone.
            Err(problems) => prop_assert!(said(&text).is_err() || problems[0].code == "format/meaning", "{}", text),
        }
    }

    #[test]
    fn no_text_brings_it_down(text in "[a-c\"`#():=,0-9.+ \t\r\n]{0,80}", free in any::<String>()) {
        for text in [format!("rule {text}"), format!("case x:\n {text}"), format!("complaint {text}"), text, free] {
            let _ = format(&text);
        }
    }
}
