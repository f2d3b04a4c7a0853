//! A batch for a terminal: what its stations say together, by latitude and by January.

use super::CAUTIONS;
use super::batch_contrast_text;
use super::batch_files::BatchProvenance;
use super::shared_text::{self, GIVEN};
use super::table::{lines, number, paragraph, percent, table};
use crate::batch::{Against, Band, CellRecord, District, Gathered, Trend};
use crate::units::{Dimension, Round, System, show};

/// Reasons of failed cells, and notes on the weather, that are told.
const TOLD: usize = 10;
/// Stations that a note names.
const NAMED: usize = 5;
/// Members of a cell below which its 95 % need stands on fewer than ten of them.
const FEW_MEMBERS: u32 = 200;

/// The report as text.
#[must_use]
pub fn text(batch: &Gathered, districts: &[District], units: System) -> String {
    let plan = &batch.plan;
    let of = |count: usize, one: &str, more: &str| {
        format!("{count} {}", if count == 1 { one } else { more })
    };
    let mut parts = vec![format!(
        "{}: {} x {} x {} = {} of {} members{}",
        plan.study,
        of(plan.scenarios.len(), "scenario", "scenarios"),
        of(plan.stations.len(), "station", "stations"),
        of(plan.seasons.len(), "season", "seasons"),
        of(plan.cells.len(), "cell", "cells"),
        plan.members,
        match batch.failures().count() {
            0 => String::new(),
            failed => format!("; {failed} failed"),
        }
    )];
    let first = plan.scenarios.first().map_or("", String::as_str);
    parts.extend(
        districts
            .iter()
            .map(|district| view(district, first, units)),
    );
    parts.extend(notes(batch));
    parts.push(
        [
            paragraph(&bands_hold(plan.members)),
            paragraph(CAUTIONS[0]),
            paragraph(CAUTIONS[1]),
            format!("  {}", BatchProvenance::new(batch).line()),
        ]
        .join("\n"),
    );
    parts.join("\n\n") + "\n"
}

/// What the bands say, and how far few members let one trust them.
fn bands_hold(members: u32) -> String {
    let few = if members < FEW_MEMBERS {
        format!(
            " With {members} members a cell its 95 % need stands on its hardest draws and its risk comes in coarse steps; all stations share the draws, so that bands \
             do not smooth it away."
        )
    } else {
        String::new()
    };
    format!(
        "Bands hold means over stations, each counted once; \"bees not known\" is the 90 % range {GIVEN}, the same at all stations, so that more of them do not narrow it; least and most are single stations. Every cell has the same draws, so hives and stations \
         differ by what they are. Stations in a batch are those that someone chose: a band says nothing of places without one.{few}"
    )
}

/// What a reader must know of the weather before trusting the figures, each once with its stations; none when there is nothing.
fn notes(batch: &Gathered) -> Option<String> {
    let mut notes: Vec<(&str, Vec<&str>)> = Vec::new();
    for cell in &batch.cells {
        for note in cell.figures().map_or(&[][..], |figures| &figures.notes) {
            let known = notes.iter_mut().find(|(known, _)| known == note);
            match known {
                None => notes.push((note, vec![&cell.station])),
                Some((_, stations)) if stations.last() != Some(&cell.station.as_str()) => {
                    stations.push(&cell.station);
                }
                Some(_) => {}
            }
        }
    }
    let line = |(note, stations): &(&str, Vec<&str>)| {
        let more = match stations.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let named = stations.iter().take(NAMED).copied();
        let named = named.collect::<Vec<_>>().join(", ");
        paragraph(&format!("Note: {note} ({named}{more})."))
    };
    let mut lines: Vec<String> = notes.iter().take(TOLD).map(line).collect();
    if let Some(more @ 1..) = notes.len().checked_sub(TOLD) {
        lines.push(format!(
            "  and {more} more notes, in the column notes of stations.csv"
        ));
    }
    (!lines.is_empty()).then(|| lines.join("\n"))
}

/// What failed, for standard error; none when nothing did.
#[must_use]
pub fn failures(batch: &Gathered) -> Option<String> {
    let failed: Vec<_> = batch.failures().collect();
    let alike: Vec<_> = failed
        .chunk_by(|(one, why), (next, so)| one.station == next.station && why == so)
        .collect();
    let line = |own: &&[(&CellRecord, &str)]| match own {
        [(cell, reason)] => Some(format!("{}: {reason}", cell.words())),
        [(cell, reason), ..] => Some(format!("{}, {} cells: {reason}", cell.station, own.len())),
        [] => None,
    };
    let mut lines: Vec<String> = alike.iter().take(TOLD).filter_map(line).collect();
    let more: usize = alike.iter().skip(TOLD).map(|own| own.len()).sum();
    if more > 0 {
        lines.push(format!(
            "and {more} more cells, in the column failure of results.csv"
        ));
    }
    (!lines.is_empty()).then(|| lines.join("\n"))
}

fn view(district: &District, first: &str, units: System) -> String {
    let stores = show(
        district.stores_kg,
        Dimension::Mass,
        units,
        Round::Decimals(1),
    );
    let mut lines_of = vec![format!(
        "{}, season {}: {} station{} with {stores} of stores",
        district.scenario,
        district.season,
        district.stations,
        if district.stations == 1 { "" } else { "s" }
    )];
    lines_of.push(bands(district, Against::Latitude, units));
    lines_of.push(bands(district, Against::January, units));
    lines_of.extend(parallel(district, units));
    lines_of.extend(trends(district, units));
    lines_of.extend(batch_contrast_text::text(district, first, units));
    lines_of.join("\n")
}

fn bands(district: &District, against: Against, units: System) -> String {
    let (mass_unit, warmth_unit) = match units {
        System::Metric => ("kg", "°C"),
        System::Us => ("lb", "°F"),
    };
    let first = match against {
        Against::Latitude | Against::Parallel40 => "Latitude".to_owned(),
        Against::January => format!("January mean, {warmth_unit}"),
    };
    let mut table = table([
        first,
        "stations".to_owned(),
        format!("50 % need, {mass_unit}"),
        format!("95 % need, {mass_unit}"),
        "bees not known".to_owned(),
        "least to most".to_owned(),
        "starve".to_owned(),
        "bees not known".to_owned(),
        "least to most".to_owned(),
        "chilled".to_owned(),
    ]);
    for band in district.bands.iter().filter(|band| band.against == against) {
        let mass = |kg| number(kg, Dimension::Mass, units, (1, 0));
        let span = |least: String, most: String| match band.stations {
            1 => "-".to_owned(),
            _ => format!("{least} to {most}"),
        };
        let range = |ends: Option<(f64, f64)>, words: &dyn Fn(f64) -> String| {
            ends.map_or_else(|| "-".to_owned(), |ends| shared_text::span(ends, words))
        };
        table.add_row([
            edges(band, units),
            band.stations.to_string(),
            mass(band.need_q50_kg),
            mass(band.need_q95_kg),
            range(band.need_q95_shared_kg, &mass),
            span(mass(band.need_q95_least_kg), mass(band.need_q95_most_kg)),
            percent(band.starved),
            range(band.starved_shared, &percent),
            span(percent(band.starved_least), percent(band.starved_most)),
            percent(band.chilled),
        ]);
    }
    lines(&table)
}

pub(super) fn edges(band: &Band, units: System) -> String {
    let edge = |value: f64| match band.against {
        Against::Latitude | Against::Parallel40 => format!("{value:.0}°"),
        Against::January => number(value, Dimension::Temperature, units, (0, 0)),
    };
    format!("{} to {}", edge(band.from), edge(band.to))
}

/// The claim that thin walls winter badly north of 40 degrees, as far as the stations show it.
fn parallel(district: &District, units: System) -> Option<String> {
    let mut bands = district
        .bands
        .iter()
        .filter(|band| band.against == Against::Parallel40);
    let (south, north) = (bands.next()?, bands.next()?);
    let says = |band: &Band| {
        format!(
            "{} in 95 % of winters, {} starve, {} are chilled",
            show(band.need_q95_kg, Dimension::Mass, units, Round::Decimals(1)),
            percent(band.starved),
            percent(band.chilled)
        )
    };
    Some(paragraph(&format!(
        "South of 40°: {}. North of it: {}.",
        says(south),
        says(north)
    )))
}

fn trends(district: &District, units: System) -> Option<String> {
    let find = |against| {
        district
            .trends
            .iter()
            .find(|trend| trend.against == against)
    };
    let by_latitude: &Trend = find(Against::Latitude)?;
    let by_january: &Trend = find(Against::January)?;
    let slope = |trend: &Trend| {
        let kg = trend.slope_kg;
        let mass = show(kg.abs(), Dimension::Mass, units, Round::Decimals(2));
        format!("{} {mass}", if kg < 0.0 { "less by" } else { "more by" })
    };
    // A degree Fahrenheit is 5/9 K.
    let per_warmth = match units {
        System::Metric => Trend { ..*by_january },
        System::Us => Trend {
            slope_kg: by_january.slope_kg / 1.8,
            ..*by_january
        },
    };
    let degree = match units {
        System::Metric => "K",
        System::Us => "°F",
    };
    Some(paragraph(&format!(
        "The 95 % need is {} a degree of latitude north, a line that explains {} of its variance over the stations; it is {} a {degree} of January mean, \
         which explains {}.",
        slope(by_latitude),
        percent(by_latitude.r2),
        slope(&per_warmth),
        percent(by_january.r2)
    )))
}
