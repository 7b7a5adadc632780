//! `--watch`: looks again whenever a file has changed, until Ctrl-C. Files are asked for their time and length twice a
//! second, which works on every disk.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

use crate::output::words::counted;

use super::super::{Exit, files, out};
use super::{LintArgs, Round, look};

const PAUSE: Duration = Duration::from_millis(500);

/// When each file was written last and how long it is; `None` where it is not there.
type Stamps = BTreeMap<PathBuf, Option<(SystemTime, u64)>>;

/// Looks again for good.
pub(super) fn again(args: &LintArgs, first: Round) -> Exit {
    let mut round = first;
    let mut seen = stamps(args, &round);
    out::error_line(&format!("watching {}; Ctrl-C ends", counted(seen.len(), "file", "files")));
    loop {
        std::thread::sleep(PAUSE);
        let now = stamps(args, &round);
        if now == seen {
            continue;
        }
        if let Ok(next) = look(args) {
            next.show(args.format);
            round = next;
        }
        // Files may have come with the change. Of those known before, the stamp from before the look counts, so that
        // what was written meanwhile is seen the next time.
        seen = stamps(args, &round);
        for (path, stamp) in &mut seen {
            *stamp = now.get(path).copied().unwrap_or(*stamp);
        }
    }
}

/// The files that the arguments name now, and those that the last round's books are made of.
fn stamps(args: &LintArgs, round: &Round) -> Stamps {
    let named = args
        .paths
        .iter()
        .filter(|path| path.exists())
        .filter_map(|path| files::rulebooks(std::slice::from_ref(path)).ok());
    let mut paths: Vec<PathBuf> = named.flatten().collect();
    paths.extend(args.paths.iter().filter(|path| !path.is_dir()).cloned());
    for file in &round.files {
        let sources = (0..).map_while(|n| file.sources.get(crate::source::SourceId(n)));
        paths.extend(sources.map(|source| PathBuf::from(&*source.name)));
    }
    let stamp = |path: &PathBuf| {
        let meta = std::fs::metadata(path).ok()?;
        Some((meta.modified().ok()?, meta.len()))
    };
    paths.into_iter().map(|path| (path.clone(), stamp(&path))).collect()
}
