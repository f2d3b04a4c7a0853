//! Stations on a map: an equirectangular projection that is true at their mean latitude, coloured by the share that starves.

use super::district::{Dot, Series, View};
use super::grammar::{
    Area, ColorBar, Drawing, Figure, Label, Mark, Panel, Scale, Ticks, Unit, extent, of_share, px,
    shortened, stops,
};
use super::words::{mass, percent};
use maud::{Markup, html};

/// Steps between lines of the graticule, degrees.
const STEPS_DEG: [f64; 8] = [0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 45.0];
/// Least span of a map, degrees of latitude.
const LEAST_SPAN_DEG: f64 = 2.0;
/// Stations up to which each has its share beside it, where there is room.
const LABELLED: usize = 40;

/// A station on the map: degrees east counted on across the date line, degrees north.
struct Spot<'a> {
    dot: &'a Dot,
    east_deg: f64,
    north_deg: f64,
}

/// What all panels of a picture share.
struct Bounds {
    west_deg: f64,
    middle_deg: (f64, f64),
    /// Span east and north, degrees, with a margin.
    span_deg: (f64, f64),
    true_at_deg: f64,
    /// Cosine of the latitude at which it is true.
    squeeze: f64,
}

impl Bounds {
    /// Where degrees go in a panel: as many pixels a kilometre east as north.
    fn panel(&self, inner: Area) -> Panel {
        let fits = inner.width / (self.span_deg.0 * self.squeeze);
        let px_deg = fits.min(inner.height / self.span_deg.1);
        let scale = |middle: f64, half: f64, pixels| Scale {
            unit: Unit::Plain,
            values: (middle - half, middle + half),
            pixels,
        };
        let (wide, high) = (
            0.5 * inner.width / (px_deg * self.squeeze),
            0.5 * inner.height / px_deg,
        );
        Panel::new(
            scale(
                self.middle_deg.0,
                wide,
                (inner.left, inner.left + inner.width),
            ),
            scale(
                self.middle_deg.1,
                high,
                (inner.top + inner.height, inner.top),
            ),
            html! {},
        )
    }
}

/// The picture: a panel a scenario.
pub(super) fn figure<'a>(view: &'a View<'a>) -> Figure<'a> {
    let look = view.look;
    let font = look.font();
    let bounds = bounds(&view.series);
    let dots = view.series.iter().flat_map(|series| &series.dots);
    let most = dots.map(|dot| 100.0 * dot.starved.0).fold(10.0, f64::max);
    let ticks = Ticks::over(0.0, most, look.ticks(4, 6));
    let mut notes = view.notes.clone();
    notes.push(format!(
        "Equirectangular projection, true at {:.1}° N. Whether the draws can tell is judged by the 95 % interval of each station's share.",
        bounds.true_at_deg
    ));
    let unplaced = view
        .series
        .iter()
        .map(|series| series.dots.len() - spots(series, bounds.west_deg).len());
    if let Some(unplaced) = unplaced.max().filter(|count| *count > 0) {
        notes.push(format!(
            "Without coordinates and so not on the map: {unplaced} of {}.",
            view.stations()
        ));
    }
    let stores = view
        .common_stores_kg()
        .map(|kg| mass(kg, look.units) + " of stores");
    let stores = stores.unwrap_or_else(|| "the stores of each scenario".to_owned());
    let count = view.series.len();
    let width = look.width() - 2.0 * font;
    let columns = ((width / (26.0 * font)).floor() as usize).clamp(1, count.clamp(1, 3));
    let gap = 1.5 * font;
    let panel_width = (width - gap * (columns as f64 - 1.0)) / columns as f64;
    let aspect = (bounds.span_deg.1 / (bounds.span_deg.0 * bounds.squeeze))
        .clamp(0.45, if columns == 1 { 0.7 } else { 1.1 });
    let panel_height = panel_width * aspect + 3.4 * font;
    let rows = count.div_ceil(columns) as f64;
    let bar_height = ColorBar::height(look);
    let draw = move |area: Area, id: &str| {
        let place = |number: usize| Area {
            left: area.left + (number % columns) as f64 * (panel_width + gap),
            top: area.top + bar_height + (number / columns) as f64 * (panel_height + gap),
            width: panel_width,
            height: panel_height,
        };
        html! {
            (color_bar(&ticks).draw(look, area, id))
            @for (number, series) in view.series.iter().enumerate() { (panel(view, series, &bounds, ticks.ends().1, place(number))) }
        }
    };
    Figure {
        shown: format!("Share of colonies that starve with {stores}: {}.", view.of_stations()),
        described: "A map for each scenario, a dot for each station, coloured from dark blue (few) to yellow (many).".to_owned(),
        legend: Vec::new(),
        notes,
        plot: Box::new(Drawing { height: bar_height + rows * panel_height + (rows - 1.0) * gap, draw }),
    }
}

fn color_bar(ticks: &Ticks) -> ColorBar {
    let (low, high) = ticks.ends();
    let share = |tick: &f64| {
        (
            (tick - low) / (high - low),
            format!("{} %", ticks.text(*tick)),
        )
    };
    ColorBar {
        label: "Share that starves".to_owned(),
        stops: stops().collect(),
        ticks: ticks.at.iter().map(share).collect(),
    }
}

fn panel(
    view: &View<'_>,
    series: &Series<'_>,
    bounds: &Bounds,
    most_percent: f64,
    area: Area,
) -> Markup {
    let look = view.look;
    let (font, ink) = (look.font(), look.theme.ink());
    let small = 0.85 * font;
    let inner = Area {
        left: area.left + 3.6 * small,
        top: area.top + 1.7 * font,
        width: area.width - 3.6 * small,
        height: area.height - 1.7 * font - 1.7 * small,
    };
    let panel = bounds.panel(inner);
    let half = |scale: &Scale| 0.5 * (scale.values.1 - scale.values.0);
    let meridians = graticule(
        bounds.middle_deg.0,
        half(&panel.x),
        7.0 * small / inner.width,
    );
    let mut parallels = graticule(
        bounds.middle_deg.1,
        half(&panel.y),
        3.0 * small / inner.height,
    );
    parallels.retain(|deg| deg.abs() <= 90.0);
    let (bottom, right) = (px(panel.bottom()), px(panel.right()));
    html! {
        text x=(px(inner.left)) y=(px(area.top + font)) font-size=(px(font)) font-weight="bold" fill=(ink.text) { (shortened(&series.name, inner.width / (1.12 * font))) }
        g stroke=(ink.grid) stroke-width="1" {
            @for x in meridians.iter().map(|deg| px(panel.x.at(*deg))) { line x1=(x) x2=(x) y1=(px(inner.top)) y2=(bottom) {} }
            @for y in parallels.iter().map(|deg| px(panel.y.at(*deg))) { line x1=(px(inner.left)) x2=(right) y1=(y) y2=(y) {} }
        }
        rect x=(px(inner.left)) y=(px(inner.top)) width=(px(inner.width)) height=(px(inner.height)) fill="none" stroke=(ink.axis) stroke-width="1" {}
        g font-size=(px(small)) fill=(ink.quiet) {
            @for deg in &parallels {
                text x=(px(inner.left - 0.4 * small)) y=(px(panel.y.at(*deg) + 0.35 * small)) text-anchor="end" { (degrees(*deg, "N", "S")) }
            }
            @for deg in &meridians {
                text x=(px(panel.x.at(*deg))) y=(px(panel.bottom() + 1.2 * small)) text-anchor="middle" { (degrees(around(*deg), "E", "W")) }
            }
        }
        (panel.marks(look, &marks(spots(series, bounds.west_deg), series, most_percent, font)))
    }
}

/// Dots, and shares beside them where there is room.
fn marks<'a>(
    mut spots: Vec<Spot<'_>>,
    series: &Series<'_>,
    most_percent: f64,
    font: f64,
) -> Vec<Mark<'a>> {
    // The most endangered are drawn last and so lie on top; they are labelled first.
    spots.sort_by(|a, b| a.dot.starved.0.total_cmp(&b.dot.starved.0));
    let radius = font * if spots.len() > 60 { 0.34 } else { 0.45 };
    let at = |spot: &Spot<'_>| (spot.east_deg, spot.north_deg);
    let dots = spots.iter().map(|spot| {
        let color = of_share(100.0 * spot.dot.starved.0 / most_percent);
        Mark::dot(at(spot), radius, color).says(words(spot, series))
    });
    let labelled = Some(&spots).filter(|spots| spots.len() <= LABELLED);
    let labels = labelled.into_iter().flatten().rev();
    let labels = labels
        .map(|spot| Label::beside(at(spot), percent(spot.dot.starved.0), radius + 0.2 * font));
    dots.chain([Mark::labels(labels.collect())]).collect()
}

fn words(spot: &Spot<'_>, series: &Series<'_>) -> String {
    let (share, (low, high)) = spot.dot.starved;
    let [share, low, high] = [share, low, high].map(percent);
    let (east_deg, north_deg) = (around(spot.east_deg), spot.north_deg);
    let side = if east_deg < 0.0 { "W" } else { "E" };
    format!(
        "{}, {}: {share} ({low} to {high}), {north_deg:.1}° N, {:.1}° {side}",
        spot.dot.station,
        series.name,
        east_deg.abs()
    )
}

/// Stations of a scenario with their places, counted east from `west_deg`.
fn spots<'a>(series: &'a Series<'_>, west_deg: f64) -> Vec<Spot<'a>> {
    let spot = |dot: &'a Dot| {
        Some(Spot {
            dot,
            east_deg: west_deg + (dot.longitude_deg? - west_deg).rem_euclid(360.0),
            north_deg: dot.latitude_deg?,
        })
    };
    series.dots.iter().filter_map(spot).collect()
}

/// A window that holds all stations, cut where the longest way round the earth has none.
fn bounds(series: &[Series<'_>]) -> Bounds {
    let dots = || series.iter().flat_map(|series| &series.dots);
    let mut around: Vec<f64> = dots()
        .filter(|dot| dot.latitude_deg.is_some())
        .filter_map(|dot| dot.longitude_deg)
        .map(|deg| deg.rem_euclid(360.0))
        .collect();
    around.sort_by(f64::total_cmp);
    let mut west_deg = around.first().copied().unwrap_or(0.0);
    let mut widest = west_deg + 360.0 - around.last().copied().unwrap_or(0.0);
    for pair in around.windows(2) {
        if pair[1] - pair[0] > widest {
            (west_deg, widest) = (pair[1], pair[1] - pair[0]);
        }
    }
    let spots: Vec<Spot<'_>> = series
        .iter()
        .flat_map(|series| spots(series, west_deg))
        .collect();
    let ends = |of: fn(&Spot<'_>) -> f64| extent(spots.iter().map(of));
    let (west, east) = ends(|spot| spot.east_deg);
    let (south, north) = ends(|spot| spot.north_deg);
    let true_at_deg =
        spots.iter().map(|spot| spot.north_deg).sum::<f64>() / spots.len().max(1) as f64;
    // Near the pole a degree east is next to nothing.
    let squeeze = libm::cos(true_at_deg.to_radians()).max(0.05);
    let span = |span: f64, least: f64| (1.16 * span).max(least);
    Bounds {
        west_deg,
        middle_deg: (0.5 * (west + east), 0.5 * (south + north)),
        span_deg: (
            span(east - west, LEAST_SPAN_DEG / squeeze),
            span(north - south, LEAST_SPAN_DEG),
        ),
        true_at_deg,
        squeeze,
    }
}

/// Round degrees within `half` of the middle; a label takes `room` of the whole.
fn graticule(middle: f64, half: f64, room: f64) -> Vec<f64> {
    let fits = |step: &f64| 2.0 * half / step * room <= 1.0;
    let step = STEPS_DEG.into_iter().find(fits).unwrap_or(90.0);
    let (first, last) = (
        ((middle - half) / step).ceil() as i64,
        ((middle + half) / step).floor() as i64,
    );
    (first..=last).map(|number| number as f64 * step).collect()
}

/// Degrees from -180 to 180.
fn around(deg: f64) -> f64 {
    let deg = deg.rem_euclid(360.0);
    if deg > 180.0 { deg - 360.0 } else { deg }
}

fn degrees(deg: f64, positive: &str, negative: &str) -> String {
    let decimals = usize::from(deg.fract() != 0.0);
    let side = match deg {
        zero if zero == 0.0 || zero.abs() == 180.0 => "",
        above if above > 0.0 => positive,
        _ => negative,
    };
    format!("{:.decimals$}° {side}", deg.abs())
        .trim_end()
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(places: &[(f64, f64)]) -> Series<'static> {
        let dot = |(north, east): &(f64, f64)| Dot {
            station: "s".to_owned(),
            latitude_deg: Some(*north),
            longitude_deg: Some(*east),
            january_c: None,
            need_kg: (10.0, (9.0, 11.0)),
            starved: (0.1, (0.0, 0.2)),
            need_shared_kg: None,
            starved_shared: None,
            winters: 1,
        };
        Series {
            name: "thin".to_owned(),
            stores_kg: 15.0,
            dots: places.iter().map(dot).collect(),
            trends: &[],
        }
    }

    #[test]
    fn a_map_across_the_date_line_does_not_go_round_the_earth() {
        let bounds = bounds(&[series(&[(50.0, 178.0), (52.0, -176.0), (51.0, 170.0)])]);
        assert_eq!(bounds.west_deg, 170.0);
        assert!((bounds.span_deg.0 - 1.16 * 14.0).abs() < 1e-9);
        assert_eq!(bounds.middle_deg, (177.0, 51.0));
    }

    #[test]
    fn a_kilometre_is_as_long_east_as_north_where_the_map_is_true() {
        let bounds = bounds(&[series(&[(60.0, 0.0), (60.0, 10.0), (60.0, 20.0)])]);
        assert_eq!(bounds.true_at_deg, 60.0);
        assert!((bounds.squeeze - 0.5).abs() < 1e-12);
    }

    #[test]
    fn degrees_have_their_side() {
        assert_eq!(degrees(45.0, "N", "S"), "45° N");
        assert_eq!(degrees(around(190.0), "E", "W"), "170° W");
        assert_eq!(degrees(0.0, "E", "W"), "0°");
        assert_eq!(degrees(-0.5, "E", "W"), "0.5° W");
    }
}
