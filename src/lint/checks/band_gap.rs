//! Bands that end before the reading's range does.

use crate::book::numbers;
use crate::lint::check::{Finding, Findings, check};
use crate::lint::subject::Subject;
use crate::syntax::tree::{Band, BandRange, FieldBody, Number, Side};
use crate::syntax::words::DeclarationWord;
use crate::units::{Exact, Unit};

check! {
    /// Finds: bands whose lowest begins above the lower end of `from … to …`, or whose highest ends below its upper end.
    /// Gaps and overlaps between bands are errors already. Silent where the outer band is open (`below …`, `above …`).
    ///
    /// Harm: a value beyond the last band counts as in that band, which the book does not say to its reader.
    ///
    /// Bad:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   bands low 0.5 V to 22.5 V, good 22.5 V to 32 V
    /// ```
    /// Good:
    /// ```rulebook
    /// reading supply at fan connector
    ///   unit V
    ///   from 0 V to 32 V
    ///   bands low below 22.5 V, good 22.5 V to 32 V
    /// ```
    "band-gap", Warning, Sound, find
}

fn find(subject: &Subject<'_>, found: &mut Findings) {
    for declaration in subject.of(DeclarationWord::Reading) {
        let bands = declaration.fields.iter().find_map(|field| match &field.body {
            FieldBody::Bands(bands) => Some(bands),
            _ => None,
        });
        let reading = subject.book.find_indication(&declaration.name.text).and_then(|id| subject.book.indication(id).reading());
        let (Some(bands), Some(reading)) = (bands, reading) else { continue };
        let (Some((low, high)), Some(unit)) = (&reading.range, reading.unit) else { continue };
        let ends: Vec<(&Band, Option<Exact>, Option<Exact>)> = bands.iter().map(|band| ends(band, unit)).collect();
        let first = ends.iter().min_by(|a, b| a.1.cmp(&b.1));
        if let (Some((band, Some(begins), _)), Some(low)) = (first, low.value()) {
            if begins > low {
                found.add(gap(band, &format!("begins at {}, but `{}` goes down to {}", unit.show(begins), declaration.name.text, unit.show(low)), "below"));
            }
        }
        let last = ends.iter().max_by(|a, b| (a.2.is_none(), &a.2).cmp(&(b.2.is_none(), &b.2)));
        if let (Some((band, _, Some(stops))), Some(high)) = (last, high.value()) {
            if stops < high {
                found.add(gap(band, &format!("ends at {}, but `{}` goes up to {}", unit.show(stops), declaration.name.text, unit.show(high)), "above"));
            }
        }
    }
}

fn gap(band: &Band, says: &str, side: &str) -> Finding {
    let end = if side == "below" { "lower" } else { "upper" };
    Finding::at(band.name.span, format!("band `{}` {says}", band.name.text))
        .help(format!("move its {end} end, leave it open with `{side} …`, or add a band for what lies {side}"))
}

fn ends<'b>(band: &'b Band, unit: &Unit) -> (&'b Band, Option<Exact>, Option<Exact>) {
    let base = |number: &Number, lent: &Number| {
        let number = Number { unit: number.unit.clone().or_else(|| lent.unit.clone()), ..number.clone() };
        numbers::amount(&number).ok().filter(|amount| amount.dimension == unit.dimension).map(|amount| amount.base)
    };
    match &band.range {
        BandRange::Between(low, high) => (band, base(low, high), base(high, low)),
        BandRange::Open(Side::Below | Side::AtMost, number) => (band, None, base(number, number)),
        BandRange::Open(_, number) => (band, base(number, number), None),
    }
}
