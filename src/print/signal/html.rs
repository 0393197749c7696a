//! The figures and drawn curves as one page that needs nothing else.

use maud::{DOCTYPE, PreEscaped, html};

use super::plot::{Curve, svg};
use super::text::CAUTION;
use super::{CURVE, Row};
use crate::Compiled;
use crate::study::signal::Signal;

const STYLE: &str = "body{font:16px/1.4 sans-serif;color:#000;background:#fff;margin:1.5em;max-width:60em}\
table{border-collapse:collapse}td,th{padding:.15em .6em;text-align:right;border-bottom:1px solid #bbb}\
td:nth-child(-n+2),th:nth-child(-n+2),td:last-child,th:last-child{text-align:left}\
figure{margin:1em 0;page-break-inside:avoid}.caution{border:2px solid #000;padding:.5em}";

fn number(value: Option<f64>, places: usize) -> String {
    value.map_or("–".to_owned(), |v| format!("{v:.places$}"))
}

/// The page.
pub fn page(compiled: &Compiled, rows: &[Row], signal: &mut Signal<'_>) -> String {
    let board = compiled.book.board.as_ref().map_or("signal", |b| b.value.as_str());
    let (from, to, points) = CURVE;
    // Scenes of one circuit share a picture.
    type Picture = ((u32, usize), Vec<String>, Vec<(f64, f64)>);
    let mut pictures: Vec<Picture> = Vec::new();
    for row in rows {
        let Some(curve) = signal.found(row.of.0, row.of.1).and_then(|f| f.curve(from, to, points)) else { continue };
        let group = signal.groups.of_scene.get(row.of.0 as usize).copied().unwrap_or(0);
        match pictures.iter_mut().find(|p| p.0 == (group, row.of.1)) {
            Some(picture) => picture.1.push(row.scene.clone()),
            None => pictures.push(((group, row.of.1), vec![row.scene.clone()], curve)),
        }
    }
    let guitar = |index: usize| compiled.book.guitars.get(index).map_or("", |g| g.name.as_str());
    let draft = compiled.errors() > 0;
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { (board) ": signal" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                @if draft { p { b { "DRAFT" } } }
                h1 { (board) ": signal" }
                p.caution { (CAUTION) }
                p { "Levels re the pickup's voltage. The amplifier's own sound is left out. –3 dB is 3.0103 dB below the low end." }
                table {
                    thead { tr {
                        th { "scene" } th { "guitar" } th { "1 kHz, dB" } th { "peak, Hz" } th { "peak, dB" }
                        th { "–3 dB, Hz" } th { "guitar load, pF" } th { "loading, dB" } th { "step, dB" } th { "where, or what is missing" }
                    } }
                    tbody { @for row in rows { tr {
                        td { (row.scene) } td { (row.guitar) }
                        td { @if row.silent { "silent" } @else { (number(row.level_1khz_db, 2)) } }
                        td { (number(row.peak_hz, 0)) } td { (number(row.peak_db, 2)) } td { (number(row.minus_3db_hz, 0)) }
                        td { (number(row.guitar_load_pf, 0)) } td { (number(row.worst_loading_db, 2)) } td { (number(row.difference_db, 2)) }
                        td {
                            (row.worst_loading.as_deref().unwrap_or(""))
                            @if !row.missing.is_empty() { " missing: " (row.missing.join(", ")) }
                        }
                    } } }
                }
                @for ((_, of), scenes, points) in &pictures {
                    @let name = format!("{} on {}", scenes.join(", "), guitar(*of));
                    figure {
                        figcaption { (name) }
                        (PreEscaped(svg(&name, &[Curve { name: name.clone(), points: points.clone() }])))
                    }
                }
            }
        }
    };
    page.into_string() + "\n"
}
