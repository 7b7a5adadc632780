//! The `ruleout` command.
#![forbid(unsafe_code)]

fn main() -> std::process::ExitCode {
    ruleout::cli::run()
}
