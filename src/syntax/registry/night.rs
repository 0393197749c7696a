//! What amends a book for one night.

use super::{Place, Row, row};
use crate::syntax::grammar::night;

pub(super) const ROWS: &[Row] = &[
    row("without", night::without, &["without a", "without a, b"], &["without", "without \"a\"", "without a b", "a"])
        .free(Place::Top, &["without"]),
    row(
        "instead",
        night::instead,
        &[
            "instead amp a like a",
            "instead set \"a\" from \"a\" { \"b\" first }",
            "instead use \"a\" by \"b\"",
            "instead safe 1.5",
        ],
        &["instead", "instead a", "instead rule always a", "instead use \"a\"", "instead instead safe 1.5"],
    )
    .free(Place::Top, &["instead"]),
    row("use-by", night::use_by, &["use \"a\" by \"b\""], &["use \"a\"", "use a by b", "use \"a\", \"b\""]),
    row(
        "state-map",
        night::state_map,
        &["channel clean is quiet", "channel clean is quiet, lead is loud"],
        &["channel", "channel clean", "clean is quiet", "channel clean is quiet lead is loud", "channel \"a\" is b"],
    )
    .opens(Place::Device, &[]),
    row("mapped", night::mapped, &["clean is quiet"], &["clean", "clean quiet", "is quiet", "clean is"]),
];
