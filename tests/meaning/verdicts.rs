//! What a random book's sentences come to for its faults, from the meaning of verdicts in the language's own page: one fault
//! at a time, a proof that nothing contests rules the others out. It must know nothing of how lint or the judge reckon.

use crate::random::{FAULTS, Point, Random, Says};

/// What is said of a fault; *the only one left* is open.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(crate) enum Said {
    Out,
    Open,
    Proved,
    Quarrel,
}

/// Of each fault what some entries say, one rule perhaps left out.
pub(crate) fn said(book: &Random, point: &Point, without: Option<usize>) -> Vec<Said> {
    let bears: Vec<bool> = (0..book.sources()).map(|n| Some(n) != without && book.bears(n, point)).collect();
    let out = |fault: usize| (0..bears.len()).any(|n| bears[n] && book.excludes(n, fault));
    let proved = |fault: usize| {
        let mut rules = book.rules.iter().enumerate();
        rules.any(|(n, (_, says))| bears[n] && *says == Says::Proves(fault))
    };
    let uncontested: Vec<usize> = (0..FAULTS).filter(|fault| proved(*fault) && !out(*fault)).collect();
    let one = |fault: usize| match (proved(fault), out(fault)) {
        (true, true) => Said::Quarrel,
        (true, false) if uncontested.len() > 1 => Said::Quarrel,
        (true, false) => Said::Proved,
        (false, true) => Said::Out,
        (false, false) if uncontested.len() == 1 => Said::Out,
        (false, false) => Said::Open,
    };
    (0..FAULTS).map(one).collect()
}

/// Whether a rule says that some fault is there, one rule perhaps left out: one of several, or a proof that stands.
pub(crate) fn tells_a_fault(book: &Random, point: &Point, without: Option<usize>) -> bool {
    let rules = book.rules.iter().enumerate().filter(|(n, _)| Some(*n) != without && book.bears(*n, point));
    let one_of = rules.into_iter().any(|(_, (_, says))| matches!(says, Says::OneOf(_)));
    one_of || said(book, point, without).contains(&Said::Proved) || stands(book, point, without)
}

/// Whether a proof stands that nothing but another one disputes.
fn stands(book: &Random, point: &Point, without: Option<usize>) -> bool {
    let bears = |n: usize| Some(n) != without && book.bears(n, point);
    let out = |fault: usize| (0..book.sources()).any(|n| bears(n) && book.excludes(n, fault));
    let mut rules = book.rules.iter().enumerate();
    rules.any(|(n, (_, says))| bears(n) && matches!(says, Says::Proves(fault) if !out(*fault)))
}
