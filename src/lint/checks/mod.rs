//! The checks by name and shape, one a file. Adding one is its file, its `mod` line and its row below.

mod allowance_without_reason;
mod case_without_expect;
mod change_without_effect;
mod comparison_outside_range;
mod complaint_without_first;
mod complaint_without_gone_when;
mod empty_text;
mod fault_in_no_complaint;
mod fault_without_evidence;
mod hazard_without_caution;
mod hidden_characters;
mod incomplete_header;
mod lone_part_kind;
mod look_alike_letters;
mod missing_affects;
mod missing_because;
mod missing_how;
mod missing_range;
mod missing_remedy;
mod missing_share;
mod missing_source;
mod missing_takes;
mod missing_verify;
mod missing_where;
mod mixed_and_or;
mod names_nearly_alike;
mod no_case;
mod no_donor;
mod quarrelling_affects;
mod quarrelling_conclusions;
mod repeated_number;
mod reversed_odds;
mod same_conditions;
mod same_test_twice;
mod shows_without_sound;
mod states_can_differ;
mod tolerance_outside_range;
mod tolerance_too_narrow;
mod tolerance_twice;
mod unfinished_text;
mod unknown_allowance;
mod unknown_name_in_case;
mod unneeded_allowance;
mod unsaid_hazard;
mod untried_setup;
mod unused_caution;
mod unused_change;
mod unused_finding;
mod unused_limit;
mod unused_observation;
mod unused_part;
mod unused_reading;
mod unused_state;
mod useless_unaffected_by;
mod with_on_last_test_only;

use super::check::Check;

/// Every check, in the order of their ids.
pub static CHECKS: &[&Check] = &[
    &allowance_without_reason::CHECK,
    &case_without_expect::CHECK,
    &change_without_effect::CHECK,
    &comparison_outside_range::CHECK,
    &complaint_without_first::CHECK,
    &complaint_without_gone_when::CHECK,
    &empty_text::CHECK,
    &fault_in_no_complaint::CHECK,
    &fault_without_evidence::CHECK,
    &hazard_without_caution::CHECK,
    &hidden_characters::CHECK,
    &incomplete_header::CHECK,
    &lone_part_kind::CHECK,
    &look_alike_letters::CHECK,
    &missing_affects::CHECK,
    &missing_because::CHECK,
    &missing_how::CHECK,
    &missing_range::CHECK,
    &missing_remedy::CHECK,
    &missing_share::CHECK,
    &missing_source::CHECK,
    &missing_takes::CHECK,
    &missing_verify::CHECK,
    &missing_where::CHECK,
    &mixed_and_or::CHECK,
    &names_nearly_alike::CHECK,
    &no_case::CHECK,
    &no_donor::CHECK,
    &quarrelling_affects::CHECK,
    &quarrelling_conclusions::CHECK,
    &repeated_number::CHECK,
    &reversed_odds::CHECK,
    &same_conditions::CHECK,
    &same_test_twice::CHECK,
    &shows_without_sound::CHECK,
    &states_can_differ::CHECK,
    &tolerance_outside_range::CHECK,
    &tolerance_too_narrow::CHECK,
    &tolerance_twice::CHECK,
    &unfinished_text::CHECK,
    &unknown_allowance::CHECK,
    &unknown_name_in_case::CHECK,
    &unneeded_allowance::CHECK,
    &unsaid_hazard::CHECK,
    &untried_setup::CHECK,
    &unused_caution::CHECK,
    &unused_change::CHECK,
    &unused_finding::CHECK,
    &unused_limit::CHECK,
    &unused_observation::CHECK,
    &unused_part::CHECK,
    &unused_reading::CHECK,
    &unused_state::CHECK,
    &useless_unaffected_by::CHECK,
    &with_on_last_test_only::CHECK,
];
