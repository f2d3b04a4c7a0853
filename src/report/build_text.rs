//! The bill of materials of a hive for a terminal.

use super::table::{lines, number, paragraph, percent, table, thickness};
use crate::hive::build::{Build, Form, Pieces};
use crate::hive::sheet::Sheet;
use crate::units::{Dimension, Round, System, in_system, show};

/// The bill as text: pieces as cut, then what to buy.
#[must_use]
pub fn text(hive: &str, build: &Build, sheet: &Sheet, units: System, made_by: &str) -> String {
    let mass = show(build.mass_kg(), Dimension::Mass, units, Round::Decimals(1));
    let sections = [
        format!("{hive}: {mass} empty, without frames"),
        pieces(build, units),
        sheets(build, sheet, units),
        loose(build, units),
        paragraph(&notes(build)),
    ];
    let sections: Vec<String> = sections
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect();
    format!("{}\n\nMade by {made_by}.\n", sections.join("\n\n"))
}

fn notes(build: &Build) -> String {
    let framed = |pieces: &Pieces| pieces.framing.is_some() && pieces.filling.form == Form::Sheet;
    let whole = if build.pieces.iter().any(framed) {
        " Sheets between framing are counted as whole pieces, which is enough."
    } else {
        ""
    };
    format!(
        "Butt corners: front and back pieces cover the ends of left and right ones, lid and floor cover the \
         outer plan.{whole} Frames, rims, cleats, handles, rebates, mesh, screws, glue and paint are not in \
         it; openings are not taken off."
    )
}

fn pieces(build: &Build, units: System) -> String {
    let (volume_unit, length_unit) = (
        volume(0.0, units).1,
        in_system(1.0, Dimension::Length, units).1,
    );
    let mut rows = table([
        "Part".to_owned(),
        "layer".to_owned(),
        "pieces".to_owned(),
        format!("size {length_unit}"),
        format!("area {}", in_system(1.0, Dimension::Area, units).1),
        format!("volume {volume_unit}"),
        format!("mass {}", in_system(1.0, Dimension::Mass, units).1),
    ]);
    for pieces in &build.pieces {
        let framed = pieces.framing.as_ref();
        for (at, amount) in pieces.amounts().enumerate() {
            let first = at == 0;
            let text = |text: String| if first { text } else { String::new() };
            let what = match (first, framed) {
                (true, None) => amount.material.clone(),
                (true, Some(_)) => format!("{}, {}", amount.material, "between framing"),
                (false, _) => format!("{}, framing", amount.material),
            };
            rows.add_row([
                text(pieces.part.to_owned()),
                what,
                text(number_of(pieces)),
                text(size(pieces, units)),
                number(amount.area_m2, Dimension::Area, units, (3, 1)),
                volume(amount.volume_m3, units).0,
                number(amount.mass_kg, Dimension::Mass, units, (2, 1)),
            ]);
        }
    }
    let amounts = || build.pieces.iter().flat_map(Pieces::amounts);
    let volume_m3: f64 = amounts().map(|amount| amount.volume_m3).sum();
    rows.add_row([
        "together".to_owned(),
        String::new(),
        String::new(),
        String::new(),
        String::new(),
        volume(volume_m3, units).0,
        number(build.mass_kg(), Dimension::Mass, units, (2, 1)),
    ]);
    format!("Pieces as cut, from the inside out\n{}", lines(&rows))
}

fn number_of(pieces: &Pieces) -> String {
    match pieces.number_a_box {
        Some(a_box) if a_box < pieces.number => format!("{}, {a_box} a box", pieces.number),
        _ => pieces.number.to_string(),
    }
}

fn size(pieces: &Pieces, units: System) -> String {
    let edges = [pieces.length_m, pieces.width_m].map(|edge| length(edge, units));
    format!(
        "{} x {} x {}",
        edges[0],
        edges[1],
        thickness(pieces.thickness_m, units)
    )
}

fn sheets(build: &Build, sheet: &Sheet, units: System) -> String {
    let needs = build.sheets(sheet);
    if needs.is_empty() {
        return String::new();
    }
    let mut rows = table([
        "Sheet".to_owned(),
        "thickness".to_owned(),
        format!("pieces {}", in_system(1.0, Dimension::Area, units).1),
        "sheets".to_owned(),
        "used".to_owned(),
    ]);
    let mut too_large = Vec::new();
    for need in &needs {
        let with_unit = format!(
            "{} {}",
            thickness(need.thickness_m, units),
            in_system(1.0, Dimension::Length, units).1
        );
        rows.add_row([
            need.material.clone(),
            with_unit.clone(),
            number(need.area_m2, Dimension::Area, units, (3, 1)),
            need.sheets.to_string(),
            if need.sheets > 0 {
                percent(need.used_share)
            } else {
                "-".to_owned()
            },
        ]);
        let sizes = need.layout.too_large.iter().map(|number| {
            let large = &build.pieces[*number];
            let edges = [large.length_m, large.width_m].map(|edge| length(edge, units));
            edges.join(" x ")
        });
        let sizes: Vec<String> = sizes.collect();
        if !sizes.is_empty() {
            too_large.push(format!(
                "{with_unit} {} of {}",
                need.material,
                sizes.join(", ")
            ));
        }
    }
    let mut text = format!(
        "Sheets of {}, cuts {} {} wide from edge to edge\n{}",
        sheet_size(sheet, units),
        thickness(sheet.kerf_m, units),
        in_system(1.0, Dimension::Length, units).1,
        lines(&rows)
    );
    if !too_large.is_empty() {
        text.push('\n');
        text += &paragraph(&format!(
            "Larger than a sheet, to be joined and not counted in sheets: {}.",
            too_large.join("; ")
        ));
    }
    text
}

fn loose(build: &Build, units: System) -> String {
    let amounts = build.loose_and_framing();
    if amounts.is_empty() {
        return String::new();
    }
    let mut rows = table([
        "Fillings and framing".to_owned(),
        format!("volume {}", volume(0.0, units).1),
        format!("mass {}", in_system(1.0, Dimension::Mass, units).1),
    ]);
    for amount in &amounts {
        let framing = if amount.form == Form::Loose {
            ""
        } else {
            ", framing"
        };
        rows.add_row([
            format!("{}{framing}", amount.material),
            volume(amount.volume_m3, units).0,
            number(amount.mass_kg, Dimension::Mass, units, (2, 1)),
        ]);
    }
    lines(&rows)
}

/// An edge of a piece, to a millimetre or a hundredth of an inch.
fn length(length_m: f64, units: System) -> String {
    number(length_m, Dimension::Length, units, (0, 2))
}

/// "1220 x 2440 mm"; whole feet as such.
fn sheet_size(sheet: &Sheet, units: System) -> String {
    let feet =
        [sheet.width_m, sheet.length_m].map(|edge| in_system(edge, Dimension::Elevation, units));
    if units == System::Us
        && feet
            .iter()
            .all(|(edge, _)| (edge - edge.round()).abs() < 1e-6)
    {
        return format!("{:.0} x {:.0} {}", feet[0].0, feet[1].0, feet[0].1);
    }
    format!(
        "{} x {} {}",
        length(sheet.width_m, units),
        length(sheet.length_m, units),
        in_system(1.0, Dimension::Length, units).1
    )
}

/// A volume in litres, or in cubic feet as fillings are sold in the US.
fn volume(volume_m3: f64, units: System) -> (String, &'static str) {
    match units {
        System::Metric => (number(volume_m3, Dimension::Volume, units, (1, 1)), "L"),
        System::Us => {
            let feet = in_system(1.0, Dimension::Elevation, units).0;
            (format!("{:.2}", volume_m3 * feet * feet * feet), "ft³")
        }
    }
}
