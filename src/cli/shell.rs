//! Completions and man pages, from the command line's own definition. Hidden: packagers call them.

use std::path::PathBuf;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Cli, Exit, disk, out};

/// Arguments of `completions`.
#[derive(Clone, Debug, Args)]
pub(super) struct CompletionArgs {
    /// Which shell
    shell: Shell,
}

/// Arguments of `man`.
#[derive(Clone, Debug, Args)]
pub(super) struct ManArgs {
    /// The folder to write the pages to
    folder: PathBuf,
}

/// Prints the completions of a shell.
pub(super) fn completions(args: &CompletionArgs) -> Exit {
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "ruleout", &mut bytes);
    out::text(&String::from_utf8_lossy(&bytes));
    Exit::Done
}

/// Writes the man pages.
pub(super) fn man(args: &ManArgs) -> Exit {
    let written =
        std::fs::create_dir_all(&args.folder).and_then(|()| clap_mangen::generate_to(Cli::command(), &args.folder));
    match written {
        Ok(()) => Exit::Done,
        Err(error) => {
            out::error_line(&format!(
                "ruleout: `{}` can't be written: {}",
                args.folder.display(),
                disk::because(&error)
            ));
            Exit::Failed
        }
    }
}
