//! Random texts against Ruleout's parts. `RULEOUT_TARGET` names the part; the rest of the command line is libFuzzer's.
//! What each part must keep to stands in `targets/`; the project's own tests play the seeds and all that was ever found
//! through the same functions (`tests/fuzz_replay.rs`).
#![no_main]

mod targets;

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;

static TARGET: OnceLock<targets::Run> = OnceLock::new();

fuzz_target!(|data: &[u8]| {
    let target = TARGET.get_or_init(|| {
        let name = std::env::var("RULEOUT_TARGET").unwrap_or_default();
        let known: Vec<&str> = targets::TARGETS.iter().map(|(name, _)| *name).collect();
        targets::find(&name).unwrap_or_else(|| panic!("RULEOUT_TARGET is `{name}`, must be one of {known:?}"))
    });
    target(data);
});
