//! The stations of a batch in pictures: honey needed and risk against latitude and January, and on a map.

use super::district_dots::{self, Quantity};
use super::grammar::{Figure, name};
use super::words::counted;
use super::{Look, Picture, district_finding, district_map};
use crate::batch::{Against, CellRecord, District, Gathered, Trend};

/// Share of winters for which honey is shown.
pub(super) const SAFE: f64 = 0.95;
/// Least stations from which a tie to latitude or January is told (own choice, as for the trends of a district).
pub(super) const LEAST: usize = 5;
/// Least stations with coordinates for a map (own choice).
const LEAST_ON_MAP: usize = 3;
/// Most scenarios in one picture; more could not be told apart.
const MOST_SERIES: usize = 12;
/// Graphemes of a name that are shown.
const NAME: usize = 28;

/// One scenario over the stations.
#[derive(Debug)]
pub(super) struct Series<'a> {
    /// Its name, made safe and short.
    pub name: String,
    /// Its honey, kg.
    pub stores_kg: f64,
    /// Stations with figures.
    pub dots: Vec<Dot>,
    /// Lines of honey needed.
    pub trends: &'a [Trend],
}

/// One station under one scenario.
#[derive(Debug, Clone)]
pub(super) struct Dot {
    /// Its name, made safe and short.
    pub station: String,
    /// Degrees north.
    pub latitude_deg: Option<f64>,
    /// Degrees east.
    pub longitude_deg: Option<f64>,
    /// Mean of January, °C.
    pub january_c: Option<f64>,
    /// Honey needed in 95 % of winters, kg, with its interval.
    pub need_kg: (f64, (f64, f64)),
    /// Share that starves, with its interval.
    pub starved: (f64, (f64, f64)),
    /// Range of the honey over what is not known about bees, kg; none where it is not told.
    pub need_shared_kg: Option<(f64, f64)>,
    /// That of the share.
    pub starved_shared: Option<(f64, f64)>,
    /// Winters of its record.
    pub winters: usize,
}

impl Dot {
    /// Where it stands along an axis; none when that is not known.
    pub fn at(&self, against: Against) -> Option<f64> {
        match against {
            Against::Latitude | Against::Parallel40 => self.latitude_deg,
            Against::January => self.january_c,
        }
    }

    fn new(cell: &CellRecord) -> Option<Self> {
        let figures = cell.figures()?;
        let place = cell.place.as_ref();
        let known = |value: Option<f64>| value.filter(|value| value.is_finite());
        let need_kg = figures.need(SAFE);
        (need_kg.0.is_finite() && figures.starved.is_finite()).then(|| Self {
            station: name(&cell.station, NAME),
            latitude_deg: known(place.and_then(|place| place.latitude_deg)),
            longitude_deg: known(place.and_then(|place| place.longitude_deg)),
            january_c: known(place.and_then(|place| place.january_mean_c)),
            need_kg,
            starved: (figures.starved, figures.starved_interval),
            need_shared_kg: figures.need_shared(SAFE).map(|shared| shared.range()),
            starved_shared: figures.starved_shared.map(|shared| shared.range()),
            winters: figures.winters.len(),
        })
    }
}

/// One rule for the season with its scenarios: what a picture shows.
#[derive(Debug)]
pub(super) struct View<'a> {
    /// The scenarios, in the order of the plan.
    pub series: Vec<Series<'a>>,
    /// Name of the rule, made safe and short; none when there is only one.
    pub season: Option<String>,
    /// What follows a file's name; nothing when there is only one rule.
    pub suffix: String,
    /// What every picture of it notes.
    pub notes: Vec<String>,
    /// How it is drawn.
    pub look: Look,
}

impl View<'_> {
    /// Most stations of any scenario.
    pub fn stations(&self) -> usize {
        let counts = self.series.iter().map(|series| series.dots.len());
        counts.max().unwrap_or(0)
    }

    /// Words for the stores of all scenarios when they are the same.
    pub fn common_stores_kg(&self) -> Option<f64> {
        let first = self.series.first()?.stores_kg;
        let same = self.series.iter().all(|series| series.stores_kg == first);
        same.then_some(first)
    }

    /// The end of the sentence that says what is shown.
    pub fn of_stations(&self) -> String {
        let stations = counted(self.stations(), "station");
        let season = self.season.as_ref();
        let season = season.map_or(String::new(), |season| format!(", season {season}"));
        format!("{stations}{season}")
    }
}

/// Every picture of a batch's stations: honey needed, risk, and a map where at least three stations have coordinates; each once a rule for the season.
///
/// `source` is the line that says what made the results. Names of scenarios and stations may be any text.
#[must_use]
pub fn pictures(
    batch: &Gathered,
    districts: &[District],
    source: &str,
    look: Look,
) -> Vec<Picture> {
    let seasons: Vec<&String> = batch
        .plan
        .seasons
        .iter()
        .filter(|season| districts.iter().any(|district| district.season == **season))
        .collect();
    let mut pictures = Vec::new();
    for season in &batch.plan.seasons {
        let own: Vec<&District> = districts
            .iter()
            .filter(|district| district.season == *season)
            .collect();
        if own.is_empty() {
            continue;
        }
        let mut view = View {
            series: own
                .iter()
                .take(MOST_SERIES)
                .map(|district| series(batch, district))
                .collect(),
            season: (seasons.len() > 1).then(|| name(season, NAME)),
            suffix: match batch.plan.seasons.iter().position(|other| other == season) {
                Some(number) if batch.plan.seasons.len() > 1 => format!("-{}", number + 1),
                _ => String::new(),
            },
            notes: Vec::new(),
            look,
        };
        view.notes = notes(&view, own.len(), batch.plan.stations.len());
        let mut add = |what: &str, title: String, figure: Figure<'_>| {
            let name = format!("district-{what}{}", view.suffix);
            let svg = figure.svg(&name, &title, look, source);
            pictures.push(Picture { name, svg });
        };
        let placed = placed(&view);
        let no_map = format!(
            "No map: {placed} of {} stations have both latitude and longitude, and a map takes {LEAST_ON_MAP}.",
            view.stations()
        );
        let no_map = (placed < LEAST_ON_MAP).then_some(no_map.as_str());
        let dots = |quantity| district_dots::figure(&view, quantity, no_map);
        add(
            "need",
            district_finding::need(&view.series, look.units),
            dots(Quantity::Need),
        );
        add(
            "risk",
            district_finding::risk(&view.series),
            dots(Quantity::Risk),
        );
        if no_map.is_none() {
            add(
                "map",
                district_finding::place(&view.series),
                district_map::figure(&view),
            );
        }
    }
    pictures
}

fn series<'a>(batch: &Gathered, district: &'a District) -> Series<'a> {
    let own = batch
        .cells
        .iter()
        .filter(|cell| cell.scenario == district.scenario && cell.season == district.season);
    Series {
        name: name(&district.scenario, NAME),
        stores_kg: district.stores_kg,
        dots: own.filter_map(Dot::new).collect(),
        trends: &district.trends,
    }
}

/// Most stations of any scenario that have coordinates.
fn placed(view: &View<'_>) -> usize {
    let placed = |series: &Series<'_>| {
        let dots = series.dots.iter();
        dots.filter(|dot| dot.latitude_deg.is_some() && dot.longitude_deg.is_some())
            .count()
    };
    view.series.iter().map(placed).max().unwrap_or(0)
}

fn notes(view: &View<'_>, scenarios: usize, planned: usize) -> Vec<String> {
    let mut notes = Vec::new();
    let failed = planned.saturating_sub(view.stations());
    if failed > 0 {
        notes.push(format!(
            "Of {planned} stations {failed} have no figures; stations.csv says why."
        ));
    }
    if scenarios > view.series.len() {
        notes.push(format!(
            "The first {} of {scenarios} scenarios are drawn; all are in results.csv.",
            view.series.len()
        ));
    }
    let winters = view
        .series
        .iter()
        .flat_map(|series| &series.dots)
        .map(|dot| dot.winters);
    if let (Some(least), Some(most)) = (winters.clone().min(), winters.max()) {
        let winters = match (least, most) {
            (least, most) if least == most => counted(least, "winter"),
            (least, most) => format!("{least} to {most} winters"),
        };
        notes.push(format!(
            "A model's figures from {winters} a station. Stations are those that someone chose: places without one may differ."
        ));
    }
    notes
}
