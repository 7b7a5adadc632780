//! The same book printed with every freedom that the language leaves: case of its words, runs of blanks, lines that
//! go on, blank lines, comments, line ends.

use super::words::{Bit, Book, Dice, Row};

/// One field a line, one blank between bits, no comment.
pub(crate) fn plain(book: &Book) -> String {
    let mut out = String::new();
    for rows in &book.declarations {
        for (at, row) in rows.iter().enumerate() {
            out.push_str(if at == 0 { "" } else { "  " });
            out.push_str(&row.bits.iter().map(words).collect::<Vec<_>>().join(" "));
            out.push('\n');
        }
    }
    out
}

fn words(bit: &Bit) -> &str {
    match bit {
        Bit::Word(said) | Bit::Tight(said) | Bit::Figure(said) | Bit::Unit(said) => said,
        Bit::Name(said) | Bit::Text(said) => said,
    }
}

/// Printed as no one would.
pub(crate) fn noisy(book: &Book, dice: &mut Dice<'_>) -> String {
    let end = dice.of(&["\n", "\r\n"]);
    let mut printer = Printer { out: String::new(), comments: 0, end };
    if dice.below(8) == 7 {
        printer.out.push('\u{FEFF}');
    }
    for rows in &book.declarations {
        printer.between(dice, "");
        for (at, row) in rows.iter().enumerate() {
            if at > 0 {
                printer.between(dice, "  ");
                printer.out.push_str(dice.of(&["  ", "\t", "      "]));
            }
            printer.row(row, at == 0, dice);
            printer.line_end(dice);
        }
    }
    printer.between(dice, "");
    if dice.yes() {
        printer.out.truncate(printer.out.trim_end().len());
    }
    printer.out
}

struct Printer<'e> {
    out: String,
    comments: usize,
    end: &'e str,
}

impl Printer<'_> {
    fn comment(&mut self, dice: &mut Dice<'_>) {
        self.comments += 1;
        let said = dice.of(&["note", "  \"half", "`tick", "share 3", "and # again", ""]);
        self.out.push_str(&format!("#{} {said}", self.comments));
    }

    fn line_end(&mut self, dice: &mut Dice<'_>) {
        match dice.below(6) {
            4 => self.out.push_str("  \t"),
            5 => {
                self.out.push_str(dice.of(&["", " ", "   "]));
                self.comment(dice);
            }
            _ => {}
        }
        self.out.push_str(self.end);
    }

    /// Blank lines and comments between two rows.
    fn between(&mut self, dice: &mut Dice<'_>, indent: &str) {
        while dice.below(4) == 3 {
            match dice.below(3) {
                0 => self.out.push_str(self.end),
                1 => {
                    self.comment(dice);
                    self.out.push_str(self.end);
                }
                _ => {
                    self.out.push_str(if indent.is_empty() { "   " } else { indent });
                    self.comment(dice);
                    self.out.push_str(self.end);
                }
            }
        }
    }

    fn row(&mut self, row: &Row, head: bool, dice: &mut Dice<'_>) {
        for (at, bit) in row.bits.iter().enumerate() {
            if at > 0 {
                let left = &row.bits[at - 1];
                // A label may be followed by anything but a line end before its colon; names of fields start fields.
                let first = head && at < 2;
                self.gap(left, bit, row.goes_on && !first, dice);
            }
            match bit {
                // After a name or a figure a capital belongs to a name or a unit.
                Bit::Word(said)
                    if at > 0
                        && matches!(row.bits[at - 1], Bit::Name(_) | Bit::Figure(_) | Bit::Word("ever" | "always")) =>
                {
                    self.out.push_str(said);
                }
                Bit::Word(said) => self.word(said, dice),
                Bit::Name(said) if row.goes_on => self.name(said, dice),
                other => self.out.push_str(words(other)),
            }
        }
    }

    fn word(&mut self, said: &str, dice: &mut Dice<'_>) {
        let cased = match dice.below(6) {
            // The grammar takes `within` and `Within`, no other case.
            4 if said != "within" => said.to_uppercase(),
            5 => said[..1].to_uppercase() + &said[1..],
            _ => said.to_string(),
        };
        // How a case says its verdict is one word to the parser.
        let wide = dice.below(6) == 5 && said != "ruled out";
        self.out.push_str(&if wide { cased.replace(' ', " \t ") } else { cased });
    }

    /// A name may go on in the next line, at a blank outside of backticks.
    fn name(&mut self, said: &str, dice: &mut Dice<'_>) {
        match said.split_once(' ') {
            Some((left, right)) if !said.contains('`') && dice.below(6) == 5 => {
                self.out.push_str(left);
                if dice.yes() {
                    self.out.push(' ');
                    self.comment(dice);
                }
                self.out.push_str(self.end);
                self.between(dice, "  ");
                self.out.push_str("    ");
                self.out.push_str(right);
            }
            _ => self.out.push_str(said),
        }
    }

    fn gap(&mut self, left: &Bit, right: &Bit, goes_on: bool, dice: &mut Dice<'_>) {
        if goes_on && may_begin_line(right) && !matches!(left, Bit::Word("because")) {
            match dice.below(10) {
                8 => {
                    self.out.push_str(self.end);
                    self.out.push_str("    ");
                    return;
                }
                9 => {
                    self.out.push(' ');
                    self.comment(dice);
                    self.out.push_str(self.end);
                    self.between(dice, "  ");
                    self.out.push_str("   ");
                    return;
                }
                _ => {}
            }
        }
        let tight = matches!((left, right), (Bit::Tight(_), Bit::Tight(_) | Bit::Figure(_) | Bit::Name(_)))
            || matches!((left, right), (Bit::Figure(_), Bit::Unit(_)))
            || matches!((left, right), (Bit::Unit(_) | Bit::Figure(_) | Bit::Name(_), Bit::Tight("," | ")" | "%")));
        self.out.push_str(match dice.below(4) {
            1 if tight => "",
            2 => "  ",
            3 => "\t",
            _ => " ",
        });
    }
}

/// Words that begin a field somewhere, so that a name which begins with one can't begin a line.
const FIELD_WORDS: &[&str] = &["takes", "because", "source", "first", "limit", "in", "for", "from"];

fn may_begin_line(bit: &Bit) -> bool {
    match bit {
        Bit::Name(said) => !FIELD_WORDS.iter().any(|word| said.starts_with(word)) && said != "+-",
        Bit::Word(said) => !matches!(*said, "at most" | "means" | "from" | "share"),
        Bit::Tight(said) => *said != "=",
        _ => true,
    }
}
