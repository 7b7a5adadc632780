//! What a book allows at a line: `# allow: id — reason`, on the line above or at the line's own end. A dash of any
//! kind, or a colon, stands before the reason; several ids are parted by commas.

use crate::source::{SourceId, Span};
use crate::syntax::parse::without_comment;

use super::check::Finding;

/// One id of an allowance.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct AllowedId {
    /// As typed.
    pub(crate) id: String,
    /// Where.
    pub(crate) span: Span,
    /// Whether a finding of that id was there.
    pub(crate) needed: bool,
}

/// One allowance.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Allowance {
    /// What it allows.
    pub(crate) ids: Vec<AllowedId>,
    /// Why; `None` where it doesn't say.
    pub(crate) reason: Option<String>,
    /// The comment, from its `#`.
    pub(crate) span: Span,
    /// Its own line, and the line that it is for.
    lines: [std::ops::Range<u32>; 2],
}

const MARK: &str = "allow:";
/// More ids in one allowance than this are not read.
const MOST: usize = 64;

/// The allowances of a text, in order.
pub(crate) fn read(source: SourceId, text: &str) -> Vec<Allowance> {
    let mut all = Vec::new();
    let (mut done, mut next) = (0, 0..0);
    for (at, _) in text.match_indices(MARK) {
        if at < done {
            continue;
        }
        let start = text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |end| end + 1);
        let end = text.get(at..).and_then(|after| after.find('\n')).map_or(text.len(), |length| at + length);
        done = end;
        let line = text.get(start..end).unwrap_or("");
        let words = without_comment(line);
        let comment = line.get(words.len()..).unwrap_or("");
        let Some(said) = comment.strip_prefix('#').map(str::trim_start).and_then(|said| said.strip_prefix(MARK)) else {
            continue;
        };
        let trimmed = comment.trim_end();
        let span = Span::new(source, start + words.len(), start + words.len() + trimmed.len());
        if next.start <= end {
            // Else only comments stand between, and the line is known: each is looked at once.
            next = next_line(text, end);
        }
        let target = if words.trim().is_empty() { next.clone() } else { start..end };
        let said = said.trim_end();
        let base = start + words.len() + comment.trim_end().len() - said.len();
        let (ids, reason) = parts(source, said, base);
        all.push(Allowance { ids, reason, span, lines: [narrow(start..end), narrow(target)] });
    }
    all
}

fn narrow(range: std::ops::Range<usize>) -> std::ops::Range<u32> {
    let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    clamp(range.start)..clamp(range.end)
}

/// The next line that says something; past all places where none does.
fn next_line(text: &str, end: usize) -> std::ops::Range<usize> {
    let mut at = end + 1;
    for line in text.get(at..).unwrap_or("").split_inclusive('\n') {
        let said = line.trim();
        if !said.is_empty() && !said.starts_with('#') {
            return at..at + line.trim_end_matches('\n').len();
        }
        at += line.len();
    }
    // None: a place where nothing stands.
    usize::MAX..usize::MAX
}

fn parts(source: SourceId, said: &str, base: usize) -> (Vec<AllowedId>, Option<String>) {
    let dashes = [" — ", " – ", " -- ", " - ", "—", "–", ": "];
    let cut = dashes.iter().filter_map(|dash| said.find(dash).map(|at| (at, at + dash.len()))).min();
    let (list, reason) =
        cut.map_or((said, ""), |(at, after)| (said.get(..at).unwrap_or(said), said.get(after..).unwrap_or("")));
    let mut ids = Vec::new();
    let mut at = base;
    for part in list.split(',').take(MOST) {
        // Words after an id without a dash are meant as its reason, but a reason needs its dash.
        let id = part.split_whitespace().next().unwrap_or("");
        if !id.is_empty() {
            let start = at + (part.len() - part.trim_start().len());
            ids.push(AllowedId { id: id.to_string(), span: Span::new(source, start, start + id.len()), needed: false });
        }
        at += part.len() + 1;
    }
    let reason = reason.trim();
    (ids, reason.chars().any(char::is_alphabetic).then(|| reason.to_string()))
}

/// Takes out the findings that are allowed, and marks the allowances that were needed. The findings are in order of
/// their places.
pub(crate) fn settle(
    allowances: &mut [Allowance],
    source: SourceId,
    findings: Vec<Finding>,
    is_open: impl Fn(&Finding) -> bool,
) -> Vec<Finding> {
    if allowances.is_empty() {
        return findings;
    }
    let place = |finding: &Finding| (finding.problem.span().source, finding.problem.span().start);
    let mut allowed = vec![false; findings.len()];
    for allowance in allowances.iter_mut() {
        for range in &allowance.lines {
            let first = findings.partition_point(|finding| place(finding) < (source, range.start));
            let here = findings.iter().enumerate().skip(first).take_while(|(_, f)| place(f) <= (source, range.end));
            for (at, finding) in here.filter(|(_, finding)| is_open(finding)) {
                for wanted in allowance.ids.iter_mut().filter(|wanted| wanted.id == finding.id()) {
                    wanted.needed = true;
                    if let Some(mark) = allowed.get_mut(at) {
                        *mark = true;
                    }
                }
            }
        }
    }
    findings.into_iter().zip(allowed).filter(|(_, allowed)| !allowed).map(|(finding, _)| finding).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn only(text: &str) -> Allowance {
        read(SourceId(0), text).remove(0)
    }

    #[test]
    fn an_allowance_says_what_and_why() {
        let text = "# allow: unused-limit, missing-source — kept for the 12 V vans\nlimit a = 1 V\n";
        let allowance = only(text);
        let ids: Vec<&str> = allowance.ids.iter().map(|id| id.id.as_str()).collect();
        assert_eq!(ids, ["unused-limit", "missing-source"]);
        assert_eq!(allowance.reason.as_deref(), Some("kept for the 12 V vans"));
        let slices: Vec<&str> = allowance.ids.iter().map(|id| &text[id.span.range()]).collect();
        assert_eq!(slices, ids);
        assert_eq!(&text[allowance.lines[1].start as usize..allowance.lines[1].end as usize], "limit a = 1 V");
    }

    #[test]
    fn a_reason_needs_words() {
        assert_eq!(only("x # allow: unused-limit").reason, None);
        assert_eq!(only("x # allow: unused-limit — ").reason, None);
        assert_eq!(only("x # allow: unused-limit -- spare\n").reason.as_deref(), Some("spare"));
    }

    #[test]
    fn a_quoted_allowance_is_none() {
        assert!(read(SourceId(0), "  how \"write # allow: unused-limit — so\"\n").is_empty());
        assert!(read(SourceId(0), "# what we allow: everything\n").is_empty());
    }
}
