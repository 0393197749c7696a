//! The rules, and their one list. One rule, one file; no rule knows another.

use super::{Diagnostic, Facts, Need, Severity};

pub(super) use marks_left::files as with_marks;

/// A rule: its code, how bad it is, its page, what it needs, and the function from facts to diagnostics.
pub struct Rule {
    /// A word that reads well after `allow`.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// The source file, whose head is the page that `explain` prints.
    pub source: &'static str,
    /// What a book must say, or it finds nothing.
    pub needs: &'static [Need],
    /// Looks for it.
    pub find: fn(&Facts<'_>, &mut Vec<Diagnostic>),
}

/// The single list: module, code, and what a rule needs. Dispatch, `explain` and the index page all come from it.
macro_rules! rules {
    ($($module:ident $code:literal $([$($need:ident)*])?)*) => {
        $(mod $module;)*

        /// All rules, by code.
        pub const RULES: &[Rule] = &[$(Rule {
            code: $code,
            severity: $module::SEVERITY,
            source: include_str!(concat!(stringify!($module), ".rs")),
            needs: &[$($(Need::$need),*)?],
            find: $module::find,
        },)*];
    };
}

rules! {
    ac_dc_wrong "ac-dc-wrong" [Supply]
    allow_error "allow-error"
    allow_idle "allow-idle"
    always_at_odds "always-at-odds"
    always_bypassed "always-bypassed"
    amp_unfed "amp-unfed" [Chain]
    bank_run "bank-run" [Song Slots]
    built_too_deep "built-too-deep"
    call_comes_back "call-comes-back"
    call_out_of_reach "call-out-of-reach"
    call_unanswered "call-unanswered"
    cannot_bypass "cannot-bypass"
    chain_loose_end "chain-loose-end"
    chain_twice "chain-twice"
    chains_disagree "chains-disagree"
    channel_claimed_twice "channel-claimed-twice"
    channel_disagrees "channel-disagrees"
    circular_from "circular-from"
    circular_like "circular-like"
    circular_use "circular-use"
    code_clash "code-clash"
    conflict_left "conflict-left"
    contact_claimed_twice "contact-claimed-twice"
    contact_pattern_unknown "contact-pattern-unknown"
    contact_unclear "contact-unclear"
    control_unknown "control-unknown"
    control_unsettled "control-unsettled"
    decimal_comma "decimal-comma"
    duplicate_name "duplicate-name"
    engaged_unclear "engaged-unclear"
    engaged_unheard "engaged-unheard" [Chain]
    fed_otherwise "fed-otherwise"
    file_missing "file-missing"
    file_outside "file-outside"
    foot_cannot_reach "foot-cannot-reach"
    ground_loop "ground-loop"
    ground_shared "ground-shared" [Supply]
    guitar_buffered "guitar-buffered" [Chain]
    guitar_unclear "guitar-unclear"
    guitar_unheard "guitar-unheard"
    guitar_unsettled "guitar-unsettled"
    hash_glued "hash-glued"
    heavy_loading "heavy-loading" [Chain Values]
    helper_full "helper-full"
    helper_unclear "helper-unclear"
    hidden_letters "hidden-letters"
    jack_missing "jack-missing"
    jack_unsaid "jack-unsaid"
    jack_unused "jack-unused"
    jack_used_twice "jack-used-twice"
    label_too_long "label-too-long"
    layer_returns "layer-returns"
    layers_disagree "layers-disagree"
    leg_unclear "leg-unclear"
    length_disagrees "length-disagrees"
    level_jump_on_takeover "level-jump-on-takeover" [Song]
    level_step "level-step" [Chain Pickup Values Limit Song]
    level_too_high "level-too-high" [Chain]
    level_unsettled "level-unsettled"
    line_end_unclear "line-end-unclear"
    loop_claimed_twice "loop-claimed-twice"
    loop_empty "loop-empty"
    loop_fed_twice "loop-fed-twice"
    loop_in_no_chain "loop-in-no-chain" [Chain]
    loop_missing "loop-missing"
    marks_left "marks-left"
    message_unclear "message-unclear"
    messages_full "messages-full"
    messages_late "messages-late" [Song]
    missing_value "missing-value" [Chain Pickup]
    name_reserved "name-reserved"
    names_alike "names-alike"
    never_engaged "never-engaged"
    night_used "night-used"
    no_effect "no-effect"
    no_loop "no-loop"
    no_slot "no-slot" [Song Slots]
    no_slot_yet "no-slot-yet" [Song Slots]
    no_such_slot "no-such-slot"
    no_way_out "no-way-out"
    not_proved "not-proved"
    not_utf8 "not-utf8"
    nothing_replaced "nothing-replaced"
    number_too_long "number-too-long"
    order_unclear "order-unclear"
    outlet_margin "outlet-margin" [Supply Margin]
    outlet_overdrawn "outlet-overdrawn" [Supply]
    outlet_peak "outlet-peak" [Supply]
    output_into_output "output-into-output"
    own_switch_off "own-switch-off"
    past_mute "past-mute" [Chain]
    pasted_sign "pasted-sign"
    pause_stale "pause-stale"
    polarity_opposed "polarity-opposed" [Chain]
    polarity_wrong "polarity-wrong" [Supply]
    port_fed_twice "port-fed-twice"
    port_shared "port-shared"
    power_unsaid "power-unsaid" [Supply]
    press_unclear "press-unclear"
    pulse_depends_on_path "pulse-depends-on-path"
    pulse_never_safe "pulse-never-safe"
    range_empty "range-empty"
    rule_at_risk "rule-at-risk"
    rule_broken "rule-broken"
    rule_implied "rule-implied"
    rules_clash "rules-clash"
    safe_unsettled "safe-unsettled"
    said_twice "said-twice"
    scene_unused "scene-unused"
    slot_taken_twice "slot-taken-twice"
    slots_full "slots-full"
    song_twice "song-twice"
    state_unknown "state-unknown"
    state_unmapped "state-unmapped"
    state_unreached "state-unreached"
    statements_disagree "statements-disagree"
    states_alike "states-alike"
    stereo_collapses "stereo-collapses" [Chain]
    supply_overdrawn "supply-overdrawn" [Supply]
    switcher_missing "switcher-missing"
    syntax "syntax"
    tail_cut "tail-cut" [Song Tail]
    tempo_clash "tempo-clash"
    tempo_refused "tempo-refused"
    tempo_stale "tempo-stale" [Song]
    tempo_unsaid "tempo-unsaid" [Song]
    too_many "too-many"
    too_many_feet "too-many-feet" [Song]
    too_many_targets "too-many-targets"
    treble_lost "treble-lost" [Chain Pickup Values]
    trim_misplaced "trim-misplaced"
    tuner_misplaced "tuner-misplaced"
    tuning_unsaid "tuning-unsaid"
    two_feet_at_once "two-feet-at-once" [Song]
    unit_case "unit-case"
    unit_missing "unit-missing"
    unit_wrong "unit-wrong"
    unknown_name "unknown-name"
    unknown_song "unknown-song"
    value_out_of_range "value-out-of-range"
    voltage_wrong "voltage-wrong" [Supply]
}

/// The rule with this code.
pub fn rule(code: &str) -> Option<&'static Rule> {
    RULES.iter().find(|r| r.code == code)
}
