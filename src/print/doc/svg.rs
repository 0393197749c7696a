//! Drawings on the screen.

use maud::{Markup, html};

use super::{Figure, Shape};

/// A drawing as SVG inside the page.
pub(super) fn figure(figure: &Figure) -> Markup {
    let (w, h) = figure.size;
    html! {
        figure {
            svg viewBox={ "0 0 " (w) " " (h) } style={ "max-width:" (w * 1.15) "pt" } role="img" aria-label=(figure.alt) {
                @for shape in &figure.shapes { (draw(shape)) }
            }
        }
    }
}

fn draw(shape: &Shape) -> Markup {
    match shape {
        Shape::Rect { x, y, w, h, ink, filled } => {
            let (fill, line) = if *filled { (ink.hex(), "none".to_owned()) } else { ("none".to_owned(), ink.hex()) };
            html! { rect x=(x) y=(y) width=(w) height=(h) fill=(fill) stroke=(line) stroke-width="0.8" {} }
        }
        Shape::Line { from, to, ink, width } => html! {
            line x1=(from.0) y1=(from.1) x2=(to.0) y2=(to.1) stroke=(ink.hex()) stroke-width=(width) {}
        },
        Shape::Curve { points, ink, width } => {
            let points: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
            html! { polyline points=(points.join(" ")) fill="none" stroke=(ink.hex()) stroke-width=(width) {} }
        }
        Shape::Words { x, y, size, ink, strong, text } => words(*x, *y, *size, &ink.hex(), *strong, text, "middle"),
        Shape::From { x, y, size, ink, strong, text } => words(*x, *y, *size, &ink.hex(), *strong, text, "start"),
    }
}

fn words(x: f32, y: f32, size: f32, ink: &str, strong: bool, text: &str, anchor: &str) -> Markup {
    let weight = if strong { "600" } else { "400" };
    html! {
        text x=(x) y=(y) font-size=(size) font-weight=(weight) fill=(ink) text-anchor=(anchor) { (text) }
    }
}
