//! A located finding: what every phase says when a text is not right. Converted to a drawn diagnostic only at the
//! edge (`output::diagnostic`). Knows nothing of the phases.

use crate::source::Span;

/// How grave a problem is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// Worth a word; nothing is refused.
    Advice,
    /// Something is likely wrong; the rest goes on.
    Warning,
    /// The text can't be used as it stands.
    Error,
}

/// A place with a few words beside it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What is there; may be empty.
    pub text: String,
}

/// One located finding. The first label is its place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Problem {
    /// Stable name, `phase/what-is-wrong`.
    pub code: &'static str,
    /// How grave.
    pub severity: Severity,
    /// One line: lower case, no full stop.
    pub message: String,
    /// The place first, then others that belong to it.
    pub labels: Vec<Label>,
    /// What to type instead.
    pub help: Option<String>,
}

impl Problem {
    /// An error at a place.
    pub fn error(code: &'static str, span: Span, message: impl Into<String>) -> Self {
        let labels = vec![Label { span, text: String::new() }];
        Self { code, severity: Severity::Error, message: message.into(), labels, help: None }
    }

    /// The same as a warning.
    pub fn warning(code: &'static str, span: Span, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, span, message) }
    }

    /// With words beside the place.
    #[must_use]
    pub fn here(mut self, text: impl Into<String>) -> Self {
        if let Some(first) = self.labels.first_mut() {
            first.text = text.into();
        }
        self
    }

    /// With a further place.
    #[must_use]
    pub fn also(mut self, span: Span, text: impl Into<String>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// With the fix.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With the fix, where there is one.
    #[must_use]
    pub fn help_if(mut self, help: Option<String>) -> Self {
        if help.is_some() {
            self.help = help;
        }
        self
    }

    /// The problem's place.
    pub fn span(&self) -> Span {
        self.labels.first().map(|l| l.span).unwrap_or_default()
    }
}

/// Sorts by place, then code; drops exact repeats.
pub fn in_order(problems: &mut Vec<Problem>) {
    problems.sort_by(|a, b| (a.span(), a.code, &a.message).cmp(&(b.span(), b.code, &b.message)));
    problems.dedup();
}

/// Names longer than this are no slips of others.
const LONGEST: usize = 200;
/// No name is a slip of one that differs more than this.
const MOST_SLIPS: usize = 6;

/// The nearest of `known` to `typed` (case folded), if any is near enough to be meant.
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if typed.len() > LONGEST {
        return None;
    }
    let typed = typed.to_lowercase();
    let length = typed.chars().count();
    known
        .into_iter()
        .filter(|name| name.len() <= LONGEST && name.chars().count().abs_diff(length) <= MOST_SLIPS)
        .map(|name| (strsim::damerau_levenshtein(&typed, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= (length.max(name.chars().count()) / 3).clamp(1, MOST_SLIPS))
        .min_by(|a, b| a.0.cmp(&b.0))
        .map(|(_, name)| name)
}

/// "did you mean `x`?" for the nearest of `known`.
pub fn did_you_mean<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(typed, known).map(|name| format!("did you mean `{name}`?"))
}

/// Names by how many words they share with what was said, most first, then in order of the book.
pub fn nearest_first<'n>(said: &str, names: &[&'n str]) -> Vec<&'n str> {
    let said = words(said);
    let shared = |name: &str| words(name).iter().filter(|word| said.iter().any(|other| alike(word, other))).count();
    let mut names = names.to_vec();
    names.sort_by_key(|name| std::cmp::Reverse(shared(name)));
    names
}

/// The words of a text that tell something, without the `s` of many.
pub(crate) fn words(text: &str) -> Vec<String> {
    let each = text.split(|c: char| !c.is_alphanumeric()).filter(|word| word.chars().count() > 2);
    let each = each.map(|word| word.to_lowercase().trim_end_matches('s').to_string());
    each.filter(|word| !["the", "and"].contains(&word.as_str())).collect()
}

/// `slow` and `slowly` are one word here.
pub(crate) fn alike(a: &str, b: &str) -> bool {
    a == b || (a.len().min(b.len()) > 3 && (a.starts_with(b) || b.starts_with(a)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_found_and_a_far_one_is_not() {
        assert_eq!(nearest("open fed wire", ["open feed wire", "blown fuse"]), Some("open feed wire"));
        assert_eq!(nearest("gearbox", ["open feed wire", "blown fuse"]), None);
    }

    #[test]
    fn a_word_that_says_nothing_makes_no_name_nearer() {
        let known = ["batteries flat in the morning", "neither condenser fan runs"];
        assert_eq!(nearest_first("the fan is ded", &known), [known[1], known[0]]);
    }
}
