//! Rules and limits.

use super::{Place, Row, row};
use crate::syntax::grammar::rule;

pub(super) const ROWS: &[Row] = &[
    row(
        "rule",
        rule::rule,
        &[
            "rule a needs b",
            "rule \"why\" at most one of a, b",
            "rule never a beside b",
            "rule always a",
            "rule exactly one of a",
        ],
        &["rule", "rule a", "rule \"why\"", "rule why never a", "rule at most two of a, b"],
    )
    .opens(Place::Top, &["rule"])
    .column(2),
    row(
        "at-most",
        rule::at_most,
        &["at most one of a", "at most one of a, b or c"],
        &["at most one of", "at most a", "at most one of a b"],
    )
    .keeps(&["at"]),
    row("exactly", rule::exactly, &["exactly one of a, b"], &["exactly one of", "exactly a", "exactly one a"])
        .keeps(&["exactly"]),
    row("never", rule::never, &["never a", "never a beside b"], &["never", "never a beside", "never a b"])
        .keeps(&["never"]),
    row("always", rule::always, &["always a or b"], &["always", "always a b", "always a, b"]).keeps(&["always"]),
    row(
        "needs",
        rule::needs,
        &["a needs b", "a and b needs (c or d)"],
        &["a", "a needs", "needs b", "a needs b needs c"],
    ),
    row("either", rule::either, &["a", "a or b or c"], &["", "a or", "or a", "a, b"]),
    row("both", rule::both, &["a", "a and b and c"], &["", "a and", "a and or b", "a or b"]),
    row(
        "denied",
        rule::denied,
        &["a", "not a", "not not a", "(a or b)", "not (a)"],
        &["", "(a", "a)", "not a or b", "()"],
    )
    .keeps(&["not"]),
    row(
        "atom",
        rule::atom,
        &[
            "a",
            "any a",
            "remote 1 tip closed",
            "remote 1 ring open",
            "loop 5",
            "loop 2 of a",
            "output 2 on",
            "output 2 off",
            "a.b c",
            "a.b foot",
            "a.b at least 10 %",
        ],
        &["", "any any a", "remote 1 tip", "loop a", "output 2", "a.b", "a.b foot from heel", "a.b at 10 %", "5"],
    )
    .keeps(&["any", "remote", "loop"]),
    row(
        "compared",
        rule::compared,
        &["10 %", "at least 10 %", "at most 10 %", "above 10 %", "below 10 %"],
        &["", "at 10 %", "least 10 %", "at least 10", "above", "beside 10 %"],
    ),
    row(
        "limit",
        rule::limit,
        &["limit level step 6 dB"],
        &["limit", "limit level 6 dB", "limit level step", "limit level step 6"],
    )
    .opens(Place::Top, &["limit"]),
];
