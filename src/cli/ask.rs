//! `ruleout ask`: the REPL.

use clap::Args;

use super::{BookArgs, Exit};

/// Arguments of `ask`.
#[derive(Clone, Debug, Args)]
pub struct AskArgs {
    #[command(flatten)]
    book: BookArgs,
}

/// Runs it.
pub fn run(_args: &AskArgs) -> Exit {
    Exit::Failed
}
