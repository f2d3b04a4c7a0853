//! The page: controls, the place for the answer, saving, cautions.

use super::controls::{self, Control};
use super::error::Refusal;
use super::files;
use super::settings::{Base, MEMBERS, Settings, USUAL_MEMBERS};
use crate::chart::font::css;
use crate::report::{CAUTIONS, PROGRAM};
use crate::scenario::{Part, SHELTERS, WeatherSource, library};
use crate::units::System;
use maud::{DOCTYPE, Markup, html};

/// How it looks.
pub(super) const CSS: &str = include_str!("page.css");
/// What it does.
pub(super) const SCRIPT: &str = include_str!("page.js");
/// Characters beyond ASCII and Latin-1 that pages and charts have.
const MORE: &str =
    "–—‘’“”…−≤≥≈±×·•→←↑↓▲▼●■◆○□◇✕ ŁłŒœŠšŽžŐőŰűĀāČčĐđĒēĘęĞğĪīİıŃńŇňŌōŘřŚśŞşŤťŪūŮůŹźŻż";
/// Sizes of ensembles that can be chosen.
const SIZES: [(u32, &str); 3] = [
    (100, "100, quick and coarse"),
    (USUAL_MEMBERS, "300, as usual"),
    (MEMBERS.1, "1,000, slow and finer"),
];

/// The page's font, as CSS.
pub(super) fn font() -> String {
    let latin = (' '..='~').chain('\u{a0}'..='\u{ff}');
    css(&latin.chain(MORE.chars()).collect::<String>())
}

/// What a number on the page measures, as the script knows it, with its limits in SI.
struct Range {
    kind: &'static str,
    low: f64,
    high: f64,
}

const BEES_RANGE: Range = Range {
    kind: "count",
    low: 2_000.0,
    high: 40_000.0,
};
const STORES: Range = Range {
    kind: "mass",
    low: 1.0,
    high: 60.0,
};
const ADDED: Range = Range {
    kind: "length",
    low: 0.0,
    high: 0.15,
};
const ENTRANCE: Range = Range {
    kind: "width",
    low: 0.01,
    high: 0.4,
};

/// The whole page.
///
/// # Errors
/// [`Refusal::Settings`] where the scenario itself cannot be read with the page's own settings.
pub(super) fn page(base: &Base, units: System) -> Result<String, Refusal> {
    let pair = base.moved(&Settings::default(), units)?;
    let controls = controls::controls(base, &pair, units);
    let scenario = &base.scenario;
    let shown = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "overwinter: a hive and a changed one" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="/font.css";
                link rel="stylesheet" href="/page.css";
                script src="/page.js" defer {}
            }
            body data-units=(if units == System::Us { "us" } else { "metric" }) {
                a.skip href="#answer" { "To the answer" }
                header {
                    h1 { "A hive, and the same hive changed" }
                    p { "Scenario: " bdi { (scenario.name) } ". Both hives go through the same winters with the same colonies, so that what differs is the hive." }
                    noscript { p.problem { "This page works with its script only. Allow scripts of this address." } }
                }
                main {
                    form #controls aria-label="Controls" autocomplete="off" { (of_changed(base, &controls)) (of_both(base, &controls)) (of_page(units)) }
                    (answer())
                    (saving())
                    (cautions())
                }
                footer { p { (PROGRAM) ", on this machine only. Nothing leaves it." } }
            }
        }
    };
    Ok(shown.into_string())
}

fn of_changed(base: &Base, controls: &[Control]) -> Markup {
    html! {
        fieldset {
            legend { "The changed hive" }
            (choice("hive", "Hive", html! {
                option value="" { "as it is: " (base.scenario.hive.name) }
                @for entry in library().iter().filter(|entry| entry.part == Part::Hive) { option value=(entry.name) { (entry.title) } }
            }, "Another hive in the place of the scenario's. It faces as the old one."))
            (choice("lid", "Lid", html! {
                option value="" { "as the hive has it" }
                @for entry in library().iter().filter(|entry| entry.part == Part::Lid) { option value=(entry.name) { (entry.title) } }
            }, ""))
            (slider(controls, "wall_added_m", "Foam added outside the wall", &ADDED))
            (slider(controls, "lid_added_m", "Insulation added in the lid", &ADDED))
            (choice("vents", "Vents", html! {
                option value="" { "as they are" }
                option value="corked" { "all corked" }
                option value="open" { "all open" }
            }, note(controls, "vents")))
            (slider(controls, "entrance_m", "Entrance width", &ENTRANCE))
        }
    }
}

fn of_both(base: &Base, controls: &[Control]) -> Markup {
    let files = files::weather_files(&base.folder);
    let own = match &base.scenario.weather.source {
        WeatherSource::Sample => "the built-in sample".to_owned(),
        WeatherSource::Files { paths, .. } => {
            let name = paths.first().and_then(|path| path.file_name());
            let name = name
                .map(|name| name.to_string_lossy().into_owned())
                .unwrap_or_default();
            match paths.len() {
                0 | 1 => name,
                more => format!("{name} and {} more", more - 1),
            }
        }
    };
    let is_sample = base.scenario.weather.source == WeatherSource::Sample;
    html! {
        fieldset {
            legend { "Both hives" }
            (slider(controls, "bees", "Bees in autumn", &BEES_RANGE))
            (slider(controls, "stores_kg", "Stores in autumn", &STORES))
            (choice("shelter", "Shelter of the site", html! {
                option value="" { "as it is: " (base.scenario.site.shelter_words) }
                @for (word, share) in SHELTERS { option value=(word) { (word) " (" (format!("{:.0}", 100.0 * share)) " % of the open wind)" } }
            }, ""))
            (choice("weather", "Winters from", html! {
                option value="" { "as the scenario says: " (own) }
                @if !is_sample { option value="sample" { "the built-in sample (invented)" } }
                @for file in &files { option value={ "file:" (file.name) } { (file.name) " (" (file.layout) ")" } }
            }, if files.is_empty() {
                "No weather file was found in the folder that is served. Files in a known layout appear here when the page is loaded again."
            } else {
                "Files of the folder that is served. The place of the hive stays that of the scenario."
            }))
        }
    }
}

fn of_page(units: System) -> Markup {
    html! {
        fieldset {
            legend { "This page" }
            (choice("units", "Units", html! {
                option value="metric" selected[units == System::Metric] { "metric (kg, mm)" }
                option value="us" selected[units == System::Us] { "US (lb, in)" }
            }, ""))
            (choice("members", "Colonies of each hive", html! {
                @for (members, words) in SIZES { option value=(members) selected[members == USUAL_MEMBERS] { (words) } }
            }, "More colonies make the figures steadier."))
            button type="button" #back { "Put everything back" }
        }
    }
}

fn note<'a>(controls: &'a [Control], id: &str) -> &'a str {
    let control = controls.iter().find(|control| control.id == id);
    control.map_or("", |control| control.refused.unwrap_or(&control.note))
}

fn choice(id: &str, label: &str, options: Markup, note: &str) -> Markup {
    html! {
        div.control {
            label for=(id) { (label) }
            select id=(id) name=(id) aria-describedby={ (id) "-note" } { (options) }
            p.note id={ (id) "-note" } { (note) }
        }
    }
}

fn slider(controls: &[Control], id: &str, label: &str, range: &Range) -> Markup {
    let own = controls
        .iter()
        .find(|control| control.id == id)
        .and_then(|control| control.own);
    html! {
        div.control data-number=(id) data-kind=(range.kind) data-low=(range.low) data-high=(range.high) data-own=[own] {
            label for=(id) id={ (id) "-label" } { (label) ", " span.unit {} }
            div.pair {
                input type="range" id={ (id) "-range" } aria-labelledby={ (id) "-label" } aria-describedby={ (id) "-note" };
                input type="number" id=(id) inputmode="decimal" aria-describedby={ (id) "-note" };
            }
            p.note id={ (id) "-note" } { (note(controls, id)) }
        }
    }
}

fn answer() -> Markup {
    html! {
        section #answer tabindex="-1" aria-labelledby="answer-title" aria-busy="true" {
            h2 #answer-title { "What the change does" }
            p #problem .problem role="alert" {}
            p #verdict { "The first colonies are on their way." }
            p #said .unseen aria-live="polite" {}
            div.run {
                label for="run" #run-label { "Colonies that have run" }
                progress #run max="1" value="0" {}
            }
            div #figures {}
            ul #notes {}
            div #charts {}
            details {
                summary { "The weather, as it was taken" }
                ul #weather-notes {}
            }
        }
    }
}

fn saving() -> Markup {
    html! {
        section aria-labelledby="save-title" {
            h2 #save-title { "Keep it" }
            p { "Saves both scenarios, to be run again by " code { "overwinter run" } ", and a folder with the results into the folder that is served. Nothing there is overwritten." }
            form #save {
                label for="name" { "Name" }
                div.pair {
                    input type="text" id="name" required maxlength="60" pattern="[A-Za-z0-9][A-Za-z0-9_\\-]*" autocomplete="off" spellcheck="false" aria-describedby="name-note";
                    button type="submit" #save-button disabled { "Save" }
                }
                p.note #name-note { "Letters a to z, digits, - and _. It can be saved when all colonies have run." }
            }
            p #saved role="status" {}
        }
    }
}

fn cautions() -> Markup {
    html! {
        section aria-labelledby="cautions-title" {
            h2 #cautions-title { "Before you act on it" }
            ul {
                li { "This is a model of heat, water and food in winter, in a hive that nobody opens. What it leaves out is in its guide, under limits." }
                @for caution in CAUTIONS { li { (caution) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{BEES, starter};
    use std::path::Path;

    #[test]
    fn names_are_escaped_wherever_they_stand() {
        let hostile = "</option><script>alert(1)</script>";
        let home = tempfile::tempdir().expect("a folder");
        let file = "<img src=x onerror=alert(1)>.csv";
        std::fs::write(
            home.path().join(file),
            "time,temperature_c\n2019-11-01T00:00,3\n",
        )
        .expect("a file");
        let text = starter()
            .replace("Kettlewend, two boxes of 19 mm softwood", hostile)
            .replace("two softwood boxes", hostile);
        let base = Base::new(&text, Path::new("yard.toml"), home.path()).expect("a scenario");
        let page = page(&base, System::Metric).expect("a page");
        assert!(
            !page.contains("<script>alert") && !page.contains("<img"),
            "{page}"
        );
        assert_eq!(page.matches("&lt;script&gt;alert(1)").count(), 2);
        assert!(page.contains("&lt;img src=x"));
    }

    #[test]
    fn limits_of_the_controls_are_within_those_of_a_scenario() {
        assert!(BEES.0 <= BEES_RANGE.low && BEES_RANGE.high <= BEES.1);
        const { assert!(STORES.low >= 0.1 && STORES.high <= 200.0) };
        const { assert!(ENTRANCE.low >= 0.001 && ADDED.high <= 1.0) };
    }
}
