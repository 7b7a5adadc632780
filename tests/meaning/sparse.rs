//! Random books of few sentences against brute force, both ways: findings, tests that are idle or dominated, faults that
//! nothing tells apart, complaints that name a fault which can't cause them.

use std::collections::{BTreeMap, BTreeSet};

use crate::random::{Dice, ENTRIES, FAULTS, Literal, Point, Random, Says, Tree, literal, points, truth, words};
use crate::shelf::{Asked, Found, ask, held_against};
use crate::verdicts::{Said, said};

/// Minutes that each entry takes, the change that it is taken under counted.
const TAKES: [usize; 4] = [3, 7, 2, 1];

struct Sparse {
    book: Random,
    /// Each with a finding that it also asks for, if any.
    findings: Vec<(Tree, Option<usize>)>,
    /// When it is gone, and what it may be.
    complaint: Option<(Tree, Vec<usize>)>,
}

/// Two literals that can't both be, on the same entry.
fn never(dice: &mut Dice) -> Vec<Literal> {
    let one = literal(dice);
    loop {
        let other = literal(dice);
        if other.entry == one.entry && (0..one.cells.len()).all(|cell| !(one.cells[cell] && other.cells[cell])) {
            return vec![one, other];
        }
    }
}

fn list(dice: &mut Dice) -> Tree {
    match dice.roll(6) {
        0 => vec![never(dice)],
        1 => vec![vec![literal(dice), literal(dice)]],
        2 => vec![vec![literal(dice)], vec![literal(dice)]],
        _ => vec![vec![literal(dice)]],
    }
}

impl Sparse {
    fn roll(dice: &mut Dice) -> Self {
        let mut shows: Vec<(usize, Tree)> = Vec::new();
        for fault in 0..FAULTS {
            for _ in 0..dice.roll(3) {
                let tree = match dice.roll(4) {
                    // The same as some fault before.
                    0 if !shows.is_empty() => shows[dice.roll(shows.len())].1.clone(),
                    1 => vec![vec![literal(dice), literal(dice)]],
                    _ => vec![vec![literal(dice)]],
                };
                shows.push((fault, tree));
            }
        }
        let rules = (0..dice.roll(4)).map(|_| {
            let (tree, one) = (list(dice), dice.roll(FAULTS));
            let says = match dice.roll(4) {
                0 => Says::Proves(one),
                1 => Says::OneOf(vec![one, (one + 1) % FAULTS]),
                _ => Says::Excludes(one),
            };
            (tree, says)
        });
        let book = Random { rules: rules.collect(), shows };
        let findings = (0..2).map(|n| (list(dice), (n > 0 && dice.roll(2) == 0).then(|| n - 1))).collect();
        let complaint = (dice.roll(2) == 0).then(|| {
            let fault = dice.roll(FAULTS);
            let own: Vec<&Literal> =
                book.shows.iter().filter(|(of, _)| *of == fault).flat_map(|(_, tree)| tree.iter().flatten()).collect();
            let shown = own.get(dice.roll(4)).map(|shown| Literal::clone(shown));
            (vec![vec![shown.unwrap_or_else(|| literal(dice))]], vec![fault])
        });
        Self { book, findings, complaint }
    }

    fn text(&self) -> String {
        let mut text = self.book.text();
        for (name, line, takes) in [
            ("change", "x", 4),
            ("reading", "ra", TAKES[0]),
            ("reading", "rb", TAKES[2]),
            ("observation", "o", TAKES[3]),
        ] {
            let head = format!("{name} {line}\n");
            text = text.replacen(&head, &format!("{head}  takes {takes} min\n"), 1);
        }
        for (n, (tree, also)) in self.findings.iter().enumerate() {
            let also = also.map_or(String::new(), |other| format!(" or g{other}"));
            text.push_str(&format!("finding g{n} means ({}){also}\n", words(tree)));
        }
        if let Some((gone, may_be)) = &self.complaint {
            let may_be: Vec<String> = may_be.iter().map(|fault| format!("f{fault}")).collect();
            text.push_str(&format!("complaint c\n  may be {}\n  gone when {}\n", may_be.join(", "), words(gone)));
        }
        text
    }

    /// The entries that a tree names.
    fn named(tree: &Tree) -> BTreeSet<usize> {
        tree.iter().flatten().map(|literal| literal.entry).collect()
    }

    /// Each rule and `shows` with the entries that it names.
    fn sources(&self) -> Vec<BTreeSet<usize>> {
        let rules = self.book.rules.iter().map(|(tree, _)| Self::named(tree));
        rules.chain(self.book.shows.iter().map(|(_, tree)| Self::named(tree))).collect()
    }

    fn is_so(&self, finding: usize, point: &Point) -> bool {
        let (tree, also) = &self.findings[finding];
        truth(tree, point) == Some(true) || also.is_some_and(|other| self.is_so(other, point))
    }

    fn brute(&self, points: &[Point], whole: &[Point]) -> Found {
        let mut found = Found::new();
        for finding in 0..self.findings.len() {
            let so: BTreeSet<bool> = whole.iter().map(|point| self.is_so(finding, point)).collect();
            if so.len() == 1 {
                found.insert(format!("finding-never-changes g{finding}"));
            }
        }
        let mut groups: BTreeMap<Vec<Said>, Vec<String>> = BTreeMap::new();
        // What lies exactly on a limit is no test.
        let beside = |point: &&Point| point[..3].iter().flatten().all(|cell| cell % 2 == 0);
        let judged: Vec<Vec<Said>> = points.iter().filter(beside).map(|point| said(&self.book, point, None)).collect();
        for fault in 0..FAULTS {
            let all = judged.iter().map(|said| said[fault]).collect();
            groups.entry(all).or_default().push(format!("f{fault}"));
        }
        for group in groups.values().filter(|group| group.len() > 1) {
            found.insert(format!("faults-not-told-apart {}", group.join(" ")));
        }
        self.of_tests(points, &mut found);
        self.of_complaint(whole, &mut found);
        found
    }

    fn of_tests(&self, points: &[Point], found: &mut Found) {
        let (sources, can) = (self.sources(), |source: usize| points.iter().any(|p| self.book.bears(source, p)));
        let gone: BTreeSet<usize> = self.complaint.iter().flat_map(|(tree, _)| Self::named(tree)).collect();
        for (name, entries) in [("ra", vec![0, 1]), ("rb", vec![2]), ("o", vec![3])] {
            let by: Vec<usize> =
                (0..sources.len()).filter(|n| entries.iter().any(|entry| sources[*n].contains(entry))).collect();
            let elsewhere = entries.iter().any(|entry| gone.contains(entry));
            if !by.is_empty() && !elsewhere && by.iter().all(|source| !can(*source)) {
                found.insert(format!("idle-test {name}"));
            }
            let asked: Vec<usize> =
                entries.iter().copied().filter(|entry| sources.iter().any(|named| named.contains(entry))).collect();
            let [dear] = asked.as_slice() else { continue };
            let reading = |entry: &usize| ENTRIES[*entry].0;
            let joined = by.iter().any(|source| sources[*source].iter().any(|entry| reading(entry) != name));
            if elsewhere || joined {
                continue;
            }
            let split = self.split(*dear);
            let others = (0..4).filter(|entry| {
                let used = sources.iter().any(|named| named.contains(entry)) || gone.contains(entry);
                used && reading(entry) != name && TAKES[*entry] < TAKES[*dear]
            });
            if split.len() > 1 && others.into_iter().any(|entry| self.split(entry) == split) {
                found.insert(format!("dominated-test {name}"));
            }
        }
    }

    /// The verdicts that the answers of one test come to.
    fn split(&self, entry: usize) -> BTreeSet<Vec<Said>> {
        let cells = if entry == 3 { vec![0, 1] } else { vec![0, 2, 4] };
        let at = |cell: usize| {
            let mut point: Point = [None; 4];
            point[entry] = Some(cell);
            said(&self.book, &point, None)
        };
        cells.into_iter().map(at).collect()
    }

    fn of_complaint(&self, whole: &[Point], found: &mut Found) {
        let Some((gone, may_be)) = &self.complaint else { return };
        for fault in may_be {
            let shown: Vec<&Tree> =
                self.book.shows.iter().filter(|(of, _)| of == fault).map(|(_, tree)| tree).collect();
            let gives = |point: &&Point| shown.iter().all(|tree| truth(tree, point) == Some(true));
            let mut given = whole.iter().filter(gives).peekable();
            // Where it is gone whatever is entered, the fault has no part in that.
            let always = whole.iter().all(|point| truth(gone, point) == Some(true));
            if given.peek().is_some() && !always && given.all(|point| truth(gone, point) == Some(true)) {
                found.insert(format!("complaint-never-explained f{fault}"));
            }
        }
    }
}

const COMPARED: [&str; 5] =
    ["finding-never-changes", "faults-not-told-apart", "idle-test", "dominated-test", "complaint-never-explained"];

fn told(asked: &Asked) -> Found {
    let findings = asked.findings.iter().filter(|finding| COMPARED.contains(&finding.id()));
    let one = |finding: &ruleout::lint::Finding| {
        let names: Vec<&str> = finding.problem.message.split('`').skip(1).step_by(2).collect();
        let names = if finding.id() == "faults-not-told-apart" { names.join(" ") } else { names[0].to_string() };
        format!("{} {names}", finding.id())
    };
    findings.map(one).collect()
}

#[test]
fn tests_findings_and_complaints_are_found_as_brute_force_finds_them() {
    let (points, whole) = (points(false), points(true));
    let results = held_against(300, |seed| {
        let book = Sparse::roll(&mut Dice::of(seed));
        let asked = ask(&book.text());
        assert_eq!(asked.survey.total(), 0, "{}", book.text());
        let (found, expected) = (told(&asked), book.brute(&points, &whole));
        (asked, found, expected)
    });
    // Each kind must have come up several times, or nothing was compared.
    for id in COMPARED {
        let count = results.iter().flatten().filter(|one| one.starts_with(id)).count();
        assert!(count > 5, "{id}: {count}");
    }
}
