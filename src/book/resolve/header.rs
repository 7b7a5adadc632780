//! The header of the book's own file; those of used files are read but don't count.

use crate::problem::{Problem, did_you_mean};
use crate::source::{SourceId, Span};
use crate::syntax::tree::Number;
use crate::syntax::words::{DeclarationWord, FieldWord};
use crate::units::GuardBand;

use super::{Resolver, fields, numbers};

/// The version of the language that this program reads.
pub(crate) const LANGUAGE: u32 = 1;

impl Resolver<'_> {
    pub(super) fn header(&mut self, profile: Option<&str>) {
        let headers: Vec<_> = self
            .declarations
            .iter()
            .filter(|(d, own)| *own && d.word == DeclarationWord::Rulebook)
            .map(|(d, _)| *d)
            .collect();
        if let [first, second, ..] = headers.as_slice() {
            self.report(
                Problem::error("book/header-twice", second.name.span, "a file has one `rulebook` line")
                    .also(first.name.span, "here first")
                    .help("take one of them out"),
            );
        }
        let Some(header) = headers.first() else {
            self.no_header();
            self.choose_profile(profile);
            return;
        };
        self.book.title = header.name.text.as_str().to_string();
        self.book.revision = fields::text(header, FieldWord::Revision).map(|text| text.as_str().to_string());
        self.book.scope = fields::text(header, FieldWord::Scope).map(|text| text.as_str().to_string());
        if let Some((version, span)) = fields::count(header, FieldWord::Language)
            && version != LANGUAGE
        {
            self.report(
                Problem::error(
                    "book/language",
                    span,
                    format!("this program reads language {LANGUAGE}, this book is written in language {version}"),
                )
                .help("use a program that reads it, or write `language 1`"),
            );
        }
        if let Some((at_once, span)) = fields::count(header, FieldWord::AtMost) {
            if at_once == 0 || at_once > 8 {
                self.report(
                    Problem::error("book/at-once", span, format!("{at_once} faults at once can't be judged"))
                        .help("write a count from 1 to 8; 1 or 2 is usual"),
                );
            } else {
                self.book.at_once = at_once as usize;
            }
        }
        if let Some(number) = fields::number(header, FieldWord::UncoveredShare) {
            match numbers::plain(number) {
                Ok(share) if !share.is_negative() && !share.is_zero() => self.book.uncovered_share = share,
                Ok(_) => {
                    self.error("book/share", number.span, "`uncovered share` must be above 0: no book knows everything")
                }
                Err(problem) => self.report(problem),
            }
        }
        if let Some(number) = fields::number(header, FieldWord::GuardBand) {
            self.guard_band(number);
        }
        // What is asked for at the command line or in the job comes before the book's own.
        match (profile, fields::text_at(header, FieldWord::Profile)) {
            (Some(asked), _) => self.choose_profile(Some(asked)),
            (None, Some((own, span))) => self.own_profile(&own, span),
            (None, None) => {}
        }
    }

    /// `guard band 95 %`
    fn guard_band(&mut self, number: &Number) {
        let percent = number.unit.as_ref().is_some_and(|unit| &*unit.text == "%");
        let share = numbers::digits(number).ok().filter(|_| percent).map(|digits| digits.to_f64() / 100.0);
        self.book.guard_band = share.and_then(GuardBand::new);
        if self.book.guard_band.is_none() {
            let message = "a guard band is a probability above 50 % and below 100 %";
            self.report(Problem::error("book/guard-band", number.span, message).help("write `guard band 95 %`"));
        }
    }

    fn own_profile(&mut self, wanted: &str, span: Span) {
        let found = self.book.profiles.iter().find(|name| name.to_lowercase() == wanted.to_lowercase()).cloned();
        if found.is_none() {
            let near = did_you_mean(wanted, self.book.profiles.iter().map(String::as_str));
            self.report(
                Problem::error("book/unknown-profile", span, format!("there is no profile `{wanted}`"))
                    .help(near.unwrap_or_else(|| self.offered_profiles())),
            );
        }
        self.book.profile = found;
    }

    fn offered_profiles(&self) -> String {
        match self.book.profiles.join("`, `") {
            none if none.is_empty() => "this book has no profiles".to_string(),
            offered => format!("this book has `{offered}`"),
        }
    }

    fn no_header(&mut self) {
        let source = self
            .declarations
            .iter()
            .rev()
            .find(|(_, own)| *own)
            .map_or_else(|| self.book.sources_last(), |(d, _)| d.span.source);
        self.report(
            Problem::warning("book/no-header", Span::new(source, 0, 0), "this file doesn't say what it is for")
                .help("begin it with `rulebook \"…\"` and an indented `language 1`"),
        );
    }

    fn choose_profile(&mut self, profile: Option<&str>) {
        let Some(wanted) = profile else { return };
        let found = self.book.profiles.iter().find(|name| name.to_lowercase() == wanted.to_lowercase()).cloned();
        if found.is_none() {
            let near = did_you_mean(wanted, self.book.profiles.iter().map(String::as_str));
            let list = self.offered_profiles();
            let span = Span::new(self.book.sources_last(), 0, 0);
            self.report(
                Problem::error("book/unknown-profile", span, format!("there is no profile `{wanted}`"))
                    .help(near.map_or(list.clone(), |near| format!("{near} {list}"))),
            );
        }
        self.book.profile = found;
    }
}

impl super::super::model::Book {
    /// The source of the book's own file.
    fn sources_last(&self) -> SourceId {
        let mut id = SourceId(0);
        while self.sources.get(SourceId(id.0 + 1)).is_some() {
            id = SourceId(id.0 + 1);
        }
        id
    }
}
