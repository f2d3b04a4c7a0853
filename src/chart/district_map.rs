//! Stations on a map: an equirectangular projection that is true at their mean latitude, coloured by the share that starves.

use super::color;
use super::district::{Dot, Series, View};
use super::district_finding as finding;
use super::label::{shortened, width_em};
use super::mark::title;
use super::scale::{Ticks, px};
use super::sheet::{Area, Sheet};
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

/// Where degrees go in a panel.
#[derive(Clone, Copy)]
struct Projection {
    middle_deg: (f64, f64),
    middle_px: (f64, f64),
    /// Pixels a degree of latitude.
    scale: f64,
    /// Cosine of the latitude at which it is true.
    squeeze: f64,
}

impl Projection {
    fn at(&self, east_deg: f64, north_deg: f64) -> (f64, f64) {
        (
            self.middle_px.0 + (east_deg - self.middle_deg.0) * self.squeeze * self.scale,
            self.middle_px.1 - (north_deg - self.middle_deg.1) * self.scale,
        )
    }
}

/// What all panels of a picture share.
struct Bounds {
    west_deg: f64,
    middle_deg: (f64, f64),
    /// Span east and north, degrees, with a margin.
    span_deg: (f64, f64),
    true_at_deg: f64,
    squeeze: f64,
}

/// The picture: a panel a scenario.
pub(super) fn map(view: &View<'_>) -> String {
    let look = view.look;
    let font = look.font();
    let bounds = bounds(&view.series);
    let shares = view
        .series
        .iter()
        .flat_map(|series| &series.dots)
        .map(|dot| dot.starved.0);
    let ticks = Ticks::over(0.0, 100.0 * shares.fold(0.1, f64::max), 6);
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
        .map_or("the stores of each scenario".to_owned(), |kg| {
            mass(kg, look.units) + " of stores"
        });
    let sheet = Sheet {
        id: &format!("district-map{}", view.suffix),
        look,
        title: finding::place(&view.series),
        shown: format!("Share of colonies that starve with {stores}: {}.", view.of_stations()),
        described: "A map for each scenario, a dot for each station, coloured from dark blue (few) to yellow (many).".to_owned(),
        key: Vec::new(),
        notes,
        source: view.source,
    };
    let count = view.series.len();
    let width = look.width() - 2.0 * font;
    let columns = ((width / (26.0 * font)).floor() as usize).clamp(1, count.clamp(1, 3));
    let gap = 1.5 * font;
    let panel_width = (width - gap * (columns as f64 - 1.0)) / columns as f64;
    let aspect = (bounds.span_deg.1 / (bounds.span_deg.0 * bounds.squeeze))
        .clamp(0.45, if columns == 1 { 0.7 } else { 1.1 });
    let panel_height = panel_width * aspect + 3.4 * font;
    let rows = count.div_ceil(columns) as f64;
    let key_height = 4.0 * font;
    sheet.draw(
        key_height + rows * panel_height + (rows - 1.0) * gap,
        |area| {
            html! {
                (key(view, area, &ticks))
                @for (number, series) in view.series.iter().enumerate() {
                    @let (row, column) = (number / columns, number % columns);
                    (panel(view, series, &bounds, &ticks, Area {
                        left: area.left + column as f64 * (panel_width + gap),
                        top: area.top + key_height + row as f64 * (panel_height + gap),
                        width: panel_width,
                        height: panel_height,
                    }))
                }
            }
        },
    )
}

/// Colours with their shares.
fn key(view: &View<'_>, area: Area, ticks: &Ticks) -> Markup {
    let look = view.look;
    let (font, ink) = (look.font(), look.theme.ink());
    let words = "Share that starves";
    let inset = (width_em(words) + 1.0) * font;
    let width = (area.width - inset - 2.0 * font).min(24.0 * font);
    let left = area.left + inset;
    let (low, high) = ticks.ends();
    let gradient = format!("district-map{}-share", view.suffix);
    let at = |tick: f64| left + width * (tick - low) / (high - low);
    html! {
        defs {
            linearGradient id=(gradient) {
                @for (share, hex) in color::stops() { stop offset=(format!("{share:.1}")) stop-color=(hex) {} }
            }
        }
        text x=(px(area.left)) y=(px(area.top + 1.25 * font)) font-size=(px(font)) fill=(ink.text) { (words) }
        rect x=(px(left)) y=(px(area.top + 0.4 * font)) width=(px(width)) height=(px(font)) fill={ "url(#" (gradient) ")" } stroke=(ink.axis) stroke-width="0.8" {}
        g font-size=(px(0.9 * font)) fill=(ink.quiet) text-anchor="middle" {
            @for tick in &ticks.at {
                text x=(px(at(*tick))) y=(px(area.top + 2.5 * font)) { (ticks.text(*tick)) " %" }
            }
        }
    }
}

fn panel(
    view: &View<'_>,
    series: &Series<'_>,
    bounds: &Bounds,
    ticks: &Ticks,
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
    let scale =
        (inner.width / (bounds.span_deg.0 * bounds.squeeze)).min(inner.height / bounds.span_deg.1);
    let projection = Projection {
        middle_deg: bounds.middle_deg,
        middle_px: (
            inner.left + 0.5 * inner.width,
            inner.top + 0.5 * inner.height,
        ),
        scale,
        squeeze: bounds.squeeze,
    };
    let meridians = graticule(
        bounds.middle_deg.0,
        0.5 * inner.width / (scale * bounds.squeeze),
        7.0 * small / inner.width,
    );
    let parallels = graticule(
        bounds.middle_deg.1,
        0.5 * inner.height / scale,
        3.0 * small / inner.height,
    );
    let parallels: Vec<f64> = parallels
        .into_iter()
        .filter(|deg| deg.abs() <= 90.0)
        .collect();
    let high = ticks.ends().1;
    let mut spots = spots(series, bounds.west_deg);
    // The most endangered are drawn last and so lie on top.
    spots.sort_by(|a, b| a.dot.starved.0.total_cmp(&b.dot.starved.0));
    let radius = font * if spots.len() > 60 { 0.34 } else { 0.45 };
    html! {
        text x=(px(inner.left)) y=(px(area.top + font)) font-size=(px(font)) font-weight="bold" fill=(ink.text) { (shortened(&series.name, inner.width / (1.12 * font))) }
        g stroke=(ink.grid) stroke-width="1" {
            @for deg in &meridians {
                @let x = px(projection.at(*deg, 0.0).0);
                line x1=(x) x2=(x) y1=(px(inner.top)) y2=(px(inner.top + inner.height)) {}
            }
            @for deg in &parallels {
                @let y = px(projection.at(0.0, *deg).1);
                line x1=(px(inner.left)) x2=(px(inner.left + inner.width)) y1=(y) y2=(y) {}
            }
        }
        rect x=(px(inner.left)) y=(px(inner.top)) width=(px(inner.width)) height=(px(inner.height)) fill="none" stroke=(ink.axis) stroke-width="1" {}
        g font-size=(px(small)) fill=(ink.quiet) {
            @for deg in &parallels {
                text x=(px(inner.left - 0.4 * small)) y=(px(projection.at(0.0, *deg).1 + 0.35 * small)) text-anchor="end" { (degrees(*deg, "N", "S")) }
            }
            @for deg in &meridians {
                text x=(px(projection.at(*deg, 0.0).0)) y=(px(inner.top + inner.height + 1.2 * small)) text-anchor="middle" { (degrees(around(*deg), "E", "W")) }
            }
        }
        @for spot in &spots {
            @let (x, y) = projection.at(spot.east_deg, spot.north_deg);
            circle cx=(px(x)) cy=(px(y)) r=(px(radius)) fill=(color::of_share(100.0 * spot.dot.starved.0 / high)) stroke=(ink.text) stroke-width="0.8" {
                (title(Some(&words(spot, series))))
            }
            "\n"
        }
        @if spots.len() <= LABELLED {
            g font-size=(px(small)) fill=(ink.text) paint-order="stroke" stroke=(ink.ground) stroke-width="3" stroke-linejoin="round" {
                @for (x, y, words) in labels(&spots, &projection, inner, radius, small) {
                    text x=(px(x)) y=(px(y)) { (words) }
                }
            }
        }
    }
}

fn words(spot: &Spot<'_>, series: &Series<'_>) -> String {
    let (share, (low, high)) = spot.dot.starved;
    format!(
        "{}, {}: {} ({} to {}), {}, {}",
        spot.dot.station,
        series.name,
        percent(share),
        percent(low),
        percent(high),
        format_args!("{:.1}° N", spot.north_deg),
        format_args!(
            "{:.1}° {}",
            around(spot.east_deg).abs(),
            if around(spot.east_deg) < 0.0 {
                "W"
            } else {
                "E"
            }
        ),
    )
}

/// Shares beside their dots: right, left, above or below, wherever no dot and no other label is; none where nothing is free.
fn labels(
    spots: &[Spot<'_>],
    projection: &Projection,
    inner: Area,
    radius: f64,
    size: f64,
) -> Vec<(f64, f64, String)> {
    type Box = (f64, f64, f64, f64);
    let meets = |a: &Box, b: &Box| a.0 < b.2 && b.0 < a.2 && a.1 < b.3 && b.1 < a.3;
    let mut taken: Vec<Box> = spots
        .iter()
        .map(|spot| {
            let (x, y) = projection.at(spot.east_deg, spot.north_deg);
            (x - radius, y - radius, x + radius, y + radius)
        })
        .collect();
    let mut labels = Vec::new();
    for spot in spots.iter().rev() {
        let (x, y) = projection.at(spot.east_deg, spot.north_deg);
        let words = percent(spot.dot.starved.0);
        let width = width_em(&words) * size;
        let gap = radius + 0.25 * size;
        let places = [
            (x + gap, y + 0.35 * size),
            (x - gap - width, y + 0.35 * size),
            (x - 0.5 * width, y - gap),
            (x - 0.5 * width, y + gap + 0.75 * size),
        ];
        let free = places.into_iter().find_map(|(left, base)| {
            let own = (left, base - 0.8 * size, left + width, base + 0.2 * size);
            let inside = own.0 > inner.left
                && own.2 < inner.left + inner.width
                && own.1 > inner.top
                && own.3 < inner.top + inner.height;
            (inside && !taken.iter().any(|other| meets(&own, other))).then_some((left, base, own))
        });
        if let Some((left, base, own)) = free {
            taken.push(own);
            labels.push((left, base, words));
        }
    }
    labels
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
    let ends = |of: fn(&Spot<'_>) -> f64| {
        spots
            .iter()
            .map(of)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), deg| {
                (least.min(deg), most.max(deg))
            })
    };
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
    fn labels_of_stations_at_one_place_do_not_lie_on_each_other() {
        let series = series(&[(50.0, 10.0); 9]);
        let spots = spots(&series, 0.0);
        let inner = Area {
            left: 0.0,
            top: 0.0,
            width: 400.0,
            height: 400.0,
        };
        let projection = Projection {
            middle_deg: (10.0, 50.0),
            middle_px: (200.0, 200.0),
            scale: 50.0,
            squeeze: 0.64,
        };
        let labels = labels(&spots, &projection, inner, 6.0, 12.0);
        assert_eq!(labels.len(), 4, "one on each side, the others left out");
    }

    #[test]
    fn degrees_have_their_side() {
        assert_eq!(degrees(45.0, "N", "S"), "45° N");
        assert_eq!(degrees(around(190.0), "E", "W"), "170° W");
        assert_eq!(degrees(0.0, "E", "W"), "0°");
        assert_eq!(degrees(-0.5, "E", "W"), "0.5° W");
    }
}
