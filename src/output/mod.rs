//! Showing results: text for people, JSON for machines. Each renderer takes result types of the rows above and gives
//! text; nothing here reads files, asks the clock or prints.

pub mod advice_json;
pub mod advice_text;
pub mod cases_json;
pub mod cases_text;
pub mod cautions;
pub mod circuit_json;
pub mod circuit_svg;
pub mod circuit_text;
pub mod circuit_words;
pub mod clean;
pub mod closing;
pub mod diagnostic;
pub mod entry_text;
pub mod factors_text;
pub mod github;
pub mod how_sure_json;
pub mod how_sure_text;
pub mod judgement_json;
pub mod judgement_text;
pub mod junit;
pub mod lines;
pub mod lint_json;
pub mod lint_text;
pub mod order_json;
pub mod order_svg;
pub mod order_text;
pub mod page;
pub mod quarrels_json;
pub mod quarrels_text;
pub mod report;
pub mod report_html;
pub mod report_text;
pub mod sarif;
pub mod sheet;
pub mod signal_plot;
pub mod signal_svg;
pub mod signal_text;
pub mod why;
pub mod words;

pub use clean::clean;
pub use page::Page;
