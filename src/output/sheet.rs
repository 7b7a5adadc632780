//! The paper that every page of HTML is written on: head, style, lists. One file without script and without anything
//! from elsewhere. What comes from files is escaped by the templates; [`page`] writes unsafe characters out besides.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::clean;
use super::report::{ReportCaution, ReportLine};

/// The style of all pages; our own, and all that stands in a `style` element.
pub const STYLE: &str = include_str!("sheet.css");

/// A whole page.
pub fn page(title: &str, body: &Markup) -> String {
    let whole = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { main { (body) } }
        }
    };
    clean(&whole.into_string()).into_owned() + "\n"
}

/// The box with cautions in full; nothing where there are none.
pub fn cautions(all: &[ReportCaution], safety: &str) -> Markup {
    html! {
        section.cautions aria-labelledby="cautions" {
            h2 #cautions { "Cautions" }
            p.key { (safety) }
            div.all { @for caution in all {
                p {
                    strong { (caution.name) @if caution.stop { " — licensed or qualified hands only" } ": " }
                    (caution.text)
                }
            } }
        }
    }
}

/// Lines as lists within lists.
pub fn nested(lines: &[ReportLine]) -> Markup {
    let top = lines.iter().map(|line| line.depth).min().unwrap_or(0);
    list(lines, top)
}

/// The lines at a depth, each with the deeper ones that follow it.
fn list(lines: &[ReportLine], depth: usize) -> Markup {
    let mut items: Vec<(&ReportLine, &[ReportLine])> = Vec::new();
    let mut rest = lines;
    while let Some((first, after)) = rest.split_first() {
        let own = after.iter().position(|line| line.depth <= depth).unwrap_or(after.len());
        let (deeper, next) = after.split_at(own);
        items.push((first, deeper));
        rest = next;
    }
    html! {
        @if !items.is_empty() {
            ul {
                @for (line, deeper) in items {
                    li { (line.text) @if !deeper.is_empty() { (list(deeper, next_depth(deeper))) } }
                }
            }
        }
    }
}

fn next_depth(lines: &[ReportLine]) -> usize {
    lines.iter().map(|line| line.depth).min().unwrap_or(0)
}

/// A drawing that may be wider than the page: it scrolls by itself, on paper it is made to fit.
pub fn figure(title: &str, svg: &str) -> Markup {
    // Within HTML the name of the namespace is not needed.
    let svg = svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1);
    html! {
        figure {
            figcaption { (title) }
            div.wide role="region" aria-label=(title) tabindex="0" { (PreEscaped(svg)) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(depth: usize, text: &str) -> ReportLine {
        ReportLine { depth, text: text.into() }
    }

    #[test]
    fn lines_become_lists_within_lists_whatever_their_depths() {
        let lines = [line(1, "a"), line(3, "b"), line(2, "c"), line(1, "d"), line(0, "e")];
        let text = nested(&lines).into_string();
        assert!(["a", "b", "c", "d", "e"].iter().all(|word| text.contains(&format!("<li>{word}"))), "{text}");
        assert_eq!(text.matches("<ul>").count(), text.matches("</ul>").count());
        assert_eq!(nested(&[]).into_string(), "");
    }

    #[test]
    fn what_comes_from_files_is_inert() {
        let bad = "<script>alert(1)</script>\u{1b}[2J\u{202e}\"'&";
        let text = page(bad, &nested(&[line(0, bad)]));
        assert!(!text.contains("<script") && !text.contains('\u{1b}') && !text.contains('\u{202e}'));
        assert!(text.contains("&lt;script&gt;") && text.contains("\\u{1b}"));
    }

    /// Relative luminance and contrast as WCAG 2.2 defines them: <https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio>.
    fn luminance(colour: &str) -> f64 {
        let channel = |at: usize| f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        let linear = |c: f64| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
        0.2126 * linear(channel(1)) + 0.7152 * linear(channel(3)) + 0.0722 * linear(channel(5))
    }

    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn contrast_is_that_of_wcag_for_known_pairs() {
        // Black on white is 21 by the definition; #767676 on white is 4.54, the usual example of a grey that just passes.
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.005);
    }

    #[test]
    fn every_text_colour_has_contrast_aa_in_light_dark_and_print() {
        // WCAG 2.2, 1.4.3: at least 4.5 to 1 for text; 1.4.11: 3 to 1 for lines and boxes.
        let sets: Vec<&str> = STYLE.split(":root {").skip(1).map(|rest| rest.split('}').next().unwrap()).collect();
        assert_eq!(sets.len(), 3, "light, dark, print");
        for set in sets {
            let colour = |name: &str| {
                let at = set.find(&format!("--{name}: ")).unwrap_or_else(|| panic!("{name}: {set}"));
                set[at..].split(['#', ';']).nth(1).map(|hex| format!("#{hex}")).unwrap()
            };
            for ground in ["paper", "shade"] {
                for text in ["ink", "quiet", "accent"] {
                    let found = contrast(&colour(text), &colour(ground));
                    assert!(found >= 4.5, "{text} on {ground}: {found:.2} in {set}");
                }
            }
            assert!(contrast(&colour("line"), &colour("paper")) >= 3.0, "{set}");
        }
    }

    #[test]
    fn no_colour_stands_outside_the_variables() {
        let rules = STYLE.lines().filter(|line| !line.trim_start().starts_with("--") && !line.contains(":root {"));
        for line in rules {
            assert!(!line.contains('#') && !line.contains("rgb"), "{line}");
        }
    }
}
