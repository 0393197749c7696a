//! A model as a book's text.

use super::model::{Board, Book, Compare, Control, Expr, Rule, STEPS};

pub(crate) const STATES: [&str; 4] = ["round", "sharp", "thick", "faint"];

fn percent(value: usize) -> String {
    format!("{} %", value * 100 / (STEPS - 1))
}

fn contact(flat: usize) -> String {
    format!("remote {} {}", flat / 2 + 1, ["tip", "ring"][flat % 2])
}

pub(crate) fn text(book: &Book) -> String {
    let Board { pedals, jacks, ports, outputs } = &book.board;
    let mut out = format!(
        "switcher {{ loops {}; remote jacks {jacks}; expressions {ports} of {STEPS} steps; outputs {outputs} }}\n",
        pedals.len()
    );
    for o in 0..*outputs {
        out += &format!("amp amp{o} {{ fed by output {} }}\n", o + 1);
    }
    for (p, pedal) in pedals.iter().enumerate() {
        out += &format!("{} {} {{ ", if pedal.always { "amp" } else { "pedal" }, pedal.name);
        if !pedal.always {
            out += &format!("loop {}; ", p + 1);
        }
        match &pedal.control {
            Some(Control::Contacts { contacts, states }) => {
                let jacks: Vec<String> = contacts.iter().map(|c| contact(*c)).collect();
                let says = |(s, pattern): (usize, &Vec<bool>)| {
                    let each = contacts.iter().zip(pattern);
                    let each = each.map(|(c, on)| {
                        let side = ["tip", "ring"][c % 2];
                        format!("{} {side} {}", c / 2 + 1, if *on { "closed" } else { "open" })
                    });
                    format!("{}: {}", STATES[s], each.collect::<Vec<_>>().join(", "))
                };
                let states: Vec<String> = states.iter().enumerate().map(says).collect();
                out += &format!("control mode on {} shared {{ {} }}; ", jacks.join(", "), states.join("; "));
            }
            Some(Control::Choice { states, programs: false }) => {
                out += &format!("control mode by foot {{ {} }}; ", STATES[..*states].join("; "));
            }
            Some(Control::Choice { states, programs: true }) => {
                let states: Vec<String> = (0..*states).map(|s| format!("{}: program {}", STATES[s], s + 1)).collect();
                out += &format!("control mode on midi {} programs from 1 {{ {} }}; ", p % 16 + 1, states.join("; "));
            }
            Some(Control::Level { port, falls }) => {
                let (from, to) = if *falls { ("100 %", "0 %") } else { ("0 %", "100 %") };
                out += &format!("level mode on expression {} from {from} to {to}; ", port + 1);
            }
            None => {}
        }
        out += "}\n";
    }
    for port in 0..*ports {
        out += &format!("treadle treadle{port} feeds expression {}\n", port + 1);
    }
    // What no scene says of an engaged pedal.
    out += "default { ";
    for pedal in pedals {
        match &pedal.control {
            Some(Control::Level { .. }) => out += &format!("{}.mode 0 %; ", pedal.name),
            Some(Control::Contacts { .. } | Control::Choice { .. }) => out += &format!("{}.mode round; ", pedal.name),
            None => {}
        }
    }
    out += "}\n";
    for scene in &book.scenes {
        out += &format!("scene {}", scene.name);
        if let Some(parent) = scene.parent {
            out += &format!(" from {}", book.scenes[parent].name);
        }
        out += " { ";
        for p in &scene.engage {
            out += &format!("engage {}; ", pedals[*p].name);
        }
        for (p, state) in &scene.set {
            let value = match &pedals[*p].control {
                Some(Control::Level { .. }) if *state == STEPS => "foot".to_owned(),
                Some(Control::Level { falls, .. }) => percent(if *falls { STEPS - 1 - state } else { *state }),
                _ => STATES[*state].to_owned(),
            };
            out += &format!("{}.mode {value}; ", pedals[*p].name);
        }
        for o in &scene.off {
            out += &format!("output {} off; ", o + 1);
        }
        out += "}\n";
    }
    for rule in &book.rules {
        out += &format!("rule {}\n", self::rule(book, rule));
    }
    out
}

pub(crate) fn rule(book: &Book, rule: &Rule) -> String {
    let one = |e: &Expr| expr(book, e, 0);
    let list = |l: &[Expr]| l.iter().map(one).collect::<Vec<_>>().join(", ");
    match rule {
        Rule::AtMost(l) => format!("at most one of {}", list(l)),
        Rule::Exactly(l) => format!("exactly one of {}", list(l)),
        Rule::Never(a, None) => format!("never {}", one(a)),
        Rule::Never(a, Some(b)) => format!("never {} beside {}", one(a), one(b)),
        Rule::Always(a) => format!("always {}", one(a)),
        Rule::Needs(a, b) => format!("{} needs {}", one(a), one(b)),
    }
}

/// Parentheses only where the order of binding asks for them: `not` 3, `and` 2, `or` 1.
fn expr(book: &Book, e: &Expr, inside: u8) -> String {
    let pedal = |p: &usize| &book.board.pedals[*p].name;
    let join = |list: &[Expr], word: &str, own: u8| {
        let text = list.iter().map(|e| expr(book, e, own + 1)).collect::<Vec<_>>().join(word);
        if inside > own && list.len() > 1 { format!("({text})") } else { text }
    };
    match e {
        Expr::Scene(s) => book.scenes[*s].name.clone(),
        Expr::Any(s) => format!("any {}", book.scenes[*s].name),
        Expr::Pedal(p) => pedal(p).clone(),
        Expr::Loop(p) => format!("loop {}", p + 1),
        Expr::Contact(c, closed) => format!("{} {}", contact(*c), if *closed { "closed" } else { "open" }),
        Expr::Output(o, on) => format!("output {} {}", o + 1, if *on { "on" } else { "off" }),
        Expr::State(p, s) => format!("{}.mode {}", pedal(p), STATES[*s]),
        Expr::Level(p, compare, value) => {
            let word = match compare {
                Compare::Least => "at least ",
                Compare::Most => "at most ",
                Compare::Above => "above ",
                Compare::Below => "below ",
                Compare::Exactly => "",
            };
            format!("{}.mode {word}{}", pedal(p), percent(*value))
        }
        Expr::Foot(p) => format!("{}.mode foot", pedal(p)),
        Expr::Not(e) => format!("not {}", expr(book, e, 3)),
        Expr::And(list) => join(list, " and ", 2),
        Expr::Or(list) => join(list, " or ", 1),
    }
}
