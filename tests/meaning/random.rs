//! Random small books against brute force over all their cells, both ways: what the checks find is there, and what is
//! there they find. The brute force reads the book from its own tree, not from ours; that its reading of a condition is
//! the judge's is checked on whole spaces too.

use std::collections::BTreeSet;

use ruleout::book::Setup;
use ruleout::job::{Entry, EntryValue, Job};
use ruleout::reasoning::{Verdict, judge};
use ruleout::units::{Exact, Interval};

use crate::shelf::{Asked, Found, ask, held_against};
use crate::signs::none_left;
use crate::verdicts::{Said, said, tells_a_fault};

/// What can be entered: a reading plain, the same with a change in place, another reading, an observation.
pub(crate) const ENTRIES: [(&str, &str); 4] = [("ra", ""), ("ra", " with x"), ("rb", ""), ("o", "")];
/// One value in each cell of a reading: below, at, between and above the limits 3 V and 6 V.
pub(crate) const VALUES: [&str; 5] = ["1", "3", "4.5", "6", "8"];
pub(crate) const FAULTS: usize = 3;

pub(crate) struct Dice(u64);

impl Dice {
    /// That of a seed, the first throws left out.
    pub(crate) fn of(seed: u64) -> Self {
        let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        (0..8).for_each(|_| {
            dice.roll(2);
        });
        dice
    }

    pub(crate) fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % sides
    }
}

/// A test of one entry: the cells in which it is true.
#[derive(Clone)]
pub(crate) struct Literal {
    pub(crate) entry: usize,
    pub(crate) words: String,
    pub(crate) cells: Vec<bool>,
}

/// One of several lists, of each all.
pub(crate) type Tree = Vec<Vec<Literal>>;
/// By entry the cell that it lies in, where it is entered.
pub(crate) type Point = [Option<usize>; 4];

#[derive(Clone, PartialEq)]
pub(crate) enum Says {
    Proves(usize),
    OneOf(Vec<usize>),
    Excludes(usize),
}

pub(crate) struct Random {
    pub(crate) rules: Vec<(Tree, Says)>,
    pub(crate) shows: Vec<(usize, Tree)>,
}

pub(crate) fn literal(dice: &mut Dice) -> Literal {
    let entry = dice.roll(4);
    let (name, with) = ENTRIES[entry];
    let (mut words, mut cells): (String, Vec<bool>) = if entry == 3 {
        let yes = dice.roll(2) == 0;
        (format!("o is {}", if yes { "yes" } else { "no" }), vec![yes, !yes])
    } else {
        let (limit, at) = [("3 V", 1), ("6 V", 3)][dice.roll(2)];
        let (test, cells): (String, Vec<bool>) = match dice.roll(5) {
            0 => (format!("below {limit}"), (0..5).map(|n| n < at).collect()),
            1 => (format!("above {limit}"), (0..5).map(|n| n > at).collect()),
            2 => (format!("at least {limit}"), (0..5).map(|n| n >= at).collect()),
            3 => (format!("at most {limit}"), (0..5).map(|n| n <= at).collect()),
            _ => ("between 3 V and 6 V".into(), (0..5).map(|n| (1..=3).contains(&n)).collect()),
        };
        (format!("{name} {test}{with}"), cells)
    };
    if dice.roll(5) == 0 {
        words = format!("not ({words})");
        cells.iter_mut().for_each(|cell| *cell = !*cell);
    }
    Literal { entry, words, cells }
}

pub(crate) fn tree(dice: &mut Dice, lists: usize, most: usize) -> Tree {
    (0..lists).map(|_| (0..1 + dice.roll(most)).map(|_| literal(dice)).collect()).collect()
}

pub(crate) fn words(tree: &Tree) -> String {
    let lists = tree.iter().map(|list| {
        let all: Vec<&str> = list.iter().map(|literal| literal.words.as_str()).collect();
        if all.len() > 1 && tree.len() > 1 { format!("({})", all.join(" and ")) } else { all.join(" and ") }
    });
    lists.collect::<Vec<_>>().join(" or ")
}

impl Random {
    pub(crate) fn roll(dice: &mut Dice) -> Self {
        let shows = (0..FAULTS).flat_map(|fault| vec![fault; dice.roll(3)]).collect::<Vec<_>>();
        let shows = shows.into_iter().map(|fault| (fault, tree(dice, 1, 2))).collect();
        let rules = (0..4).map(|_| {
            let lists = 1 + usize::from(dice.roll(3) == 0);
            let (tree, one) = (tree(dice, lists, 3), dice.roll(FAULTS));
            let says = match dice.roll(5) {
                0 | 1 => Says::Proves(one),
                2 => Says::OneOf(vec![one, (one + 1) % FAULTS]),
                _ => Says::Excludes(one),
            };
            (tree, says)
        });
        Self { rules: rules.collect(), shows }
    }

    pub(crate) fn text(&self) -> String {
        let mut text = String::from(
            "rulebook \"random\"\n  language 1\nchange x\nreading ra\n  unit V\n  from 0 V to 9 V\n  tolerance 3 V to 6 V\n\
             reading rb\n  unit V\n  from 0 V to 9 V\nobservation o\n  answers yes, no\n  sound yes\n",
        );
        for fault in 0..FAULTS {
            text.push_str(&format!("fault f{fault}\n"));
            for (_, tree) in self.shows.iter().filter(|(of, _)| *of == fault) {
                text.push_str(&format!("  shows {}\n", words(tree)));
            }
        }
        for (n, (tree, says)) in self.rules.iter().enumerate() {
            let says = match says {
                Says::Proves(fault) => format!("implies f{fault}"),
                Says::OneOf(faults) => format!("implies f{} or f{}", faults[0], faults[1]),
                Says::Excludes(fault) => format!("rules out f{fault}"),
            };
            text.push_str(&format!("rule r{n}:\n  {}\n  {says}\n", words(tree)));
        }
        text
    }

    /// Rules, then `shows`.
    pub(crate) fn sources(&self) -> usize {
        self.rules.len() + self.shows.len()
    }

    /// Whether a sentence bears: a rule applies, a `shows` fails.
    pub(crate) fn bears(&self, source: usize, point: &Point) -> bool {
        match self.rules.get(source) {
            Some((tree, _)) => truth(tree, point) == Some(true),
            None => truth(&self.shows[source - self.rules.len()].1, point) == Some(false),
        }
    }

    pub(crate) fn excludes(&self, source: usize, fault: usize) -> bool {
        match self.rules.get(source) {
            Some((_, Says::Excludes(of))) => *of == fault,
            Some((_, Says::OneOf(faults))) => !faults.contains(&fault),
            Some((_, Says::Proves(_))) => false,
            None => self.shows[source - self.rules.len()].0 == fault,
        }
    }

    /// Whether a sentence bears by all the entries of a point: one way of it needs each of them.
    fn needs_all(&self, source: usize, point: &Point) -> bool {
        let entered: BTreeSet<usize> = (0..4).filter(|entry| point[*entry].is_some()).collect();
        let is_way = |literals: &[(&Literal, bool)]| {
            let entries: BTreeSet<usize> = literals.iter().map(|(literal, _)| literal.entry).collect();
            entries == entered && literals.iter().all(|(literal, want)| held(literal, point) == Some(*want))
        };
        match self.rules.get(source) {
            Some((tree, _)) => tree.iter().any(|list| is_way(&list.iter().map(|l| (l, true)).collect::<Vec<_>>())),
            None => {
                let tree = &self.shows[source - self.rules.len()].1;
                tree[0].iter().any(|literal| is_way(&[(literal, false)]))
            }
        }
    }

    pub(crate) fn excluded(&self, fault: usize, point: &Point) -> bool {
        (0..self.sources()).any(|source| self.excludes(source, fault) && self.bears(source, point))
    }

    pub(crate) fn proved(&self, point: &Point) -> BTreeSet<usize> {
        let each = self.rules.iter().enumerate().filter(|(n, _)| self.bears(*n, point));
        each.filter_map(|(_, (_, says))| if let Says::Proves(fault) = says { Some(*fault) } else { None }).collect()
    }
}

fn held(literal: &Literal, point: &Point) -> Option<bool> {
    point[literal.entry].map(|cell| literal.cells[cell])
}

/// Strong Kleene truth.
pub(crate) fn truth(tree: &Tree, point: &Point) -> Option<bool> {
    let list = |list: &Vec<Literal>| {
        let all: Vec<Option<bool>> = list.iter().map(|literal| held(literal, point)).collect();
        if all.contains(&Some(false)) { Some(false) } else { all.iter().all(|one| *one == Some(true)).then_some(true) }
    };
    let all: Vec<Option<bool>> = tree.iter().map(list).collect();
    if all.contains(&Some(true)) { Some(true) } else { all.iter().all(|one| *one == Some(false)).then_some(false) }
}

/// Every point of the space; `whole`: with every entry there.
pub(crate) fn points(whole: bool) -> Vec<Point> {
    let mut all: Vec<Point> = vec![[None; 4]];
    for entry in 0..4 {
        let cells = if entry == 3 { 2 } else { 5 };
        all = all
            .iter()
            .flat_map(|point| {
                let first = if whole { None } else { Some(*point) };
                let with = (0..cells).map(|cell| {
                    let mut point = *point;
                    point[entry] = Some(cell);
                    point
                });
                first.into_iter().chain(with).collect::<Vec<_>>()
            })
            .collect();
    }
    all
}

/// What brute force finds, in the words of [`told`].
fn brute(book: &Random, points: &[Point], whole: &[Point]) -> Found {
    let mut found = Found::new();
    let rules = book.rules.len();
    let can = |source: usize| points.iter().any(|point| book.bears(source, point));
    for (n, (tree, says)) in book.rules.iter().enumerate() {
        if !can(n) {
            found.insert(format!("rule-never-applies r{n}"));
            continue;
        }
        if whole.iter().all(|point| truth(tree, point) == Some(true)) {
            found.insert(format!("rule-always-applies r{n}"));
        }
        if is_redundant(book, n, points) {
            found.insert(format!("redundant-rule r{n}"));
        }
        if has_idle_part(tree, whole) {
            found.insert(format!("idle-part r{n}"));
        }
        let Says::Proves(fault) = says else { continue };
        for source in (0..book.sources()).filter(|source| book.excludes(*source, *fault)) {
            let by = if source < rules { format!("r{source}") } else { "shows".into() };
            let both = |point: &&Point| {
                book.bears(n, point)
                    && book.bears(source, point)
                    && (book.needs_all(n, point) || book.needs_all(source, point))
            };
            if points.iter().any(|point| both(&point)) {
                found.insert(format!("proved-and-ruled-out r{n} {by}"));
            }
        }
        for other in n + 1..rules {
            let Says::Proves(second) = &book.rules[other].1 else { continue };
            let both = |point: &Point| {
                book.bears(n, point)
                    && book.bears(other, point)
                    && (book.needs_all(n, point) || book.needs_all(other, point))
                    && !book.excluded(*fault, point)
                    && !book.excluded(*second, point)
            };
            if second != fault && points.iter().any(both) {
                found.insert(format!("two-faults-proved r{n} r{other}"));
            }
        }
        let clear = |point: &Point| {
            book.needs_all(n, point) && !book.excluded(*fault, point) && book.proved(point) == BTreeSet::from([*fault])
        };
        for other in (0..FAULTS).filter(|other| other != fault) {
            if points.iter().any(|point| clear(point) && !book.excluded(other, point) && gives(book, other, point)) {
                found.insert(format!("proof-fits-other-fault r{n} f{other}"));
            }
        }
        let sound = |point: &Point| {
            let ra = point[0].is_none_or(|cell| (1..=3).contains(&cell));
            ra && point[1].is_none() && point[2].is_none() && point[3].is_none_or(|cell| cell == 0)
        };
        if points.iter().any(|point| clear(point) && sound(point)) {
            found.insert(format!("sound-vehicle-proves r{n}"));
        }
    }
    of_faults(book, &can, &mut found);
    found
}

/// What brute force finds of the faults.
fn of_faults(book: &Random, can: &dyn Fn(usize) -> bool, found: &mut Found) {
    let rules = book.rules.len();
    for fault in 0..FAULTS {
        let names = |says: &Says| match says {
            Says::Proves(of) => *of == fault,
            Says::OneOf(faults) => faults.contains(&fault),
            Says::Excludes(_) => false,
        };
        if !(0..rules).any(|n| names(&book.rules[n].1) && can(n)) {
            found.insert(format!("fault-never-proved f{fault}"));
        }
        if !(0..book.sources()).any(|source| book.excludes(source, fault) && can(source)) {
            found.insert(format!("fault-never-ruled-out f{fault}"));
        }
    }
    found.extend(none_left(book));
}

/// Whether a rule could be left out: no job is judged otherwise without it, nor left without a rule that says there is a
/// fault.
fn is_redundant(book: &Random, n: usize, points: &[Point]) -> bool {
    let judged = |point: &Point, without| (said(book, point, without), tells_a_fault(book, point, without));
    points.iter().filter(|point| book.bears(n, point)).all(|point| judged(point, None) == judged(point, Some(n)))
}

/// Whether a later rule applies just where this one does: then this one stays.
fn has_twin(book: &Random, n: usize, points: &[Point]) -> bool {
    (n + 1..book.rules.len()).any(|other| points.iter().all(|point| book.bears(n, point) == book.bears(other, point)))
}

fn has_idle_part(tree: &Tree, whole: &[Point]) -> bool {
    let mut without: Vec<Tree> = Vec::new();
    for list in 0..tree.len() {
        if tree.len() > 1 {
            let mut less = tree.clone();
            less.remove(list);
            without.push(less);
        }
        for literal in 0..tree[list].len() {
            if tree[list].len() > 1 {
                let mut less = tree.clone();
                less[list].remove(literal);
                without.push(less);
            }
        }
    }
    without.iter().any(|less| whole.iter().all(|point| truth(less, point) == truth(tree, point)))
}

/// Whether a fault gives all entries of a point: what it shows of them holds, and it speaks of each.
fn gives(book: &Random, fault: usize, point: &Point) -> bool {
    let entered: BTreeSet<usize> = (0..4).filter(|entry| point[*entry].is_some()).collect();
    let mut spoken: BTreeSet<usize> = BTreeSet::new();
    for (_, tree) in book.shows.iter().filter(|(of, _)| *of == fault) {
        let entries: BTreeSet<usize> = tree[0].iter().map(|literal| literal.entry).collect();
        if entries.is_subset(&entered) {
            if truth(tree, point) != Some(true) {
                return false;
            }
            spoken.extend(entries);
        }
    }
    spoken == entered
}

/// What the checks found: the id and the names that tell findings apart.
fn told(asked: &Asked) -> Found {
    let one = |id: &str, text: &str| {
        let names: Vec<&str> = text.split('`').skip(1).step_by(2).collect();
        match id {
            "idle-part" => format!("{id} {}", names[1]),
            "proved-and-ruled-out" if text.contains("what it `shows`") => format!("{id} {} shows", names[0]),
            "proved-and-ruled-out" | "proof-fits-other-fault" => format!("{id} {} {}", names[0], names[2]),
            "two-faults-proved" => format!("{id} {} {}", names[0], names[1]),
            "no-fault-left" if text.contains("answers of") => {
                format!("{id} {:?}", names.into_iter().collect::<BTreeSet<&str>>())
            }
            "no-fault-left" => format!("{id} {:?}", BTreeSet::from([names[0].split(' ').next().unwrap()])),
            _ => format!("{id} {}", names[0]),
        }
    };
    let compared = [
        "rule-never-applies",
        "rule-always-applies",
        "redundant-rule",
        "idle-part",
        "proved-and-ruled-out",
        "two-faults-proved",
        "proof-fits-other-fault",
        "sound-vehicle-proves",
        "fault-never-proved",
        "fault-never-ruled-out",
        "no-fault-left",
    ];
    let findings = asked.findings.iter().filter(|finding| compared.contains(&finding.id()));
    findings.map(|finding| one(finding.id(), &finding.problem.message)).collect()
}

fn random(seed: u64) -> Random {
    Random::roll(&mut Dice::of(seed))
}

#[test]
fn the_checks_find_what_brute_force_finds_and_nothing_else() {
    let (points, whole) = (points(false), points(true));
    let results = held_against(300, |seed| {
        let book = random(seed);
        let asked = ask(&book.text());
        assert_eq!(asked.survey.total(), 0, "{}", book.text());
        let (found, mut expected) = (told(&asked), brute(&book, &points, &whole));
        for n in 0..book.rules.len() {
            let id = format!("redundant-rule r{n}");
            if !found.contains(&id) && has_twin(&book, n, &points) {
                expected.remove(&id);
            }
        }
        (asked, found, expected)
    });
    // Each kind must have come up, or nothing was compared.
    let mut kinds: BTreeSet<&str> = BTreeSet::new();
    results.iter().for_each(|found| kinds.extend(found.iter().filter_map(|one| one.split(' ').next())));
    assert_eq!(kinds.len(), 11, "{kinds:?}");
}

#[test]
fn the_brute_force_reads_conditions_as_the_judge_does() {
    for seed in 1..=8 {
        let random = random(seed);
        let asked = ask(&random.text());
        let book = &asked.opened.book;
        let plain = Setup::normal(&book.settings);
        let mut changed = plain.clone();
        changed.set(book, book.setting_ids().next().unwrap(), 1);
        for point in points(false) {
            let mut job = Job::new(book);
            for (entry, cell) in point.iter().enumerate().filter_map(|(entry, cell)| Some((entry, (*cell)?))) {
                let value = match entry {
                    3 => EntryValue::Answer(1 << cell),
                    _ => EntryValue::Interval(Interval::point(Exact::parse(VALUES[cell]).unwrap())),
                };
                let indication = book.find_indication(ENTRIES[entry].0).unwrap();
                let setup = if entry == 1 { changed.clone() } else { plain.clone() };
                job.entries.add(book, Entry::supposed(indication, value, setup, 0));
            }
            let judgement = judge(book, &job);
            let verdicts = judgement.verdicts.iter().map(|found| match found.verdict {
                Verdict::Proved => Said::Proved,
                Verdict::RuledOut => Said::Out,
                Verdict::Open | Verdict::OnlyOneLeft => Said::Open,
                Verdict::Conflict => Said::Quarrel,
            });
            assert_eq!(verdicts.collect::<Vec<_>>(), said(&random, &point, None), "{}\n{point:?}", random.text());
            let evidence = judgement.evidence;
            for n in 0..random.rules.len() {
                let applied = evidence.applied.iter().any(|applied| applied.rule.place() == n);
                assert_eq!(applied, random.bears(n, &point), "{}\n{point:?}", random.text());
            }
            let failed = (random.rules.len()..random.sources()).filter(|n| random.bears(*n, &point)).count();
            assert_eq!(evidence.failed.len(), failed, "{}\n{point:?}", random.text());
        }
    }
}
