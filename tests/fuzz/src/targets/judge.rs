//! Jobs judged: every fault has one verdict, weights are sums of shares, and every page can be shown.

use ruleout::job::Job;
use ruleout::output::advice_json::json_advice;
use ruleout::output::clean::is_unsafe;
use ruleout::output::judgement_json::json_judgement;
use ruleout::output::report::Papers;
use ruleout::output::report::drawings::drawings;
use ruleout::output::report_html::report_page;
use ruleout::output::report_text::{Extent, report_text};
use ruleout::output::words::Wording;
use ruleout::reasoning::history::course;
use ruleout::reasoning::judge;
use ruleout::source::SourceId;
use ruleout::syntax::parse_statement;

use super::shelf::choose_small;

/// Enters what can be entered, then asks everything there is to ask.
pub(crate) fn run(data: &[u8]) {
    let Some((book, text)) = choose_small(data) else { return };
    let mut job = Job::new(book);
    for line in text.lines().map(str::trim).take(40) {
        if let Ok(statement) = parse_statement(SourceId::default(), 0, line) {
            let _ = job.enter(book, statement, line);
        }
    }
    let judgement = judge(book, &job);
    assert_eq!(judgement.verdicts.len(), book.faults.len());
    let sum: f64 = judgement.hypotheses.iter().map(|hypothesis| hypothesis.weight).sum();
    let weighed = judgement.hypotheses.iter().all(|h| h.weight.is_finite() && h.weight >= 0.0);
    assert!(weighed && (judgement.hypotheses.is_empty() || (sum - 1.0).abs() < 1e-6), "weights come to {sum}");
    assert!(judge(book, &job) == judgement, "judged twice, another answer");
    let wording = Wording { book, job: &job };
    let course = course(book, &job);
    let papers = Papers { book, job: &job, header: None, course: &course, remarks: &[] };
    let report = papers.report();
    let html = report_page(&report, &drawings(&papers));
    assert!(!html.chars().any(|c| is_unsafe(c) && c != '\n') && !html.contains("<script"), "{html:?}");
    let report = report_text(&report, Extent::Whole);
    let mut pages = vec![wording.judgement(&judgement), report, wording.open_ends(&judgement)];
    for fault in book.fault_ids() {
        pages.extend([wording.why(&judgement, fault), wording.why_not(&judgement, fault)]);
        pages.push(wording.what_decides(&judgement, fault));
    }
    let advice = ruleout::advice::advise(book, &job, &judgement, 2);
    pages.push(wording.advice(&advice, &mut Vec::new()));
    for page in &pages {
        let shown = page.render(80);
        assert!(!shown.chars().any(|c| is_unsafe(c) && c != '\n'), "{shown:?}");
    }
    let answers = [
        serde_json::to_string(&json_judgement(book, &job, &judgement, Vec::new())),
        serde_json::to_string(&json_advice(book, &job, &judgement, &advice, Vec::new())),
    ];
    assert!(answers.iter().all(Result::is_ok), "{answers:?}");
}
