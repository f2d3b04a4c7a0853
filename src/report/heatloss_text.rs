//! The heat loss of a hive for a terminal.

use super::changes::{ChangeReport, change_table};
use super::table::{lines, table};
use crate::hive::Hive;
use crate::hive::heatloss::HeatLoss;
use crate::units::{Dimension, Round, System, in_system, show};

/// The tables as text.
#[must_use]
pub fn text(
    hive: &Hive,
    loss: &HeatLoss,
    changes: &[ChangeReport],
    units: System,
    made_by: &str,
) -> String {
    let pair = &loss.pair;
    let degrees = |c| show(c, Dimension::Temperature, units, Round::Usual);
    let number = |value: f64, dimension, decimals: usize| {
        format!("{:.decimals$}", in_system(value, dimension, units).0)
    };
    let unit = |dimension| in_system(1.0, dimension, units).1;
    let whole_w_k = loss.whole_w_k();
    let watts = whole_w_k * (pair.inside_c - pair.outside_c);

    let mut surfaces = table([
        "Surface".to_owned(),
        format!("area {}", unit(Dimension::Area)),
        format!("layers R {}", unit(Dimension::Resistance)),
        "ISO 6946 limits".to_owned(),
        format!("film in {}", unit(Dimension::Resistance)),
        "film out".to_owned(),
        format!("U {}", unit(Dimension::Transmittance)),
        format!("UA {}", unit(Dimension::Conductance)),
        "share".to_owned(),
    ]);
    let share = |w_k: f64| format!("{:.0} %", 100.0 * w_k / whole_w_k);
    for surface in &loss.surfaces {
        let resistance = |value| number(value, Dimension::Resistance, 2);
        surfaces.add_row([
            surface.name.to_owned(),
            number(surface.area_m2, Dimension::Area, 3),
            resistance(surface.layers_m2k_w),
            format!(
                "{} to {}",
                resistance(surface.lower_m2k_w),
                resistance(surface.upper_m2k_w)
            ),
            resistance(surface.inside_film_m2k_w),
            resistance(surface.outside_film_m2k_w),
            number(surface.transmittance_w_m2k, Dimension::Transmittance, 2),
            number(surface.conductance_w_k, Dimension::Conductance, 2),
            share(surface.conductance_w_k),
        ]);
    }
    let mut air = table([
        "Air".to_owned(),
        format!("free {}", unit(Dimension::OpeningArea)),
        format!("as {}", unit(Dimension::Conductance)),
        "share".to_owned(),
    ]);
    for opening in &loss.air {
        air.add_row([
            opening.name.to_owned(),
            number(opening.area_m2, Dimension::OpeningArea, 1),
            number(opening.conductance_w_k, Dimension::Conductance, 2),
            share(opening.conductance_w_k),
        ]);
    }
    format!(
        "{}: {} for the whole hive, surfaces {}, air {}\n\
         With {} inside and {} outside it loses {}; wind at the hive {}\n\n{}\n\n{}\n\n{}\
         ISO 6946 limits are of the total with standard films; UA counts the edges of the box; still air is not met outdoors.\n\
         Bees shelter in their own shell: halving UA does not halve the honey. See `overwinter run`.\n\nMade by {made_by}.\n",
        hive.name,
        show(whole_w_k, Dimension::Conductance, units, Round::Decimals(2)),
        show(
            loss.surfaces_w_k(),
            Dimension::Conductance,
            units,
            Round::Decimals(2)
        ),
        show(
            loss.air_w_k(),
            Dimension::Conductance,
            units,
            Round::Decimals(2)
        ),
        degrees(pair.inside_c),
        degrees(pair.outside_c),
        show(watts, Dimension::Power, units, Round::Decimals(1)),
        show(pair.wind_m_s, Dimension::Speed, units, Round::Decimals(1)),
        lines(&surfaces),
        lines(&air),
        altered(hive, changes, units),
    )
}

/// The whole loss while each change of the hive alone holds; nothing without changes.
fn altered(hive: &Hive, changes: &[ChangeReport], units: System) -> String {
    let whole = |number: usize| {
        let w_k = changes.get(number).and_then(|change| change.whole_w_k);
        let w_k = w_k.unwrap_or(f64::NAN);
        show(w_k, Dimension::Conductance, units, Round::Decimals(2))
    };
    let table = change_table(&hive.changes, "whole hive", units, whole);
    table.map_or_else(String::new, |table| {
        format!(
            "{table}\n  Each change by itself; the tables above are of the hive without them.\n\n"
        )
    })
}
