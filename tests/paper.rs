//! Paper: the report of a job, the worksheet and the lesson of a book, the job folder. As text, as a page of HTML, as JSON.

#[path = "paper/bench.rs"]
mod bench;
#[path = "paper/jobs.rs"]
mod jobs;
#[path = "paper/leaves.rs"]
mod leaves;
#[path = "paper/report.rs"]
mod report;
