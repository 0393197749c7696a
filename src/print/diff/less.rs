//! Where a lead moved is less work than presets programmed anew, with both counts.

use super::page::{Line, Section, blocks};
use super::words;
use crate::compare::Comparison;
use crate::print::doc::Block;
use crate::print::night::CAUTION;

/// What a switch on its old contact would leave to do; nothing where it is no less.
pub fn line(
    told: &Comparison<'_>,
    other: &Comparison<'_>,
    device: &str,
    control: &str,
    contact: &str,
    file: &str,
) -> Option<String> {
    let (here, there) = (told.list.count(), other.list.count());
    let leads = |c: &Comparison<'_>| c.leads.moved.len() + c.leads.out.len() + c.leads.put_in.len();
    (there < here).then(|| {
        format!(
            "put the switch of `{device}` ({control}) on {contact}, where it was: {} to do at the unit instead of {here}, {} \
             instead of {}; for that say `on {contact}` in {file}",
            words::count(there, "thing"),
            match leads(other) {
                1 => "1 plug or lead to see to".to_owned(),
                n => format!("{n} plugs and leads to see to"),
            },
            leads(told),
        )
    })
}

/// The section.
pub fn section(lines: Vec<String>) -> Vec<Block> {
    let lines = lines.into_iter().map(|text| Line::ticked(0, text)).collect();
    blocks(Section { title: "Less to do".to_owned(), lead: CAUTION.to_owned(), lines })
}
