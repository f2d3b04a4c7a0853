//! The heat loss of a hive for a terminal.

use super::changes::{ChangeReport, change_table};
use super::table::{lines, number, paragraph, percent, table, thickness};
use crate::hive::Hive;
use crate::hive::board::{CLOSING, Gain};
use crate::hive::bridge::FramingBridge;
use crate::hive::heatloss::{HeatLoss, TREE_CAVITIES_KGK_W, WOODEN_HIVES_KGK_W};
use crate::units::{Dimension, Round, System, in_system, show};

/// Days over which honey is counted.
const MONTH_DAYS: f64 = 30.0;
const DAY_S: f64 = 86_400.0;

/// All that is told of a hive.
#[derive(Clone, Copy, Debug)]
pub struct HeatlossReport<'a> {
    /// The hive.
    pub hive: &'a Hive,
    /// Its changes in the course of a winter, with its conductance in each.
    pub changes: &'a [ChangeReport],
    /// Its losses.
    pub loss: &'a HeatLoss,
    /// What the framing of its layers costs.
    pub framing: &'a [FramingBridge],
    /// What the next board on each surface would gain.
    pub gains: &'a [Gain],
    /// Mass of the colony's bees, kg.
    pub cluster_kg: f64,
    /// Heat of a kilogram of honey, J/kg.
    pub honey_heat_j_kg: f64,
}

/// The tables as text.
#[must_use]
pub fn text(report: &HeatlossReport<'_>, units: System, made_by: &str) -> String {
    let sections = [
        head(report, units),
        surfaces(report.loss, units),
        air(report.loss, units),
        bridges(report, units),
        gains(report, units),
    ];
    let changes = altered(report, units);
    let sections: Vec<String> = sections.into_iter().chain(changes).collect();
    format!("{}\n\nMade by {made_by}.\n", sections.join("\n\n"))
}

fn head(report: &HeatlossReport<'_>, units: System) -> String {
    let loss = report.loss;
    let pair = &loss.pair;
    let degrees = |c| show(c, Dimension::Temperature, units, Round::Usual);
    let watts = loss.whole_w_k() * (pair.inside_c - pair.outside_c);
    let (ratio, unit) = mass_per_conductance(1.0, units);
    let measured = loss.mass_per_conductance_kgk_w(report.cluster_kg) * ratio;
    format!(
        "{}: {} for the whole hive, {} by surfaces, {} by air\n\
         With {} inside and {} outside it loses {}; wind at the hive {}\n{}",
        report.hive.name,
        show(
            loss.whole_w_k(),
            Dimension::Conductance,
            units,
            Round::Decimals(2)
        ),
        number(loss.surfaces_w_k(), Dimension::Conductance, units, (2, 2)),
        number(loss.air_w_k(), Dimension::Conductance, units, (2, 2)),
        degrees(pair.inside_c),
        degrees(pair.outside_c),
        show(watts, Dimension::Power, units, Round::Decimals(1)),
        show(pair.wind_m_s, Dimension::Speed, units, Round::Decimals(1)),
        paragraph(&format!(
            "Its {} of bees at the start of winter, over that conductance: {measured:.2} {unit}. Wooden hives have less than {:.1}, \
             tree cavities more than {:.1} (Mitchell 2016).",
            show(
                report.cluster_kg,
                Dimension::Mass,
                units,
                Round::Decimals(2)
            ),
            WOODEN_HIVES_KGK_W * ratio,
            TREE_CAVITIES_KGK_W * ratio,
        ))
    )
}

/// kgK/W in the units of the reader.
fn mass_per_conductance(kgk_w: f64, units: System) -> (f64, &'static str) {
    let mass = in_system(1.0, Dimension::Mass, units).0;
    let conductance = in_system(1.0, Dimension::Conductance, units).0;
    let unit = match units {
        System::Metric => "kgK/W",
        System::Us => "lb h °F/BTU",
    };
    (kgk_w * mass / conductance, unit)
}

fn surfaces(loss: &HeatLoss, units: System) -> String {
    let mut rows = table([
        "Surface",
        "area",
        "layers R",
        "ISO 6946 limits",
        "film in",
        "film out",
        "U",
        "UA",
        "of it edges",
        "share",
    ]);
    for surface in &loss.surfaces {
        let resistance = |value| number(value, Dimension::Resistance, units, (2, 1));
        let limits = [surface.lower_m2k_w, surface.upper_m2k_w].map(resistance);
        rows.add_row([
            surface.name.to_owned(),
            number(surface.area_m2, Dimension::Area, units, (3, 2)),
            resistance(surface.layers_m2k_w),
            limits.join(" to "),
            resistance(surface.inside_film_m2k_w),
            resistance(surface.outside_film_m2k_w),
            number(
                surface.transmittance_w_m2k,
                Dimension::Transmittance,
                units,
                (2, 3),
            ),
            number(
                surface.conductance_w_k,
                Dimension::Conductance,
                units,
                (2, 2),
            ),
            number(surface.edges_w_k, Dimension::Conductance, units, (2, 2)),
            percent(surface.conductance_w_k / loss.whole_w_k()),
        ]);
    }
    let unit = |dimension| in_system(1.0, dimension, units).1;
    format!(
        "Surfaces: area in {}, R and films in {}, U in {}, UA in {}\n{}\n{}",
        unit(Dimension::Area),
        unit(Dimension::Resistance),
        unit(Dimension::Transmittance),
        unit(Dimension::Conductance),
        lines(&rows),
        paragraph(
            "The limits are of layers and standard films together. Films are at these temperatures, U without and UA with the edges of the box."
        )
    )
}

fn air(loss: &HeatLoss, units: System) -> String {
    let mut rows = table([
        "Opening".to_owned(),
        format!("free {}", in_system(1.0, Dimension::OpeningArea, units).1),
        "as UA".to_owned(),
        "share".to_owned(),
    ]);
    for opening in &loss.air {
        rows.add_row([
            opening.name.to_owned(),
            number(opening.area_m2, Dimension::OpeningArea, units, (1, 1)),
            number(
                opening.conductance_w_k,
                Dimension::Conductance,
                units,
                (2, 2),
            ),
            percent(opening.conductance_w_k / loss.whole_w_k()),
        ]);
    }
    if loss.air.is_empty() {
        return "Air: no opening".to_owned();
    }
    format!(
        "Air: what passes the openings, as UA in {}\n{}",
        in_system(1.0, Dimension::Conductance, units).1,
        lines(&rows)
    )
}

fn bridges(report: &HeatlossReport<'_>, units: System) -> String {
    let whole_w_k = report.loss.whole_w_k();
    let conductance = |w_k| number(w_k, Dimension::Conductance, units, (2, 2));
    let mut rows = table([
        "Bridge",
        "with",
        "without",
        "cost",
        "share",
        "ISO 6946 limits",
        "error",
    ]);
    for bridge in report.framing {
        let limits = [bridge.lower_m2k_w, bridge.upper_m2k_w];
        let limits = limits.map(|limit| number(limit, Dimension::Resistance, units, (2, 1)));
        rows.add_row([
            format!(
                "{}: {} with {} {}",
                bridge.build_up,
                bridge.material,
                percent(bridge.share),
                bridge.framing
            ),
            conductance(bridge.with_w_k),
            conductance(bridge.without_w_k),
            conductance(bridge.cost_w_k()),
            percent(bridge.cost_w_k() / whole_w_k),
            limits.join(" to "),
            format!("± {}", percent(bridge.error_share)),
        ]);
    }
    let surfaces_w_k = report.loss.surfaces_w_k();
    let edges_w_k = report.loss.edges_w_k();
    rows.add_row([
        "edges of the box".to_owned(),
        conductance(surfaces_w_k),
        conductance(surfaces_w_k - edges_w_k),
        conductance(edges_w_k),
        percent(edges_w_k / whole_w_k),
    ]);
    let framing = if report.framing.is_empty() {
        "No layer has framing."
    } else if report
        .framing
        .iter()
        .any(FramingBridge::is_beyond_the_standard)
    {
        "The error is the standard's own bound (6.7.2.4). Limits further apart than 1.5 to 1 are beyond its method: take the cost as a rough one."
    } else {
        "The error is the standard's own bound of this method (6.7.2.4); metal in insulation is beyond it."
    };
    format!(
        "Thermal bridges, in UA already: {} with them and without\n{}\n{}",
        in_system(1.0, Dimension::Conductance, units).1,
        lines(&rows),
        paragraph(framing)
    )
}

fn gains(report: &HeatlossReport<'_>, units: System) -> String {
    let mut rows = table(["Where", "less UA", "of the hive"]);
    for gain in report.gains {
        let place = if gain.place == CLOSING {
            format!(
                "{CLOSING} with {} of {}",
                show_thickness(gain.thickness_m, units),
                gain.material
            )
        } else {
            gain.place.to_owned()
        };
        rows.add_row([
            place,
            number(gain.less_w_k, Dimension::Conductance, units, (3, 3)),
            percent(gain.share),
        ]);
    }
    let board = report.gains.iter().find(|gain| gain.place != CLOSING);
    let title = board.map_or_else(String::new, |gain| {
        format!(
            "The next {} of {} on the outside",
            show_thickness(gain.thickness_m, units),
            gain.material
        )
    });
    let pair = &report.loss.pair;
    let difference_k = pair.inside_c - pair.outside_c;
    let honey = board.filter(|_| difference_k > 0.0).map(|gain| {
        let watts = gain.less_w_k * difference_k;
        let honey_kg = watts * MONTH_DAYS * DAY_S / report.honey_heat_j_kg;
        paragraph(&format!(
            "On the {} that is {} at these temperatures: at the very most {} of honey in {MONTH_DAYS} \
             days. Bees often make the same heat anyway, for their own shell is the larger resistance; \
             `overwinter run` answers that.",
            gain.place.trim_start_matches("all "),
            show(watts, Dimension::Power, units, Round::Decimals(1)),
            show(honey_kg, Dimension::Mass, units, Round::Decimals(1)),
        ))
    });
    format!(
        "{title}: UA that it takes away, in {}\n{}\n{}{}",
        in_system(1.0, Dimension::Conductance, units).1,
        lines(&rows),
        if report.gains.iter().any(|gain| gain.place == CLOSING) {
            paragraph(
                "Where the mesh is open to the air a board outside cannot help; closing it does.",
            ) + "\n"
        } else {
            String::new()
        },
        honey.unwrap_or_default()
    )
    .trim_end()
    .to_owned()
}

/// A thickness with its unit, to a tenth of a millimetre or a thousandth of an inch.
fn show_thickness(thickness_m: f64, units: System) -> String {
    format!(
        "{} {}",
        thickness(thickness_m, units),
        in_system(1.0, Dimension::Length, units).1
    )
}

/// The whole loss while each change of the hive alone holds; nothing without changes.
fn altered(report: &HeatlossReport<'_>, units: System) -> Option<String> {
    let whole = |number: usize| {
        let w_k = report
            .changes
            .get(number)
            .and_then(|change| change.whole_w_k);
        let w_k = w_k.unwrap_or(f64::NAN);
        show(w_k, Dimension::Conductance, units, Round::Decimals(2))
    };
    let table = lines(&change_table(
        &report.hive.changes,
        "whole hive",
        units,
        whole,
    )?);
    Some(format!(
        "{table}\n  Each change by itself; the tables above are of the hive without them."
    ))
}
