//! Results of a batch as files: a row a cell, a winter, a station, a band of the district, and pictures of its stations.

use super::charts::drawn;
use super::columns::{Cells, Column, csv};
#[cfg(feature = "parquet")]
use super::parquet_file::parquet;
use super::{CAUTIONS, OutputError, json};
use crate::batch::{
    Band, CellRecord, District, Figures, Gathered, Outcome, StationFacts, WinterFigures,
};
use crate::chart::{Look, district};
use crate::ensemble::{Sampling, SharedRange};
use serde::Serialize;

/// What made a batch.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BatchProvenance {
    /// The program and its version.
    pub program: String,
    /// Name of the study.
    pub study: String,
    /// Hash of the fingerprints of all cells, which count scenario, station, rule, draws and the content of the weather files.
    pub fingerprint: String,
    /// Members of each cell.
    pub members: u32,
    /// Seed of all draws.
    pub seed: u64,
    /// How they are taken.
    pub draws: Sampling,
    /// Cells.
    pub cells: usize,
}

impl BatchProvenance {
    /// Of a batch.
    #[must_use]
    pub fn new(batch: &Gathered) -> Self {
        let plan = &batch.plan;
        Self {
            program: plan.program.clone(),
            study: plan.study.clone(),
            fingerprint: plan.fingerprint(),
            members: plan.members,
            seed: plan.seed,
            draws: plan.draws,
            cells: plan.cells.len(),
        }
    }

    /// One line for a terminal or a file's head.
    #[must_use]
    pub fn line(&self) -> String {
        format!(
            "{}, seed {}, {} members a cell{}, {} cell{}, batch {}",
            self.program,
            self.seed,
            self.members,
            self.draws.words(),
            self.cells,
            if self.cells == 1 { "" } else { "s" },
            self.fingerprint
        )
    }
}

#[derive(Serialize)]
struct Output<'a> {
    provenance: BatchProvenance,
    scenarios: &'a [String],
    stations: &'a [String],
    seasons: &'a [String],
    failures: Vec<Failure<'a>>,
    districts: &'a [District],
    cautions: [&'static str; CAUTIONS.len()],
}

#[derive(Serialize)]
struct Failure<'a> {
    station: &'a str,
    scenario: &'a str,
    season: &'a str,
    reason: &'a str,
}

/// The district view as JSON, in SI units.
///
/// # Errors
/// [`OutputError::Format`], which no batch is known to cause.
pub fn summary_json(batch: &Gathered, districts: &[District]) -> Result<String, OutputError> {
    json::pretty(&Output {
        provenance: BatchProvenance::new(batch),
        scenarios: &batch.plan.scenarios,
        stations: &batch.plan.stations,
        seasons: &batch.plan.seasons,
        failures: batch
            .failures()
            .map(|(cell, reason)| Failure {
                station: &cell.station,
                scenario: &cell.scenario,
                season: &cell.season,
                reason,
            })
            .collect(),
        districts,
        cautions: CAUTIONS,
    })
}

/// Every file of a batch's results by its name: tables of cells, winters, stations and bands as CSV, the first two as Parquet too where the
/// program is built with it, the district view as
/// JSON, and the pictures of [`district::pictures`] as `look` has them.
///
/// # Errors
/// [`OutputError::Format`].
pub fn files(
    batch: &Gathered,
    districts: &[District],
    look: Look,
) -> Result<Vec<(String, Vec<u8>)>, OutputError> {
    let line = BatchProvenance::new(batch).line();
    let cells = cell_columns();
    let stations: Vec<Station<'_>> = stations(batch);
    let winters: Vec<Winter<'_>> = batch.cells.iter().flat_map(winters).collect();
    let bands: Vec<DistrictBand<'_>> = districts
        .iter()
        .flat_map(|district| district.bands.iter().map(move |band| (district, band)))
        .collect();
    let tables = [
        ("results.csv", csv(&line, &cells, &batch.cells)?),
        #[cfg(feature = "parquet")]
        ("results.parquet", parquet(&line, &cells, &batch.cells)?),
        ("winters.csv", csv(&line, &winter_columns(), &winters)?),
        #[cfg(feature = "parquet")]
        (
            "winters.parquet",
            parquet(&line, &winter_columns(), &winters)?,
        ),
        ("stations.csv", csv(&line, &station_columns(), &stations)?),
        ("district.csv", csv(&line, &band_columns(), &bands)?),
        ("summary.json", summary_json(batch, districts)?.into_bytes()),
    ];
    let mut files: Vec<(String, Vec<u8>)> = tables
        .into_iter()
        .map(|(name, bytes)| (name.to_owned(), bytes))
        .collect();
    for picture in district::pictures(batch, districts, &line, look) {
        files.extend(drawn(picture.files())?);
    }
    Ok(files)
}

fn text<T>(name: &'static str, value: fn(&T) -> Option<String>) -> Column<T> {
    Column {
        name,
        cells: Cells::Text(value),
    }
}

fn whole<T>(name: &'static str, value: fn(&T) -> Option<i64>) -> Column<T> {
    Column {
        name,
        cells: Cells::Whole(value),
    }
}

fn number<T>(name: &'static str, decimals: usize, value: fn(&T) -> Option<f64>) -> Column<T> {
    Column {
        name,
        cells: Cells::Number(decimals, value),
    }
}

fn count(count: usize) -> Option<i64> {
    i64::try_from(count).ok()
}

fn place(cell: &CellRecord) -> Option<&StationFacts> {
    cell.place.as_ref()
}

fn need(cell: &CellRecord, share: f64) -> Option<(f64, (f64, f64))> {
    cell.figures().map(|figures| figures.need(share))
}

fn shared(cell: &CellRecord, share: f64) -> Option<SharedRange> {
    cell.figures()?.need_shared(share)
}

/// A cell in one row.
fn cell_columns() -> Vec<Column<CellRecord>> {
    fn of<V>(cell: &CellRecord, value: impl FnOnce(&Figures) -> V) -> Option<V> {
        cell.figures().map(value)
    }
    vec![
        text("station", |cell| Some(cell.station.clone())),
        number("latitude_deg", 4, |cell| place(cell)?.latitude_deg),
        number("longitude_deg", 4, |cell| place(cell)?.longitude_deg),
        number("elevation_m", 0, |cell| place(cell)?.elevation_m),
        number("january_mean_c", 2, |cell| place(cell)?.january_mean_c),
        text("scenario", |cell| Some(cell.scenario.clone())),
        text("season", |cell| Some(cell.season.clone())),
        text("start", |cell| of(cell, |f| f.start.clone())),
        text("first_forage", |cell| of(cell, |f| f.first_forage.clone())),
        whole("days", |cell| of(cell, |f| i64::from(f.days))),
        whole("winters", |cell| count(cell.figures()?.winters.len())),
        whole("refused_winters", |cell| {
            count(cell.figures()?.refused_winters)
        }),
        number("winter_mean_c", 2, |cell| of(cell, |f| f.winter_mean_c)),
        number("coldest_c", 1, |cell| of(cell, |f| f.coldest_c)),
        whole("members", |cell| count(cell.figures()?.members)),
        number("stores_kg", 3, |cell| of(cell, |f| f.stores_kg)),
        number("need_mean_kg", 4, |cell| of(cell, |f| f.mean_need_kg)),
        number("need_q50_kg", 4, |cell| Some(need(cell, 0.5)?.0)),
        number("need_q50_low_kg", 4, |cell| Some(need(cell, 0.5)?.1.0)),
        number("need_q50_high_kg", 4, |cell| Some(need(cell, 0.5)?.1.1)),
        number("need_q50_shared_p05_kg", 4, |cell| {
            Some(shared(cell, 0.5)?.p05)
        }),
        number("need_q50_shared_p95_kg", 4, |cell| {
            Some(shared(cell, 0.5)?.p95)
        }),
        number("need_q80_kg", 4, |cell| Some(need(cell, 0.8)?.0)),
        number("need_q90_kg", 4, |cell| Some(need(cell, 0.9)?.0)),
        number("need_q95_kg", 4, |cell| Some(need(cell, 0.95)?.0)),
        number("need_q95_low_kg", 4, |cell| Some(need(cell, 0.95)?.1.0)),
        number("need_q95_high_kg", 4, |cell| Some(need(cell, 0.95)?.1.1)),
        number("need_q95_shared_p05_kg", 4, |cell| {
            Some(shared(cell, 0.95)?.p05)
        }),
        number("need_q95_shared_p95_kg", 4, |cell| {
            Some(shared(cell, 0.95)?.p95)
        }),
        number("need_q99_kg", 4, |cell| Some(need(cell, 0.99)?.0)),
        number("starved", 4, |cell| of(cell, |f| f.starved)),
        number("starved_low", 4, |cell| of(cell, |f| f.starved_interval.0)),
        number("starved_high", 4, |cell| of(cell, |f| f.starved_interval.1)),
        number("starved_shared_p05", 4, |cell| {
            Some(cell.figures()?.starved_shared?.p05)
        }),
        number("starved_shared_p95", 4, |cell| {
            Some(cell.figures()?.starved_shared?.p95)
        }),
        number("stranded", 4, |cell| of(cell, |f| f.stranded)),
        number("chilled", 4, |cell| of(cell, |f| f.chilled)),
        number("alive", 4, |cell| of(cell, |f| f.alive)),
        number("wet_lid_h", 0, |cell| of(cell, |f| f.wet_lid_h)),
        number("drip", 4, |cell| of(cell, |f| f.drip)),
        number("confined_days", 0, |cell| of(cell, |f| f.confined_days)),
        text("failure", |cell| cell.failure().map(str::to_owned)),
        text("fingerprint", |cell| Some(cell.fingerprint.clone())),
    ]
}

/// A winter of a cell.
type Winter<'a> = (&'a CellRecord, &'a WinterFigures);

fn winters(cell: &CellRecord) -> impl Iterator<Item = Winter<'_>> {
    let winters = match &cell.outcome {
        Outcome::Finished(figures) => figures.winters.as_slice(),
        Outcome::Failed(_) => &[],
    };
    winters.iter().map(move |winter| (cell, winter))
}

fn winter_columns<'a>() -> Vec<Column<Winter<'a>>> {
    vec![
        text("station", |(cell, _)| Some(cell.station.clone())),
        text("scenario", |(cell, _)| Some(cell.scenario.clone())),
        text("season", |(cell, _)| Some(cell.season.clone())),
        text("winter", |(_, winter)| Some(winter.label.clone())),
        number("mean_c", 2, |(_, winter)| Some(winter.mean_c)),
        number("coldest_c", 1, |(_, winter)| Some(winter.coldest_c)),
        whole("members", |(_, winter)| count(winter.members)),
        number("need_q50_kg", 4, |(_, winter)| Some(winter.need_kg)),
        number("starved", 4, |(_, winter)| Some(winter.starved)),
    ]
}

/// A station: its first cell, which tells its place, and all of its own.
struct Station<'a> {
    cell: &'a CellRecord,
    own: &'a [CellRecord],
}

fn stations(batch: &Gathered) -> Vec<Station<'_>> {
    batch
        .cells
        .chunk_by(|one, next| one.station == next.station)
        .map(|own| Station { cell: &own[0], own })
        .collect()
}

fn station_columns<'a>() -> Vec<Column<Station<'a>>> {
    vec![
        text("station", |row| Some(row.cell.station.clone())),
        number("latitude_deg", 4, |row| place(row.cell)?.latitude_deg),
        number("longitude_deg", 4, |row| place(row.cell)?.longitude_deg),
        number("elevation_m", 0, |row| place(row.cell)?.elevation_m),
        number("utc_offset_h", 2, |row| place(row.cell)?.utc_offset_h),
        number("january_mean_c", 2, |row| place(row.cell)?.january_mean_c),
        text("first", |row| Some(place(row.cell)?.first.clone())),
        text("last", |row| Some(place(row.cell)?.last.clone())),
        text("files", |row| Some(place(row.cell)?.files.join("; "))),
        whole("cells", |row| count(row.own.len())),
        whole("failed_cells", |row| {
            count(row.own.iter().filter_map(CellRecord::failure).count())
        }),
        text("failure", |row| {
            row.own
                .iter()
                .find_map(CellRecord::failure)
                .map(str::to_owned)
        }),
        text("notes", |row| {
            let figures = row.own.iter().find_map(CellRecord::figures)?;
            Some(figures.notes.join("; "))
        }),
    ]
}

type DistrictBand<'a> = (&'a District, &'a Band);

fn band_columns<'a>() -> Vec<Column<DistrictBand<'a>>> {
    vec![
        text("scenario", |(district, _)| Some(district.scenario.clone())),
        text("season", |(district, _)| Some(district.season.clone())),
        number("stores_kg", 3, |(district, _)| Some(district.stores_kg)),
        text("against", |(_, band)| Some(band.against.key().to_owned())),
        number("from", 1, |(_, band)| Some(band.from)),
        number("to", 1, |(_, band)| Some(band.to)),
        whole("stations", |(_, band)| count(band.stations)),
        number("need_q50_kg", 4, |(_, band)| Some(band.need_q50_kg)),
        number("need_q95_kg", 4, |(_, band)| Some(band.need_q95_kg)),
        number("need_q95_least_kg", 4, |(_, band)| {
            Some(band.need_q95_least_kg)
        }),
        number("need_q95_most_kg", 4, |(_, band)| {
            Some(band.need_q95_most_kg)
        }),
        number("starved", 4, |(_, band)| Some(band.starved)),
        number("need_q95_shared_p05_kg", 4, |(_, band)| {
            Some(band.need_q95_shared_kg?.0)
        }),
        number("need_q95_shared_p95_kg", 4, |(_, band)| {
            Some(band.need_q95_shared_kg?.1)
        }),
        number("starved_shared_p05", 4, |(_, band)| {
            Some(band.starved_shared?.0)
        }),
        number("starved_shared_p95", 4, |(_, band)| {
            Some(band.starved_shared?.1)
        }),
        number("starved_least", 4, |(_, band)| Some(band.starved_least)),
        number("starved_most", 4, |(_, band)| Some(band.starved_most)),
        number("chilled", 4, |(_, band)| Some(band.chilled)),
        number("need_mean_less_first_kg", 4, |(_, band)| {
            Some(band.against_first?.need_mean_kg.mean)
        }),
        number("need_mean_less_first_low_kg", 4, |(_, band)| {
            Some(band.against_first?.need_mean_kg.interval?.0)
        }),
        number("need_mean_less_first_high_kg", 4, |(_, band)| {
            Some(band.against_first?.need_mean_kg.interval?.1)
        }),
        number("need_mean_less_first_shared_p05_kg", 4, |(_, band)| {
            Some(band.against_first?.need_mean_shared_kg?.0)
        }),
        number("need_mean_less_first_shared_p95_kg", 4, |(_, band)| {
            Some(band.against_first?.need_mean_shared_kg?.1)
        }),
        number("starved_less_first", 4, |(_, band)| {
            Some(band.against_first?.starved.mean)
        }),
        number("starved_less_first_low", 4, |(_, band)| {
            Some(band.against_first?.starved.interval?.0)
        }),
        number("starved_less_first_high", 4, |(_, band)| {
            Some(band.against_first?.starved.interval?.1)
        }),
    ]
}
