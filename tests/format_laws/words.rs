//! Random rulebooks as rows of bits: every kind of declaration, field, condition and statement of the language.
//! All draws come from the bytes that proptest hands over, so a failing book shrinks.

/// Draws from a row of bytes; after the last one every draw is the first choice.
pub(crate) struct Dice<'b> {
    bytes: std::slice::Iter<'b, u8>,
}

impl<'b> Dice<'b> {
    pub(crate) fn new(bytes: &'b [u8]) -> Self {
        Self { bytes: bytes.iter() }
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        self.bytes.next().map_or(0, |byte| usize::from(*byte) % count)
    }

    pub(crate) fn of<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all[self.below(all.len())]
    }

    pub(crate) fn yes(&mut self) -> bool {
        self.below(2) == 1
    }
}

/// What is printed between two gaps.
#[derive(Clone, Debug)]
pub(crate) enum Bit {
    /// Words of the language: any case, any run of blanks inside.
    Word(&'static str),
    /// Printed as it is.
    Name(String),
    /// Printed as it is; blanks around it may be left out.
    Tight(&'static str),
    /// Digits; a unit may follow without a blank.
    Figure(&'static str),
    Unit(&'static str),
    Text(String),
}

/// A line of a declaration with what may follow it.
pub(crate) struct Row {
    pub(crate) bits: Vec<Bit>,
    pub(crate) goes_on: bool,
}

pub(crate) struct Book {
    /// Each with its first row.
    pub(crate) declarations: Vec<Vec<Row>>,
}

const NAMES: &[&str] = &[
    "fan",
    "supply at fan connector",
    "a",
    "B-2",
    "relay K2 coil",
    "`zone 3`",
    "zone 3 left",
    "température côté",
    "`fan`",
    "`ever`",
    "`wire and plug`",
    "`plug, (3)`",
    "takes long",
    "because of it",
    "source of air",
    "`at most`",
    "`5 V rail`",
    "`tolerance`",
    "Fan  Runs",
    "a+b",
    "first",
    "`  needs   it `",
    "`always`",
    "limit",
    "`in`",
    "`for`",
    "`is low`",
    "`fan ever`",
    "AC",
    "a rather long name of a reading that fills up the line soon",
];
const FIGURES: &[&str] = &["1", "11.5", "0.05", "007", "25"];
const UNITS: &[&str] = &["V", "mm²", "V AC", "%", "kPa gauge", "ohm", "degC", "µA", "V/m"];
const TEXTS: &[&str] =
    &["\"x\"", "\"one # two\"", "\"say \\\"so\\\" \"", "\"\"", "\"a  b, `c` and (d)\"", "\"back \\\\\""];
const LABELS: &[&str] = &["feed lost", "a  b, c", "`and so`", "No. 3 (old) = new", "say \"so\"", "first"];

pub(crate) fn book(dice: &mut Dice<'_>) -> Book {
    let count = 1 + dice.below(5);
    Book { declarations: (0..count).map(|_| declaration(dice)).collect() }
}

fn word(word: &'static str) -> Bit {
    Bit::Word(word)
}

fn name(dice: &mut Dice<'_>) -> Bit {
    Bit::Name(dice.of(NAMES).to_string())
}

fn names(dice: &mut Dice<'_>) -> Vec<Bit> {
    let mut bits = vec![name(dice)];
    while dice.below(3) == 2 {
        bits.extend([Bit::Tight(","), name(dice)]);
    }
    bits
}

fn texts(dice: &mut Dice<'_>) -> Vec<Bit> {
    let mut bits = vec![Bit::Text(dice.of(TEXTS).to_string())];
    while dice.below(4) == 3 {
        bits.push(Bit::Text(dice.of(TEXTS).to_string()));
    }
    bits
}

fn quantity(dice: &mut Dice<'_>) -> Vec<Bit> {
    vec![Bit::Figure(FIGURES[dice.below(FIGURES.len())]), Bit::Unit(UNITS[dice.below(UNITS.len())])]
}

fn joined(parts: impl IntoIterator<Item = Vec<Bit>>) -> Vec<Bit> {
    parts.into_iter().flatten().collect()
}

fn sum(dice: &mut Dice<'_>, depth: usize) -> Vec<Bit> {
    match dice.below(if depth == 0 { 3 } else { 8 }) {
        0 => vec![name(dice)],
        1 => quantity(dice),
        2 => joined([vec![Bit::Tight("-")], quantity(dice)]),
        3 => joined([vec![Bit::Tight("(")], sum(dice, depth - 1), vec![Bit::Tight(")")]]),
        4 => joined([
            vec![Bit::Name("wire resistance".into()), Bit::Tight("(")],
            sum(dice, depth - 1),
            vec![Bit::Tight(",")],
            sum(dice, depth - 1),
            vec![Bit::Tight(")")],
        ]),
        5 => joined([vec![Bit::Tight("−"), Bit::Tight("(")], sum(dice, depth - 1), vec![Bit::Tight(")")]]),
        _ => {
            let operator = dice.of(&[" + ", " - ", " * ", " / ", " × ", " − ", " ÷ "]);
            joined([sum(dice, depth - 1), vec![Bit::Name(operator.trim().into())], sum(dice, depth - 1)])
        }
    }
}

fn test(dice: &mut Dice<'_>) -> Vec<Bit> {
    match dice.below(8) {
        0 => vec![word("in tolerance")],
        1 => vec![word("is"), word("out of tolerance")],
        2 => vec![word("below"), word("tolerance")],
        3 => joined([vec![word("between")], sum(dice, 1), vec![word("and")], sum(dice, 1)]),
        4 => joined([vec![word("outside")], sum(dice, 1), vec![word("to")], sum(dice, 1)]),
        5 => vec![word("is"), name(dice)],
        6 => vec![word("is"), word("not"), name(dice)],
        _ => {
            let words = ["below", "above", "at least", "at most"];
            joined([vec![word(words[dice.below(4)])], sum(dice, 2)])
        }
    }
}

fn setup(dice: &mut Dice<'_>) -> Vec<Bit> {
    let mut bits = vec![word("with"), name(dice)];
    while dice.below(3) == 2 {
        match dice.below(4) {
            0 => bits.extend([Bit::Tight(","), word("without"), name(dice)]),
            1 => bits.extend([word("without"), name(dice)]),
            2 => bits.extend([Bit::Tight(","), name(dice), word("is"), name(dice)]),
            _ => bits.extend([Bit::Tight(","), name(dice), word("is"), word("not"), name(dice)]),
        }
    }
    bits
}

fn signal(dice: &mut Dice<'_>) -> Vec<Bit> {
    match dice.below(3) {
        0 => vec![word("for at least"), Bit::Figure("50"), Bit::Unit("ms")],
        1 => vec![Bit::Figure("3"), word("times")],
        _ => vec![word("within"), Bit::Figure("2"), Bit::Unit("s"), word("after"), name(dice), word("is"), name(dice)],
    }
}

fn atom(dice: &mut Dice<'_>) -> Vec<Bit> {
    let mut bits = if dice.yes() { vec![name(dice)] } else { sum(dice, 2) };
    if dice.below(6) == 5 {
        bits.push(word(["ever", "always"][dice.below(2)]));
    }
    bits.extend(test(dice));
    if dice.below(4) == 3 {
        bits.extend(signal(dice));
    }
    if dice.below(3) == 2 {
        bits.extend(setup(dice));
    }
    bits
}

fn condition(dice: &mut Dice<'_>, depth: usize) -> Vec<Bit> {
    let mut bits = Vec::new();
    loop {
        if dice.below(5) == 4 {
            bits.push(word("not"));
        }
        match dice.below(if depth == 0 { 2 } else { 3 }) {
            0 => bits.extend(atom(dice)),
            1 => bits.push(name(dice)),
            _ => {
                let inner = condition(dice, depth - 1);
                bits.extend(joined([
                    vec![Bit::Tight("(")],
                    inner,
                    vec![word("and")],
                    atom(dice),
                    vec![Bit::Tight(")")],
                ]));
                if dice.yes() {
                    bits.extend(setup(dice));
                }
            }
        }
        match dice.below(4) {
            2 => bits.push(word("and")),
            3 => bits.push(word("or")),
            _ => return bits,
        }
    }
}

fn conclusion(dice: &mut Dice<'_>) -> Vec<Bit> {
    let odds = [Bit::Figure("5"), word("to"), Bit::Figure("1.5")];
    match dice.below(5) {
        0 => joined([vec![word("implies")], names(dice)]),
        1 => vec![word("implies"), name(dice), word("or"), name(dice)],
        2 => joined([vec![word("rules out")], names(dice)]),
        3 => joined([vec![word("suggests")], names(dice), odds.to_vec()]),
        _ => joined([vec![word("speaks against"), name(dice)], odds.to_vec()]),
    }
}

fn sentence(dice: &mut Dice<'_>) -> Vec<Bit> {
    let mut bits = joined([condition(dice, 2), conclusion(dice)]);
    while dice.below(3) == 2 {
        if dice.yes() {
            bits.push(word("and"));
        }
        bits.extend(conclusion(dice));
    }
    bits
}

fn row(parts: impl IntoIterator<Item = Vec<Bit>>) -> Row {
    Row { bits: joined(parts), goes_on: true }
}

fn own(parts: impl IntoIterator<Item = Vec<Bit>>) -> Row {
    Row { goes_on: false, ..row(parts) }
}

fn label(dice: &mut Dice<'_>, begins: &'static str) -> Row {
    own([vec![word(begins), Bit::Name(dice.of(LABELS).into()), Bit::Tight(":")]])
}

fn declaration(dice: &mut Dice<'_>) -> Vec<Row> {
    match dice.below(11) {
        0 => vec![row([vec![word("state"), name(dice)]])],
        1 => {
            let head = row([vec![word("limit"), name(dice), Bit::Tight("=")], sum(dice, 3)]);
            many(dice, head, limit)
        }
        2 => {
            let head = row([vec![word("reading"), name(dice)]]);
            many(dice, head, reading)
        }
        3 => {
            let head = own([vec![word("fault"), name(dice)]]);
            many(dice, head, fault)
        }
        4 => {
            let head = row([vec![word("finding"), name(dice), word("means")], condition(dice, 2)]);
            many(dice, head, limit)
        }
        5 => {
            let head = label(dice, "case");
            many(dice, head, statement)
        }
        6 => {
            let head = own([vec![word("circuit"), name(dice)]]);
            many(dice, head, element)
        }
        7 => vec![
            own([vec![word("complaint"), Bit::Name(dice.of(LABELS).into())]]),
            row([vec![word("may be")], names(dice)]),
        ],
        8 => vec![own([vec![word("caution"), name(dice)], texts(dice)]), row([vec![word("stop")]])],
        9 => vec![
            row([vec![word("rulebook"), Bit::Text(dice.of(TEXTS).into())]]),
            row([vec![word("at most"), Bit::Figure("2"), word("faults at once")]]),
        ],
        _ => {
            let head = label(dice, "rule");
            let sentence = sentence(dice);
            vec![head, row([sentence]), row([vec![word("because")], texts(dice)])]
        }
    }
}

fn many(dice: &mut Dice<'_>, head: Row, field: fn(&mut Dice<'_>) -> Row) -> Vec<Row> {
    let count = dice.below(4);
    std::iter::once(head).chain((0..count).map(|_| field(dice))).collect()
}

fn limit(dice: &mut Dice<'_>) -> Row {
    row([vec![word("because")], texts(dice)])
}

fn reading(dice: &mut Dice<'_>) -> Row {
    match dice.below(6) {
        0 => row([vec![word("unit"), Bit::Unit("kPa gauge")]]),
        1 => row([vec![word("tolerance")], sum(dice, 2), vec![word("to")], sum(dice, 1), setup(dice)]),
        2 => row([
            vec![word("bands"), Bit::Name("low".into()), word("below"), Bit::Figure("5"), Bit::Unit("V")],
            if dice.yes() { vec![Bit::Tight(",")] } else { Vec::new() },
            vec![Bit::Name("good enough".into()), Bit::Tight("-")],
            quantity(dice),
            vec![word("to")],
            quantity(dice),
        ]),
        3 => row([
            vec![word("meter"), Bit::Figure("0.5"), Bit::Tight("%"), Bit::Tight("+"), Bit::Figure("2")],
            vec![word("digits"), word("of")],
            quantity(dice),
        ]),
        4 => row([vec![word("unaffected by")], names(dice)]),
        _ => row([vec![word("where")], texts(dice)]),
    }
}

fn fault(dice: &mut Dice<'_>) -> Row {
    match dice.below(4) {
        0 => row([vec![word("remedy")], texts(dice)]),
        1 => row([vec![word("share"), Bit::Figure("15")]]),
        2 => row([vec![word("verify")], condition(dice, 1)]),
        _ => row([
            vec![word("shows")],
            condition(dice, 2),
            vec![word("in"), Bit::Figure("8"), word("of"), Bit::Figure("10")],
        ]),
    }
}

fn statement(dice: &mut Dice<'_>) -> Row {
    let reading = || Bit::Name("supply".into());
    match dice.below(8) {
        0 => own([setup(dice)]),
        1 => own([vec![reading(), Bit::Tight("=")], quantity(dice), vec![Bit::Tight("±")], quantity(dice)]),
        2 => own([vec![reading(), Bit::Tight("=")], quantity(dice), vec![Bit::Name("+-".into())], quantity(dice)]),
        3 => own([vec![reading(), Bit::Tight("="), Bit::Name("ol".into())], setup(dice)]),
        4 => own([vec![Bit::Name("fan runs".into()), word("is"), Bit::Name("`yes`".into())]]),
        5 => own([vec![word("take back")]]),
        6 => own([vec![
            word("expect"),
            Bit::Name("`wire and plug`".into()),
            word("ruled out"),
            Bit::Tight(","),
            Bit::Name("fan".into()),
            word("proved"),
        ]]),
        _ => own([vec![reading(), word("not measured")]]),
    }
}

fn element(dice: &mut Dice<'_>) -> Row {
    let ends = || vec![word("from"), Bit::Name("battery post".into()), word("to"), Bit::Name("`relay 30`".into())];
    match dice.below(6) {
        0 => own([
            vec![word("wire"), Bit::Name("fan feed".into())],
            ends(),
            vec![Bit::Tight(",")],
            quantity(dice),
            vec![word("of")],
            quantity(dice),
        ]),
        1 => own([
            vec![word("battery")],
            ends(),
            vec![Bit::Tight(","), word("EMF")],
            quantity(dice),
            vec![word("to")],
            quantity(dice),
        ]),
        2 => own([
            vec![word("relay"), Bit::Name("`K2`".into()), word("coil")],
            ends(),
            vec![Bit::Tight(",")],
            quantity(dice),
            vec![Bit::Tight("±"), Bit::Figure("10"), Bit::Tight("%")],
        ]),
        3 => own([vec![word("fault"), Bit::Name("`open feed`".into()), word("opens"), Bit::Name("fan feed".into())]]),
        4 => own([vec![word("fault"), Bit::Name("relay stuck".into()), word("sticks"), Bit::Name("K2  Open".into())]]),
        _ => own([vec![
            word("reading"),
            Bit::Name("supply".into()),
            word("across"),
            Bit::Name("87a".into()),
            word("and"),
            Bit::Name("ground".into()),
        ]]),
    }
}
