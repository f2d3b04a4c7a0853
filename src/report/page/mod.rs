//! A result as one page that needs nothing else: no network, no other file, no font of the reader's machine.

use super::{Block, Rows, Saved};
use crate::chart::{Look, Theme, font};
use base64::prelude::{BASE64_STANDARD, Engine as _};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest as _, Sha256};

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");
/// Width of charts on a wide screen and on a phone, px; the page shows one of them.
const WIDE_PX: u32 = 960;
const NARROW_PX: u32 = 400;

/// The page.
#[must_use]
pub fn html(saved: &Saved, look: Look) -> String {
    let body = body(saved, look).into_string();
    let theme = match look.theme {
        Theme::Light => "light",
        Theme::Dark => "dark",
    };
    // What the page says decides which characters its font must have.
    let style = font::css(&body) + STYLE;
    // Nothing may be loaded or run but what stands here: names in a scenario are anyone's.
    let policy = format!(
        "default-src 'none'; style-src '{}'; script-src '{}'; font-src data:; base-uri 'none'; form-action 'none'",
        hash(&style),
        hash(SCRIPT)
    );
    html! {
        (DOCTYPE)
        html lang="en" data-theme=(theme) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="referrer" content="no-referrer";
                meta name="generator" content=(saved.program);
                meta name="color-scheme" content=(theme);
                title { (shown(&saved.title)) }
                style { (PreEscaped(&style)) }
            }
            body {
                (PreEscaped(&body))
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
        + "\n"
}

fn hash(text: &str) -> String {
    format!("sha256-{}", BASE64_STANDARD.encode(Sha256::digest(text)))
}

/// A name that someone else chose, for a page.
fn shown(text: &str) -> String {
    const MOST: usize = 300;
    crate::chart::name(text, MOST)
}

fn body(saved: &Saved, look: Look) -> Markup {
    let parts = &saved.document(look.units).parts;
    // What answers the question stands first; notes and cautions stand last.
    let (answers, rest): (Vec<_>, Vec<_>) = parts
        .iter()
        .enumerate()
        .partition(|(number, part)| *number == 0 || part.iter().any(is_answer));
    let (notes, figures): (Vec<_>, Vec<_>) = rest
        .into_iter()
        .partition(|(_, part)| part.iter().all(|block| matches!(block, Block::Note(_))));
    html! {
        a class="skip" href="#answer" { "To the answer" }
        header {
            p class="asked" { (saved.question) }
            h1 { (shown(&saved.title)) }
        }
        main {
            section id="answer" aria-labelledby="answer-head" {
                h2 id="answer-head" { "The answer" }
                @for (_, part) in &answers { (blocks(part)) }
            }
            @if !saved.charts.is_empty() {
                section aria-labelledby="charts-head" {
                    h2 id="charts-head" { "Pictures" }
                    @for chart in &saved.charts {
                        figure {
                            div class="wide" { (PreEscaped(picture(saved, look, chart, WIDE_PX))) }
                            div class="narrow" { (PreEscaped(picture(saved, look, chart, NARROW_PX))) }
                        }
                    }
                }
            }
            section aria-labelledby="figures-head" {
                h2 id="figures-head" { "Figures" }
                @for (_, part) in &figures { div class="part" { (blocks(part)) } }
            }
            section aria-labelledby="limits-head" {
                h2 id="limits-head" { "Limits and cautions" }
                h3 { "What the model is weak at" }
                ul { @for limit in &saved.limits { li { (limit) } } }
                h3 { "Of this result" }
                ul {
                    @for (_, part) in &notes {
                        @for block in *part { @if let Block::Note(words) = block { li { (words) } } }
                    }
                }
            }
            (repeat(saved))
        }
        div id="tip" aria-hidden="true" hidden {}
    }
}

/// A chart at one width. Both widths stand on the page, so their ids differ.
fn picture(saved: &Saved, look: Look, chart: &crate::chart::Chart, width_px: u32) -> String {
    let mut chart = chart.clone();
    if width_px == NARROW_PX {
        chart.key += "-narrow";
    }
    chart.svg(Look { width_px, ..look }, &saved.source)
}

fn is_answer(block: &Block) -> bool {
    matches!(block, Block::Answer { .. } | Block::Under { .. })
}

/// Blocks in their order, answers that follow each other as one list.
fn blocks(part: &[Block]) -> Markup {
    html! {
        @for group in part.chunk_by(|a, b| is_answer(a) && is_answer(b)) {
            @if group.iter().all(is_answer) {
                dl {
                    @for block in group {
                        @if let Block::Answer { label, words } | Block::Under { label, words } = block {
                            div { dt { (label) } dd { (words) } }
                        }
                    }
                }
            } @else {
                @for block in group { (single(block)) }
            }
        }
    }
}

fn single(block: &Block) -> Markup {
    html! {
        @match block {
            Block::Head(words) => h3 { (words) },
            Block::Table(rows) => (table(rows)),
            Block::Line(words) | Block::Paragraph(words) | Block::Note(words) => p { (words.replace('\n', " ")) },
            Block::Answer { label, words } | Block::Under { label, words } => p { b { (label) } " " (words) },
        }
    }
}

fn table(rows: &Rows) -> Markup {
    let side = |column: usize| (!rows.is_words(column)).then_some("figure");
    let name = rows.head.iter().find(|head| !head.is_empty());
    html! {
        div class="scroll" role="region" tabindex="0" aria-label={ "Table: " (name.map_or("", String::as_str)) } {
            table {
                thead {
                    tr {
                        @for (column, head) in rows.head.iter().enumerate() {
                            @if head.is_empty() { td {} } @else { th scope="col" class=[side(column)] { (head) } }
                        }
                    }
                }
                tbody {
                    @for row in &rows.rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @if column == 0 { th scope="row" { (cell) } } @else { td class=[side(column)] { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn repeat(saved: &Saved) -> Markup {
    let repeat = &saved.repeat;
    html! {
        section aria-labelledby="repeat-head" {
            h2 id="repeat-head" { "To make it again" }
            p { "With " (saved.program) ", the files below and this command the same bytes come out, on any machine and with any number of threads:" }
            pre class="command" tabindex="0" { (repeat.command) }
            ul { @for made in &repeat.made_by { li { (made) } } }
            @if !repeat.weather.is_empty() {
                (table(&Rows {
                    head: ["Weather file", "layout", "SHA-256"].map(str::to_owned).to_vec(),
                    rows: repeat.weather.iter().map(|(file, layout, hash)| vec![file.clone(), layout.clone(), hash.clone()]).collect(),
                    words_last: true,
                }))
            }
            @for (name, text) in &repeat.scenarios {
                details {
                    summary { "Scenario " (shown(name)) }
                    pre tabindex="0" { (text) }
                }
            }
        }
    }
}
